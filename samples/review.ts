import type { ChassisTruth } from '../tests/worlds/chassisTruth.js'
import { type ChipParameters, chipTruth } from '../tests/worlds/chipTruth.js'
import { type Dialect, PLAIN_DIALECT } from '../tests/worlds/dialect.js'
import { CLEAN_LOGGER, type Logger, type LogTable } from '../tests/worlds/logger.js'
import { makeWorld, rateAt, type World } from '../tests/worlds/makeWorld.js'
import { randomStream } from '../tests/worlds/randomStream.js'
import { writeDialect } from '../tests/worlds/writeDialect.js'
import { HERON, IBIS, KESTREL, MERLIN, type SampleFile } from './scenario.js'

/**
 * A whole review: three machines, six workloads with power and one without, on mains and on battery; a log of the whole session for
 * each machine and mode. The same bytes at every call.
 *
 * Heron 14 follows Heron 12, whose chip Kestrel 14 is a generation older; Ibis 15 is the rival. Truth: `tests/samples/review.test.ts`.
 */
export function makeReview(): readonly SampleFile[] {
  const machines = REVIEW_MACHINES.map(machineFiles)
  const rows = machines.flatMap((machine) => machine.rows)
  const table = [SCORE_HEADINGS, ...rows, ''].join('\n')
  const scores = { name: 'review/scores.tab', bytes: new TextEncoder().encode(table) }
  return [...machines.flatMap(({ files }) => files), scores]
}

/** The same scores as in the sheets, as a reviewer notes them: a row a run, with tabs between the cells. */
const SCORE_HEADINGS = 'machine\tworkload\tmode\tstart\tend\tpoints\tfps\tlow [fps]\ttime [s]\tMB/s'

/** A run as a row of the table of scores; `values` as a sheet has them. */
function scoreRow(run: {
  readonly machine: string
  readonly task: string
  readonly mode: string
  readonly times: readonly [string, string]
  readonly values: string
}): string {
  const values = new Map(run.values.split(', ').map((value) => value.split(': ') as [string, string]))
  const cells = ['score', 'fps', 'low', 'time', 'MB/s'].map((key) => values.get(key) ?? '')
  return [run.machine, run.task, run.mode, ...run.times, ...cells].join('\t')
}

/** The generation before: higher voltage at lower clocks, and an older fabric. */
const KESTREL_OLD: ChipParameters = {
  ...KESTREL,
  name: 'Kestrel 14',
  demandW: 104,
  topGHz: 4.6,
  topV: 1.22,
  uncoreW: 8,
  leakShare: 0.09,
  memoryShare: 0.08,
}

export interface ReviewMachine {
  readonly seed: number
  readonly machine: string
  readonly chip: ChipParameters
  /** How fast the chip is at top clock, against Kestrel 16. */
  readonly speed: number
  readonly mains: ChassisTruth
  readonly battery: ChassisTruth
}

function limited(chassis: ChassisTruth, peakW: number, limitW: number): ChassisTruth {
  const budgets = [{ limitW, tauS: 26, easeS: 1, style: 'proportional' as const }]
  return { ...chassis, kind: 'one-step', peakW, budgets, timed: undefined }
}

export const REVIEW_MACHINES: readonly ReviewMachine[] = [
  { seed: 2101, machine: 'Heron 14', chip: KESTREL, speed: 1, mains: HERON, battery: limited(HERON, 46, 28) },
  {
    seed: 2301,
    machine: 'Heron 12',
    chip: KESTREL_OLD,
    speed: 0.93,
    mains: { ...HERON, peakW: 88 },
    battery: limited(HERON, 44, 26),
  },
  { seed: 2501, machine: 'Ibis 15', chip: MERLIN, speed: 0.96, mains: IBIS, battery: limited(IBIS, 60, 35) },
]

export interface ReviewTask {
  readonly name: string
  /** As the sheet lists it. */
  readonly yaml: string
  readonly better: 'higher' | 'lower'
  readonly demandShare: number
  readonly memoryShare: number
  readonly runs: number
  readonly gapS: number
  /** Length of a run at top clock, s. */
  readonly runS: number
  /** Score of Kestrel 16 at top clock; seconds of a time come from `runS`. */
  readonly topScore: number
  /** Values of one run, by the score: `fps: 61, low: 44`. */
  readonly values: (score: number, wobble: number) => string
}

const one = (key: string, digits: number) => (score: number) => `${key}: ${score.toFixed(digits)}`
const frames = (score: number, wobble: number) =>
  `fps: ${score.toFixed(1)}, low: ${(score * 0.71 * (1 + 0.02 * wobble)).toFixed(1)}`

export const REVIEW_TASKS: readonly ReviewTask[] = [
  {
    name: 'mosaic render, all threads',
    yaml: 'score: points, better: higher',
    better: 'higher',
    demandShare: 1,
    memoryShare: 0.06,
    runs: 9,
    gapS: 0,
    runS: 38,
    topScore: 17200,
    values: one('score', 0),
  },
  {
    name: 'tally, one thread',
    yaml: 'score: points, better: higher',
    better: 'higher',
    demandShare: 0.19,
    memoryShare: 0.1,
    runs: 4,
    gapS: 4,
    runS: 40,
    topScore: 2180,
    values: one('score', 0),
  },
  {
    name: 'marsh flight',
    yaml: 'metrics: { fps: { better: higher }, low: { better: higher, unit: fps } }',
    better: 'higher',
    demandShare: 0.62,
    memoryShare: 0.35,
    runs: 4,
    gapS: 5,
    runS: 48,
    topScore: 118,
    values: frames,
  },
  {
    name: 'reed rally',
    yaml: 'metrics: { fps: { better: higher }, low: { better: higher, unit: fps } }',
    better: 'higher',
    demandShare: 0.42,
    memoryShare: 0.2,
    runs: 4,
    gapS: 5,
    runS: 48,
    topScore: 171,
    values: frames,
  },
  {
    name: 'page garden',
    yaml: 'score: points, better: higher',
    better: 'higher',
    demandShare: 0.15,
    memoryShare: 0.2,
    runs: 4,
    gapS: 4,
    runS: 36,
    topScore: 412,
    values: one('score', 1),
  },
  {
    name: 'film encode',
    yaml: 'metrics: { time: { better: lower, unit: s } }',
    better: 'lower',
    demandShare: 0.93,
    memoryShare: 0.15,
    runs: 5,
    gapS: 6,
    runS: 60,
    topScore: 1,
    values: one('time', 1),
  },
]

const LOGGER: Logger = { ...CLEAN_LOGGER, noiseW: 0.35, jitter: 0.01, temperatureQuantumC: 1 }
const SESSION: Dialect = { ...PLAIN_DIALECT, powerName: 'Package power [W]' }
/** Time between two workloads, s. */
const REST_S = 75

/** The chip under a workload, and how its score counts. */
export function taskWorld({
  machine,
  task,
  chassis,
  seed,
}: {
  readonly machine: ReviewMachine
  readonly task: ReviewTask
  readonly chassis: ChassisTruth
  readonly seed: number
}): World {
  const { chip: parameters, speed } = machine
  const chip = chipTruth({
    ...parameters,
    demandW: parameters.demandW * task.demandShare,
    memoryShare: task.memoryShare,
  })
  const work = task.runS * rateAt(chip, chassis, 300)
  return makeWorld(seed, {
    chip,
    chassis,
    better: task.better,
    work: work / (task.better === 'lower' ? speed : 1),
    scoreScale: (task.topScore * speed) / rateAt(chip, chassis, 300),
    runs: task.runs,
    gapS: task.gapS,
    scatter: 0.004,
    timed: true,
    dialect: SESSION,
    logger: LOGGER,
    idleBeforeS: REST_S,
  })
}

interface MachineFiles {
  readonly files: readonly SampleFile[]
  /** Of the table of scores. */
  readonly rows: readonly string[]
}

function machineFiles(machine: ReviewMachine): MachineFiles {
  const bird = machine.machine.toLowerCase().replace(' ', '-')
  const modes = (['mains', 'battery'] as const).map((mode, m) => {
    const random = randomStream(machine.seed + 50 * m)
    const worlds = REVIEW_TASKS.map((task, index) => ({
      task,
      world: taskWorld({ machine, task, chassis: machine[mode], seed: machine.seed + 50 * m + index }),
    }))
    const { table, startsS } = session(worlds.map(({ world }) => world.table))
    const log = `${bird}-${mode}.csv`
    const tests = worlds.map(({ task, world }, index) => {
      const runs = runsOf(task, world, { startS: startsS[index]!, wobble: () => random.normal() })
      return { task, runs, text: trialText({ task, mode, log, load: index + 1 }, runs) }
    })
    return {
      log: { name: `review/${log}`, bytes: writeDialect(table, SESSION, random) },
      trials: tests.map(({ text }) => text),
      rows: tests.flatMap(({ task, runs }) =>
        runs.map((run) => scoreRow({ machine: machine.machine, task: task.name, mode, ...run })),
      ),
    }
  })
  const copies = copyScores(machine)
  const text = [...head(machine), ...modes.flatMap(({ trials }) => trials), ...copyTrial(copies), ''].join(
    '\n',
  )
  const copyRows = copies.map((score) =>
    scoreRow({
      ...{ machine: machine.machine, task: 'nest copy', mode: 'mains' },
      ...{ times: ['', ''], values: `MB/s: ${score}` },
    }),
  )
  const sheet = { name: `review/${bird}.yaml`, bytes: new TextEncoder().encode(text) }
  return {
    files: [...modes.map(({ log }) => log), sheet],
    rows: [...modes.flatMap(({ rows }) => rows), ...copyRows],
  }
}

/** Logs of several workloads one after another, as a logger that ran through has them. */
function session(tables: readonly LogTable[]): {
  readonly table: LogTable
  readonly startsS: readonly number[]
} {
  const startsS: number[] = []
  const rows: [number, number, number, number][] = []
  let fromS = 0
  for (const { timesS, powerW, temperatureC, clockGHz } of tables) {
    startsS.push(fromS)
    timesS.forEach((timeS, i) => {
      rows.push([Number((fromS + timeS).toFixed(3)), powerW[i]!, temperatureC[i]!, clockGHz[i]!])
    })
    fromS = Math.ceil(rows.at(-1)![0]) + 1
  }
  const column = (j: 0 | 1 | 2 | 3) => rows.map((row) => row[j])
  return {
    startsS,
    table: { timesS: column(0), powerW: column(1), temperatureC: column(2), clockGHz: column(3) },
  }
}

function head({ machine, chip, mains }: ReviewMachine): readonly string[] {
  return [
    '# Invented machine, chip and scores. Made by samples/make.ts; see samples/README.md.',
    `machine: ${machine}`,
    `chip: ${chip.name}`,
    `chassis: ${machine} body`,
    `ambient: ${mains.ambientC} degC`,
    'workloads:',
    ...REVIEW_TASKS.map(({ name, yaml }) => `  - { name: "${name}", ${yaml} }`),
    '  - { name: nest copy, score: MB/s, better: higher }',
    'trials:',
  ]
}

interface SampleRun {
  readonly times: readonly [string, string]
  /** As a run of the sheet lists them: `fps: 61, low: 44`. */
  readonly values: string
}

function runsOf(
  task: ReviewTask,
  { truth }: World,
  { startS, wobble }: { readonly startS: number; readonly wobble: () => number },
): readonly SampleRun[] {
  const time = (seconds: number) => `${(startS + seconds).toFixed(1)} s`
  return truth.runs.map((run) => {
    const score = run.score * (1 + SCATTER * wobble())
    return { times: [time(run.startS), time(run.endS)], values: task.values(score, wobble()) }
  })
}

function trialText(
  of: { readonly task: ReviewTask; readonly mode: string; readonly log: string; readonly load: number },
  runs: readonly SampleRun[],
): string {
  return [
    `  - workload: "${of.task.name}"`,
    `    mode: ${of.mode}`,
    `    log: ${of.log}`,
    `    load: ${of.load}`,
    '    runs:',
    ...runs.map(({ times: [start, end], values }) => `      - { start: ${start}, end: ${end}, ${values} }`),
  ].join('\n')
}

/** Run-to-run scatter of a score. */
const SCATTER = 0.004

/** A copy to the drive: nobody logs power for it, and it is told as tested. */
function copyScores({ seed, speed }: ReviewMachine): readonly string[] {
  const random = randomStream(seed + 99)
  return [0, 1, 2].map(() => (5150 * speed ** 2 * (1 + 0.01 * random.normal())).toFixed(0))
}

function copyTrial(scores: readonly string[]): readonly string[] {
  return [
    '  - workload: nest copy',
    '    mode: mains',
    `    runs: [ ${scores.map((score) => `{ score: ${score} }`).join(', ')} ]`,
  ]
}
