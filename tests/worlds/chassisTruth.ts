import type { ChipTruth } from './chipTruth.js'
import type { RandomStream } from './randomStream.js'

export type ChassisKind = 'one-step' | 'two-step' | 'heat' | 'timed' | 'budget-then-heat' | 'flat'

/** A running-average limit as firmware keeps it. `easeS`: how long it takes to come down to the limit. */
export interface BudgetTruth {
  readonly limitW: number
  readonly tauS: number
  readonly easeS: number
  /** `proportional`: allowed power falls in step with the headroom. `latched`: on at the limit, off 3 % below. */
  readonly style: 'proportional' | 'latched'
}

/** A made-up chassis: every way in which it holds power down, and how it warms. */
export interface ChassisTruth {
  readonly name: string
  readonly kind: ChassisKind
  readonly ambientC: number
  /** Highest power ever allowed, W; Infinity for none. */
  readonly peakW: number
  readonly budgets: readonly BudgetTruth[]
  /** Step down after a set time of load, W and s; undefined for none. */
  readonly timed: { readonly limitW: number; readonly afterS: number; readonly easeS: number } | undefined
  readonly ceilingC: number
  readonly thermal: readonly { readonly rKPerW: number; readonly tauS: number }[]
}

/** A chassis of one kind for a chip: the limits are parts of what the chip asks for, so that each of them shows. */
export function drawChassis(
  random: RandomStream,
  kind: ChassisKind,
  chip: ChipTruth,
  name: string,
): ChassisTruth {
  const demandW = chip.demandAt(60)
  const ambientC = Math.round(random.uniform(18, 29) * 10) / 10
  const ceilingC = Math.round(random.uniform(86, 100))
  const sustainedW = demandW * random.uniform(0.42, 0.68)
  const peakW = random.chance(0.3) ? demandW * random.uniform(0.82, 0.97) : Number.POSITIVE_INFINITY
  const budget = (limitW: number, tauS: number): BudgetTruth => ({
    limitW,
    tauS,
    easeS: random.uniform(0.5, 1.2),
    style: random.pick(['proportional', 'latched'] as const),
  })
  const middleW = sustainedW * random.uniform(1.18, 1.38)
  const cool = coolNetwork(random, kind === 'flat' ? demandW : sustainedW, ambientC, ceilingC)
  const base = { name, kind, ambientC, peakW, ceilingC, budgets: [], timed: undefined, thermal: cool }
  if (kind === 'flat') return { ...base, peakW: Number.POSITIVE_INFINITY }
  if (kind === 'one-step') return { ...base, budgets: [budget(sustainedW, random.logUniform(10, 90))] }
  if (kind === 'two-step')
    return {
      ...base,
      budgets: [budget(middleW, random.logUniform(4, 14)), budget(sustainedW, random.logUniform(40, 180))],
    }
  if (kind === 'timed') {
    const timed = { limitW: sustainedW, afterS: random.logUniform(120, 600), easeS: random.uniform(0.5, 1.5) }
    return { ...base, budgets: [budget(middleW, random.logUniform(5, 30))], timed }
  }
  const hot = hotNetwork(random, sustainedW, ambientC, ceilingC)
  if (kind === 'heat') return { ...base, thermal: hot }
  return { ...base, thermal: hot, budgets: [budget(middleW * 1.08, random.logUniform(5, 30))] }
}

/** Steady temperature at a constant power, degC, never above the ceiling. */
export function steadyTemperatureC(chassis: ChassisTruth, powerW: number): number {
  const resistance = chassis.thermal.reduce((sum, stage) => sum + stage.rKPerW, 0)
  return Math.min(chassis.ceilingC, chassis.ambientC + resistance * powerW)
}

/** Two to four stages whose sum brings `sustainedW` exactly to the ceiling. */
function hotNetwork(random: RandomStream, sustainedW: number, ambientC: number, ceilingC: number) {
  return network(random, (ceilingC - ambientC) / sustainedW)
}

/** A chassis that stays well below its ceiling, so that heat decides nothing. */
function coolNetwork(random: RandomStream, powerW: number, ambientC: number, ceilingC: number) {
  const steadyC = Math.min(random.uniform(52, 68), ceilingC - 25)
  return network(random, (steadyC - ambientC) / powerW)
}

function network(random: RandomStream, totalKPerW: number) {
  const die = { share: random.uniform(0.22, 0.36), tauS: random.logUniform(0.4, 2) }
  const sink = { share: random.uniform(0.25, 0.4), tauS: random.logUniform(15, 60) }
  const count = random.integer(2, 4)
  if (count === 2)
    return finish(totalKPerW, [die, { share: 1 - die.share, tauS: random.logUniform(30, 160) }])
  const rest = 1 - die.share - sink.share
  if (count === 3) return finish(totalKPerW, [die, sink, { share: rest, tauS: random.logUniform(90, 320) }])
  const shell = { share: rest * 0.5, tauS: random.logUniform(300, 500) }
  return finish(totalKPerW, [die, sink, { share: rest * 0.5, tauS: random.logUniform(80, 160) }, shell])
}

function finish(totalKPerW: number, stages: readonly { readonly share: number; readonly tauS: number }[]) {
  return stages.map(({ share, tauS }) => ({ rKPerW: totalKPerW * share, tauS }))
}
