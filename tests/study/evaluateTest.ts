import { mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { chipAt } from '../../src/curves/chipAt.js'
import { fitMachine } from '../../src/machine/fitMachine.js'
import { readSheet } from '../../src/machine/readSheet.js'
import type { TestedMachine } from '../../src/machine/testedMachine.js'
import { compareChips } from '../../src/project/compareChips.js'
import { projectScore } from '../../src/project/projectScore.js'
import { scoreAt, type World } from '../worlds/makeWorld.js'
import { projectTruth, targetNumbers } from '../worlds/projectTruth.js'
import { type Findings, makeFindings, type WorldFindings } from './coverageSample.js'
import type { StudyWorlds } from './studyPlan.js'

/** What `fit`, `project` and `compare` say of scored tests, beside the truth. */
export async function evaluateTest({ item, world, other, rival }: StudyWorlds): Promise<WorldFindings> {
  const findings = makeFindings(item.kind)
  const directory = mkdtempSync(join(tmpdir(), 'holdwatt-study-'))
  const name = `${item.kind} ${item.seed}`
  try {
    let machine: TestedMachine | undefined
    await findings.attempt(`fit ${name}`, async () => {
      machine = await fitWorld(world, directory)
    })
    findings.fact('test fitted', machine !== undefined)
    if (machine === undefined) return findings.done()
    const fitted = machine
    await findings.attempt(`chassis ${name}`, () => judgeChassis(findings, world, fitted))
    await findings.attempt(`curve ${name}`, () => judgeCurve(findings, world, fitted))
    if (other !== undefined)
      await findings.attempt(`project ${name}`, () =>
        judgeProjections(findings, world, other, { fitted, directory }),
      )
    if (rival !== undefined)
      await findings.attempt(`compare ${name}`, () =>
        judgeComparison(findings, world, rival, { fitted, directory }),
      )
  } finally {
    rmSync(directory, { recursive: true })
  }
  return findings.done()
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
    findings.interval('chassis: burst hold', chassis.burstHoldS, target.burstForS ?? Number.NaN, 'seconds')
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
  if (timed !== undefined)
    findings.interval('timed step', chassis.timedSteps[0]?.afterS, timed.afterS, 'seconds')
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
    findings.interval(name, chipAt(chip, powerW)?.score, scoreAt(world, powerW))
  }
}

interface Fitted {
  readonly fitted: TestedMachine
  readonly directory: string
}

async function judgeProjections(
  findings: Findings,
  world: World,
  other: World,
  { fitted, directory }: Fitted,
): Promise<void> {
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
  const { chassis: target } = await fitWorld(other, directory)
  judge(
    `by sheet, ${budgeted ? 'budget' : other.truth.cause === 'heat' ? 'heat' : 'timed'}`,
    projectScore({ ...request, target }),
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

async function judgeComparison(
  findings: Findings,
  world: World,
  rival: World,
  { fitted, directory }: Fitted,
): Promise<void> {
  const against = await fitWorld(rival, directory)
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
  for (const { powerW, ratio, probabilityFirstAhead } of comparison.at) {
    const truth = scoreAt(world, powerW) / scoreAt(rival, powerW)
    findings.interval('compare: ratio at equal power', ratio, truth)
    findings.fact('compare: ratio error', Math.abs(ratio.value / truth - 1))
    const ahead = world.better === 'lower' ? truth < 1 : truth > 1
    findings.fact('compare: squared error of who is ahead', (probabilityFirstAhead - Number(ahead)) ** 2)
  }
  const crossing = comparison.crossovers[0]
  const crossesAtW = crossoverTruth(world, rival, low, high)
  if (crossing !== undefined && crossesAtW !== undefined)
    findings.interval('compare: crossover', crossing.powerW, crossesAtW)
}

/** Where two true curves cross between two powers; undefined when they don't, or more than once. */
function crossoverTruth(world: World, rival: World, lowW: number, highW: number): number | undefined {
  const steps = 400
  const crossings: number[] = []
  let before = Math.log(scoreAt(world, lowW) / scoreAt(rival, lowW))
  for (let i = 1; i <= steps; i++) {
    const powerW = lowW + ((highW - lowW) * i) / steps
    const now = Math.log(scoreAt(world, powerW) / scoreAt(rival, powerW))
    if (now * before < 0) crossings.push(powerW)
    before = now
  }
  return crossings.length === 1 ? crossings[0] : undefined
}
