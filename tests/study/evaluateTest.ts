import { mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { InputError } from '../../src/errors.js'
import { parseLog } from '../../src/log/parseLog.js'
import { fitMachine } from '../../src/machine/fitMachine.js'
import type { TestedMachine } from '../../src/machine/testedMachine.js'
import { chipAt } from '../../src/physics/chip/chipAt.js'
import { compareChips } from '../../src/predict/comparison/compareChips.js'
import { explainGap } from '../../src/predict/gap/explainGap.js'
import type { GapMachine } from '../../src/predict/gap/gapMachine.js'
import { projectScore } from '../../src/predict/projection/projectScore.js'
import { findLoads } from '../../src/segment/findLoads.js'
import { readSheet } from '../../src/sheet/readSheet.js'
import { scoreAt, type World } from '../worlds/makeWorld.js'
import { projectTruth, targetNumbers } from '../worlds/projectTruth.js'
import { type Findings, makeFindings, type WorldFindings } from './coverageSample.js'
import { longest } from './evaluateStages.js'
import type { StudyWorlds } from './studyPlan.js'

/** The machines of an entry as the tool fitted them, at the level that these sources were built with. */
export interface FittedWorlds {
  readonly world: TestedMachine | undefined
  readonly other: TestedMachine | undefined
  readonly rival: TestedMachine | undefined
  readonly failures: readonly string[]
}

/** Writes the worlds' sheets and logs to disk and fits them as the command does. */
export async function fitWorlds({ item, world, other, rival }: StudyWorlds): Promise<FittedWorlds> {
  const directory = mkdtempSync(join(tmpdir(), 'holdwatt-study-'))
  const failures: string[] = []
  const tryFit = async (of: World | undefined): Promise<TestedMachine | undefined> => {
    if (of === undefined) return undefined
    try {
      return await fitWorld(of, directory)
    } catch (error) {
      failures.push(`fit ${item.kind} ${of.seed}: ${error instanceof Error ? error.message : String(error)}`)
      return undefined
    }
  }
  try {
    return { world: await tryFit(world), other: await tryFit(other), rival: await tryFit(rival), failures }
  } finally {
    rmSync(directory, { recursive: true })
  }
}

/**
 * What `fit`, `project`, `compare` and `explain` say of scored tests, beside the truth.
 */
export async function judgeTest(
  { item, world, other, rival }: StudyWorlds,
  fits: FittedWorlds,
): Promise<WorldFindings> {
  const findings = makeFindings(item.kind)
  const name = `${item.kind} ${item.seed}`
  const fitted = fits.world
  findings.fact('test fitted', fitted !== undefined && fits.failures.length === 0)
  for (const failure of fits.failures) findings.failed(failure)
  if (fitted === undefined) return findings.done()
  await findings.attempt(`chassis ${name}`, () => judgeChassis(findings, world, fitted))
  await findings.attempt(`loop ${name}`, () => judgeLoop(findings, world))
  await findings.attempt(`curve ${name}`, () => judgeCurve(findings, world, fitted))
  const { other: target, rival: against } = fits
  if (other !== undefined && target !== undefined)
    await findings.attempt(`project ${name}`, () =>
      judgeProjections(findings, world, other, { fitted, target }),
    )
  if (rival !== undefined && against !== undefined)
    await findings.attempt(`compare ${name}`, () =>
      judgeComparison(findings, world, rival, { fitted, against }),
    )
  if (rival !== undefined && against !== undefined)
    await findings.attempt(`explain ${name}`, () => judgeGap(findings, world, rival, { fitted, against }))
  return findings.done()
}

/** What `stages` says of the loop that was scored, beside what the machine settles at without pauses. */
function judgeLoop(findings: Findings, world: World): void {
  const load = longest(findLoads(parseLog(world.logs[0]!.bytes).trace))
  if (load === undefined || !world.truth.reached || !load.sustained.reached) return
  findings.interval('settled power of a loop', load.sustained.levelW, world.truth.sustainedW)
}

async function fitWorld(world: World, directory: string): Promise<TestedMachine> {
  for (const { name, bytes } of world.logs) writeFileSync(join(directory, name), bytes)
  const path = join(directory, `${world.logs[0]!.name}.yaml`)
  writeFileSync(path, world.sheetYaml)
  return fitMachine(await readSheet(path))
}

function judgeChassis(findings: Findings, world: World, { chassis }: TestedMachine): void {
  const { hold } = world.truth
  const { budgets, timed, thermal } = world.chassis
  if (world.kind !== 'flat') findings.interval('chassis: burst power', chassis.burstW, hold.burstW)
  findings.interval('chassis: sustained power', chassis.sustainedW, hold.sustainedW)
  const bySetLimit = world.truth.cause === 'power-limit'
  if (bySetLimit) {
    const target = targetNumbers(hold)
    // the chassis tells holds until power is half way down, as a step without easing would be noted
    const heldS = hold.firstHalfDownS ?? Number.NaN
    findings.interval('chassis: burst hold', chassis.burstHoldS, heldS, 'seconds')
    findings.interval('chassis: short-term power', chassis.shortTermW, target.shortTermW ?? Number.NaN)
    findings.interval(
      'chassis: short-term hold',
      chassis.shortTermHoldS,
      target.shortTermForS ?? Number.NaN,
      'seconds',
    )
  }
  if (bySetLimit && chassis.budgets.length === budgets.length)
    for (const budget of budgets) {
      const found = [...chassis.budgets].sort(
        (a, b) => Math.abs(a.limitW.value - budget.limitW) - Math.abs(b.limitW.value - budget.limitW),
      )[0]
      findings.interval('budget: limit', found?.limitW, budget.limitW)
      findings.interval('budget: time constant', found?.tauS, budget.tauS, 'seconds')
    }
  // the world's limit eases down from the demand: it bites when it has come below the budget, and that is what a trace shows
  if (timed !== undefined)
    findings.interval(
      'timed step',
      chassis.timedSteps[0]?.afterS,
      hold.dropsS.at(-1) ?? timed.afterS,
      'seconds',
    )
  if (world.dialect.temperature === null) return
  const totalKPerW = thermal.reduce((sum, stage) => sum + stage.rKPerW, 0)
  findings.interval('thermal resistance', chassis.thermal?.resistanceKPerW, totalKPerW)
}

/** Powers at which the curve is looked at, as parts of the settled power. */
const CURVE_AT = [0.7, 0.85, 1, 1.2, 1.5, 1.9] as const

function judgeCurve(findings: Findings, world: World, { chip }: TestedMachine): void {
  const [low, high] = chip.measuredRangeW
  const demandW = chip.demandW
  findings.fact(
    'demand seen where there is none',
    demandW !== null && demandW < 0.9 * world.chip.demandAt(60),
  )
  for (const part of CURVE_AT) {
    const powerW = part * world.truth.sustainedW
    if (powerW > world.chip.demandAt(90)) continue
    const name =
      powerW < 0.98 * low
        ? 'score below the measured range'
        : powerW > 1.02 * high
          ? 'score above it'
          : 'score within it'
    findings.interval(name, chipAt(chip, powerW)?.score, scoreAt(world, powerW, chip.referenceC))
  }
}

function judgeProjections(
  findings: Findings,
  world: World,
  other: World,
  { fitted, target }: { readonly fitted: TestedMachine; readonly target: TestedMachine },
): void {
  const loop = { runs: 20, gapS: other.gapS }
  const truth = projectTruth(world, other.chassis, loop)
  const { chip, chassis, asTested } = fitted
  const request = { chip, loop, tested: chassis, asTested }
  const judge = (way: string, projection: ReturnType<typeof projectScore>) => {
    const { first, steady } = projection
    findings.interval(`project ${way}: first score`, first.score, truth.firstScore)
    findings.interval(`project ${way}: steady score`, steady.score, truth.steadyScore)
    findings.interval(`project ${way}: steady duration`, steady.durationS, truth.steadyS)
    findings.fact(`project ${way}, first: error`, Math.abs(first.score.value / truth.firstScore - 1))
    findings.fact(`project ${way}, steady: error`, Math.abs(steady.score.value / truth.steadyScore - 1))
  }
  // a step after a set time, or heat, is not what limits in numbers say: only budgets are
  const budgeted = other.kind === 'one-step' || other.kind === 'two-step'
  if (budgeted) judge('by numbers', projectScore({ ...request, target: limitsOf(other) }))
  judge(
    `by sheet, ${budgeted ? 'budget' : other.truth.cause === 'heat' ? 'heat' : 'timed'}`,
    projectScore({ ...request, target: target.chassis }),
  )
}

function limitsOf(other: World) {
  const { burstW, burstForS, shortTermW, shortTermForS, sustainedW } = targetNumbers(other.truth.hold)
  const tenth = (value: number | undefined) => (value === undefined ? null : Math.round(value * 10) / 10)
  return {
    sustainedW: Math.round(sustainedW * 10) / 10,
    burstW: tenth(burstW),
    burstForS: tenth(burstForS),
    shortTermW: tenth(shortTermW),
    shortTermForS: tenth(shortTermForS),
  }
}

interface Pair {
  readonly fitted: TestedMachine
  readonly against: TestedMachine
}

function judgeComparison(findings: Findings, world: World, rival: World, { fitted, against }: Pair): void {
  const machines = [fitted, against].map(({ machine, chip, chassis }) => ({
    machine,
    chip,
    sustainedW: chassis.sustainedW.value,
  }))
  const low = Math.max(fitted.chip.measuredRangeW[0], against.chip.measuredRangeW[0])
  const high = Math.min(fitted.chip.measuredRangeW[1], against.chip.measuredRangeW[1])
  if (high < 1.05 * low) return
  const atW = [0.1, 0.5, 0.9].map((part) => low + part * (high - low))
  const comparison = compareChips({ machines, atW })
  const trueRatio = (powerW: number) =>
    scoreAt(world, powerW, comparison.referenceC ?? undefined) /
    scoreAt(rival, powerW, comparison.referenceC ?? undefined)
  for (const { powerW, ratio, probabilityFirstAhead } of comparison.at) {
    const truth = trueRatio(powerW)
    findings.interval('compare: ratio at equal power', ratio, truth)
    findings.fact('compare: ratio error', Math.abs(ratio.value / truth - 1))
    const ahead = world.better === 'lower' ? truth < 1 : truth > 1
    findings.fact('compare: squared error of who is ahead', (probabilityFirstAhead - Number(ahead)) ** 2)
  }
  const crossing = comparison.crossovers[0]
  const crossesAtW = crossoverTruth(trueRatio, low, high)
  if (crossing !== undefined && crossesAtW !== undefined)
    findings.interval('compare: crossover', crossing.powerW, crossesAtW)
}

/** Where two true curves cross between two powers; undefined when they don't, or more than once. */
function crossoverTruth(ratio: (powerW: number) => number, lowW: number, highW: number): number | undefined {
  const steps = 60
  const crossings: number[] = []
  let before = Math.log(ratio(lowW))
  for (let i = 1; i <= steps; i++) {
    const powerW = lowW + ((highW - lowW) * i) / steps
    const now = Math.log(ratio(powerW))
    if (now * before < 0) crossings.push(powerW - (((highW - lowW) / steps) * now) / (now - before))
    before = now
  }
  return crossings.length === 1 ? crossings[0] : undefined
}

/** The steady scores of the two tests as they were, noise left out, and the tool's ratio of the two. */
function judgeGap(findings: Findings, world: World, rival: World, { fitted, against }: Pair): void {
  const side = ({ machine, chip, chassis, loop, tests }: TestedMachine): GapMachine => {
    const loads = tests.flatMap((test) =>
      test.trials.flatMap((trial) => (trial.kind === 'logged' ? trial.loads : [])),
    )
    const heldBy = loads.at(-1)?.stages.at(-1)?.heldBy.label ?? 'undetermined'
    return { name: machine, chip, chassis, loop, heldBy }
  }
  const gap = gapOrRefusal({ a: side(fitted), b: side(against) })
  findings.fact('explain: powers too far apart, refused', gap === undefined)
  if (gap === undefined) return
  findings.interval(
    'explain: ratio of steady scores',
    gap.ratio,
    world.truth.steadyScore! / rival.truth.steadyScore!,
  )
}

function gapOrRefusal(machines: Parameters<typeof explainGap>[0]) {
  try {
    return explainGap(machines)
  } catch (error) {
    if (error instanceof InputError && error.code === 'gap-beyond-measured') return undefined
    throw error
  }
}
