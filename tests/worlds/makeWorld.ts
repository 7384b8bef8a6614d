import { type ChassisKind, type ChassisTruth, drawChassis, steadyTemperatureC } from './chassisTruth.js'
import { type ChipTruth, chipTruth, drawChip } from './chipTruth.js'
import { type Dialect, drawDialect, PLAIN_DIALECT } from './dialect.js'
import { type Fault, faultyScores, loggerFaults, plantInSchedule } from './faults.js'
import { type HoldTruth, holdTruth } from './holdTruth.js'
import { CLEAN_LOGGER, drawLogger, type Logger, type LogTable, logSimulation } from './logger.js'
import { type RandomStream, randomStream } from './randomStream.js'
import { type SheetRun, sheetText } from './sheetText.js'
import { type Schedule, type Simulation, simulate } from './simulate.js'
import { writeDialect } from './writeDialect.js'

export const CHASSIS_KINDS: readonly ChassisKind[] = [
  'one-step',
  'two-step',
  'heat',
  'timed',
  'budget-then-heat',
  'flat',
]

export interface WorldOptions {
  readonly kind?: ChassisKind
  /** `loop`: scored runs (default). `hold`: one uninterrupted load, settled. `hold-short`: cut before it settles. */
  readonly plan?: 'loop' | 'hold' | 'hold-short'
  readonly chip?: ChipTruth
  readonly chassis?: ChassisTruth
  /** `plain`: one table form and a clean logger; `random` (default): any. */
  readonly dialect?: 'plain' | 'random' | Dialect
  readonly logger?: 'clean' | 'random' | Logger
  readonly better?: 'higher' | 'lower'
  readonly runs?: number
  readonly gapS?: number
  /** Standard deviation of a score, as a part of it. */
  readonly scatter?: number
  readonly faults?: readonly Fault[]
  readonly names?: { readonly machine: string; readonly chip: string; readonly chassis: string }
  readonly workload?: { readonly name: string; readonly unit: string }
  /** What a score of 1 unit of work a second is worth; drawn when left out. */
  readonly scoreScale?: number
  /** Work of a run, in seconds at top clock; drawn when left out. */
  readonly work?: number
  /** Sheet states run times (default: drawn). */
  readonly timed?: boolean
  /** How run times are written: seconds with a decimal (default), or minutes and seconds. */
  readonly times?: 'seconds' | 'minutes'
  readonly logName?: string
  readonly idleBeforeS?: number
}

/** What is really so in a world. Seconds count from the log's first sample. */
export interface WorldTruth {
  readonly cause: 'power-limit' | 'heat' | 'demand'
  readonly loadStartS: number
  readonly loadEndS: number
  readonly hold: HoldTruth
  /**
   * Set-limit drops before the first pause, seconds of the log, and the noise-free means of the flat stretches between
   * them, W. What heat bends is in neither.
   */
  readonly dropsS: readonly number[]
  readonly levelsW: readonly number[]
  readonly sustainedW: number
  readonly reached: boolean
  readonly runs: readonly {
    readonly startS: number
    readonly endS: number
    readonly score: number
    readonly meanW: number
  }[]
  readonly firstScore: number | undefined
  readonly steadyScore: number | undefined
}

export interface World {
  readonly seed: number
  readonly kind: ChassisKind
  readonly chip: ChipTruth
  readonly chassis: ChassisTruth
  readonly better: 'higher' | 'lower'
  readonly scoreScale: number
  readonly work: number
  readonly gapS: number
  readonly logger: Logger
  readonly dialect: Dialect
  readonly sheetYaml: string
  readonly logs: readonly { readonly name: string; readonly bytes: Uint8Array }[]
  /** What the first log holds, before it was written in a dialect. */
  readonly table: LogTable
  readonly truth: WorldTruth
}

/** One made-up machine, tested and logged: everything that the tool may see, and everything that is true. */
export function makeWorld(seed: number, options: WorldOptions = {}): World {
  const random = randomStream(seed)
  const names = options.names ?? { machine: 'Plover 14', chip: 'Plover X', chassis: 'Plover slim' }
  const chip = options.chip ?? chipTruth(drawChip(random, names.chip))
  const kind = options.chassis?.kind ?? options.kind ?? random.pick(CHASSIS_KINDS)
  const chassis = options.chassis ?? drawChassis(random, kind, chip, names.chassis)
  const better = options.better ?? (random.chance(0.25) ? 'lower' : 'higher')
  const hold = holdTruth(chip, chassis)
  const setup: Setup = {
    random,
    options,
    chip,
    chassis,
    hold,
    better,
    faults: options.faults ?? [],
    scoreScale: options.scoreScale ?? random.logUniform(500, 30000),
    work: options.work ?? random.uniform(30, 100) * rateAt(chip, chassis, hold.sustainedW),
    gapS: options.gapS ?? random.pick([0, 3, 5, 8, 15, 25]),
    logger: pickLogger(random, options.logger, chip.demandAt(60)),
    dialect: pickDialect(random, options.dialect),
  }
  const trials = (options.faults ?? []).includes('mixedModes') ? ['balanced', 'performance'] : [undefined]
  const logs = trials.map((mode, i) => runTrial(setup, mode, trialName(options.logName ?? 'log.csv', i)))
  const first = logs[0]!
  return {
    seed,
    kind,
    chip,
    chassis,
    better,
    scoreScale: setup.scoreScale,
    work: setup.work,
    gapS: setup.gapS,
    logger: setup.logger,
    dialect: setup.dialect,
    sheetYaml: writeSheet(setup, names, logs),
    logs: logs.map(({ name, bytes }) => ({ name, bytes })),
    table: first.table,
    truth: first.truth,
  }
}

/** Noise-free rate at a constant power, settled in this chassis, as a part of the rate at top clock. */
export function rateAt(chip: ChipTruth, chassis: ChassisTruth, powerW: number): number {
  return chip.rateAtClock(chip.clockAt(powerW, steadyTemperatureC(chassis, powerW)))
}

/** Noise-free score of a run at a constant power and temperature; left out: as warm as the test had the chip there. */
export function scoreAt(
  world: Pick<World, 'chip' | 'truth' | 'better' | 'scoreScale' | 'work'>,
  powerW: number,
  temperatureC = temperatureAt(world.truth, powerW),
): number {
  const rate = world.chip.rateAtClock(world.chip.clockAt(powerW, temperatureC))
  return toScore(world, world.work / rate)
}

/**
 * Mean temperature of the load at powers near this one: leakage makes a score at one power depend on it a little, and a test
 * knows its chip only as warm as it was. Kernel mean in ln P, 5 % wide, far wider where the load never was.
 */
function temperatureAt(truth: WorldTruth, powerW: number): number {
  const { simulation } = truth.hold
  const from = Math.ceil(simulation.loadStartS / simulation.stepS)
  const to = Math.min(
    simulation.powerW.length,
    from + Math.round((truth.loadEndS - truth.loadStartS) / simulation.stepS),
  )
  let weights = 0
  let sum = 0
  for (let i = from; i < to; i += 20) {
    const away = Math.log(simulation.powerW[i]! / powerW)
    const weight = Math.exp(-0.5 * (away / 0.05) ** 2) + 1e-3 * Math.exp(-0.5 * (away / 0.4) ** 2) + 1e-9
    weights += weight
    sum += weight * simulation.temperatureC[i]!
  }
  return sum / weights
}

/** Score of a run that took this long. */
export function toScore(world: Pick<World, 'better' | 'scoreScale' | 'work'>, durationS: number): number {
  return world.better === 'lower' ? durationS : (world.scoreScale * world.work) / durationS
}

interface Setup {
  readonly random: RandomStream
  readonly options: WorldOptions
  readonly chip: ChipTruth
  readonly chassis: ChassisTruth
  readonly hold: HoldTruth
  readonly better: 'higher' | 'lower'
  readonly faults: readonly Fault[]
  readonly scoreScale: number
  readonly work: number
  readonly gapS: number
  readonly logger: Logger
  readonly dialect: Dialect
}

interface Trial {
  readonly name: string
  readonly mode: string | undefined
  readonly bytes: Uint8Array
  readonly table: LogTable
  readonly truth: WorldTruth
  readonly sheetRuns: readonly SheetRun[]
}

function pickLogger(random: RandomStream, choice: WorldOptions['logger'], demandW: number): Logger {
  const drawn = drawLogger(random, demandW)
  if (choice === undefined || choice === 'random') return drawn
  return choice === 'clean' ? CLEAN_LOGGER : choice
}

function pickDialect(random: RandomStream, choice: WorldOptions['dialect']): Dialect {
  const drawn = drawDialect(random)
  if (choice === undefined || choice === 'random') return drawn
  return choice === 'plain' ? PLAIN_DIALECT : choice
}

function trialName(name: string, index: number): string {
  return index === 0 ? name : name.replace(/(\.[^.]*)?$/, `-${index + 1}$1`)
}

function runTrial(setup: Setup, mode: string | undefined, name: string): Trial {
  const { random, chip, logger } = setup
  const chassis = mode === 'performance' ? raised(setup.chassis) : setup.chassis
  const planted = plantInSchedule(drawSchedule(setup), setup.faults, setup.hold)
  const simulation = simulate(chip, chassis, planted.schedule)
  const fromS = planted.logFromS(simulation)
  const toS = (simulation.powerW.length - 1) * simulation.stepS
  const loadStartS = simulation.loadStartS - fromS
  const faults = loggerFaults(setup.faults, {
    loadStartS,
    loadEndS: simulation.loadEndS - fromS,
    hold: setup.hold,
  })
  const seen = setup.faults.includes('coarseQuantum') ? { ...logger, quantumW: coarse(setup.hold) } : logger
  const table = logSimulation(simulation, seen, random, { fromS, toS, faults })
  const truth = makeTruth(setup, simulation, fromS)
  return {
    name,
    mode,
    table,
    truth,
    bytes: writeDialect(table, setup.dialect, random),
    sheetRuns: faultyScores(noteRuns(setup, truth), setup.faults, random),
  }
}

function coarse(hold: HoldTruth): number {
  return Math.max(4, Math.round(hold.sustainedW / 10))
}

function raised(chassis: ChassisTruth): ChassisTruth {
  return {
    ...chassis,
    budgets: chassis.budgets.map((budget) => ({ ...budget, limitW: budget.limitW * 1.25 })),
    timed: chassis.timed && { ...chassis.timed, limitW: chassis.timed.limitW * 1.25 },
  }
}

function drawSchedule(setup: Setup): Schedule {
  const { random, options, hold } = setup
  const idleBeforeS = options.idleBeforeS ?? random.uniform(20, 60)
  const plan = options.plan ?? 'loop'
  if (plan === 'loop') return { idleBeforeS, idleAfterS: random.uniform(12, 30), plan: drawLoop(setup) }
  const cutS = Math.max(25, hold.settleS * random.uniform(0.35, 0.7))
  const settledS = Math.max(random.uniform(420, 1500), hold.settleS * 1.15 + 180)
  // what settles within half a minute can't be cut before it
  const holdS = plan === 'hold-short' && cutS < 0.8 * hold.settleS ? cutS : settledS
  return { idleBeforeS, idleAfterS: random.uniform(5, 25), plan: { form: 'hold', holdS } }
}

function drawLoop(setup: Setup): Schedule['plan'] {
  const { random, options, hold, gapS, work } = setup
  const runS = work / rateAt(setup.chip, setup.chassis, hold.sustainedW)
  const enough = Math.ceil((hold.settleS * 1.3 + 120) / (runS + gapS)) + 3
  const drawn = Math.min(30, Math.max(random.integer(8, 16), enough))
  const few = setup.faults.includes('tooFewRuns') ? 1 : drawn
  return { form: 'loop', runs: options.runs ?? few, gapS, work }
}

function makeTruth(setup: Setup, simulation: Simulation, fromS: number): WorldTruth {
  const { hold } = setup
  const loadStartS = simulation.loadStartS - fromS
  const loadEndS = simulation.loadEndS - fromS
  const lengthS = loadEndS - loadStartS
  const runs = simulation.runs.map(({ startS, endS }) => ({
    startS: startS - fromS,
    endS: endS - fromS,
    score: toScore(setup, endS - startS),
    meanW: meanBetween(simulation, startS, endS),
  }))
  const uninterruptedS = runs.length > 0 && setup.gapS > 0 ? runs[0]!.endS - loadStartS : lengthS
  const dropsS = hold.dropsS.filter((dropS) => dropS < uninterruptedS - 3).map((dropS) => dropS + loadStartS)
  const last = runs.slice(-3)
  return {
    cause: causeOf(setup.chassis),
    loadStartS,
    loadEndS,
    hold,
    dropsS,
    levelsW: levelsBetween(simulation, setup, [loadStartS, ...dropsS, loadStartS + uninterruptedS], fromS),
    sustainedW: hold.sustainedW,
    reached: lengthS > hold.settleS,
    runs,
    firstScore: runs[0]?.score,
    steadyScore: last.length === 0 ? undefined : last.reduce((sum, run) => sum + run.score, 0) / last.length,
  }
}

/** Noise-free means of the flat stretches; what heat bends is not flat. Easing after a drop is left out. */
function levelsBetween(simulation: Simulation, setup: Setup, edgesS: readonly number[], fromS: number) {
  const flat = causeOf(setup.chassis) === 'heat' ? edgesS.slice(0, -1) : edgesS
  return flat.slice(1).map((endS, i) => {
    const startS = flat[i]!
    return meanBetween(
      simulation,
      startS + Math.min(i === 0 ? 0.2 : 6, (endS - startS) / 2) + fromS,
      endS + fromS,
    )
  })
}

function causeOf(chassis: ChassisTruth): WorldTruth['cause'] {
  if (chassis.kind === 'flat') return 'demand'
  return chassis.kind === 'heat' || chassis.kind === 'budget-then-heat' ? 'heat' : 'power-limit'
}

function meanBetween(simulation: Simulation, startS: number, endS: number): number {
  const part = simulation.powerW.subarray(
    Math.round(startS / simulation.stepS),
    Math.round(endS / simulation.stepS),
  )
  return part.reduce((a, b) => a + b, 0) / part.length
}

/** Scores and times as the reviewer noted them: scattered, then rounded. */
function noteRuns(setup: Setup, truth: WorldTruth): readonly SheetRun[] {
  const { random, options } = setup
  const scatter =
    options.scatter ?? (setup.faults.includes('noisyRuns') ? 0.04 : random.logUniform(0.001, 0.01))
  const timed = options.timed ?? random.chance(0.75)
  return truth.runs.map((run) => {
    const score = roundScore(run.score * (1 + scatter * random.normal()))
    const noted = { startS: Math.round(run.startS * 10) / 10, endS: Math.round(run.endS * 10) / 10 }
    return timed ? { ...noted, score } : { score }
  })
}

/** Five digits at most, as scores are printed; times to a tenth of a second. */
function roundScore(score: number): number {
  return score >= 1000 ? Math.round(score) : Math.round(score * 10) / 10
}

function writeSheet(
  setup: Setup,
  names: { readonly machine: string; readonly chip: string; readonly chassis: string },
  trials: readonly Trial[],
): string {
  const lower = setup.better === 'lower'
  const workload = setup.options.workload ?? {
    name: 'mosaic render, all threads',
    unit: lower ? 's' : 'points',
  }
  const wrong = setup.faults.includes('wrongBetter')
  return sheetText({
    ...names,
    ...(setup.faults.includes('missingAmbient') ? {} : { ambientC: setup.chassis.ambientC }),
    workload: workload.name,
    unit: workload.unit,
    better: wrong ? (lower ? 'higher' : 'lower') : setup.better,
    times: setup.options.times ?? 'seconds',
    trials: trials.map((trial) => ({
      log: trial.name,
      ...(trial.mode === undefined ? {} : { mode: trial.mode }),
      runs: trial.sheetRuns,
    })),
  })
}
