import type { ChassisTruth } from '../tests/worlds/chassisTruth.js'
import { type ChipParameters, chipTruth } from '../tests/worlds/chipTruth.js'
import { type Dialect, PLAIN_DIALECT } from '../tests/worlds/dialect.js'
import { CLEAN_LOGGER, type Logger } from '../tests/worlds/logger.js'
import { makeWorld, rateAt, scoreAt, type World } from '../tests/worlds/makeWorld.js'
import { targetNumbers } from '../tests/worlds/projectTruth.js'

export interface SampleFile {
  readonly name: string
  readonly bytes: Uint8Array
}

/**
 * Every file of the invented scenario, the same bytes at every call: three machines, two workloads, one sheet from notes.
 *
 * Heron 14 (thin) and Bittern 17 (thick) share the chip Kestrel 16; Ibis 15 has the rival chip Merlin 12.
 */
export function makeSamples(): readonly SampleFile[] {
  const render = RENDER_TESTS.map((test) => makeTest(test, RENDER))
  const compile = COMPILE_TESTS.map((test) => makeTest(test, COMPILE))
  const bittern = render[1]!
  return [...render, ...compile].flatMap(({ files }) => files).concat(notedSheet(bittern.world))
}

export const KESTREL: ChipParameters = {
  name: 'Kestrel 16',
  idleW: 4.6,
  demandW: 109,
  topGHz: 5.1,
  topV: 1.16,
  floorV: 0.68,
  thresholdV: 0.5,
  alpha: 1.5,
  uncoreW: 7,
  leakShare: 0.06,
  leakK: 60,
  memoryShare: 0.06,
  memory: 'additive',
}

export const MERLIN: ChipParameters = {
  name: 'Merlin 12',
  idleW: 3.4,
  demandW: 94,
  topGHz: 4.6,
  topV: 1.08,
  floorV: 0.64,
  thresholdV: 0.44,
  alpha: 1.35,
  uncoreW: 4.5,
  leakShare: 0.05,
  leakK: 55,
  memoryShare: 0.05,
  memory: 'overlap',
}

/** Thin: 96 W for some seconds, 58 W for two minutes, 44 W for good, by set limits. */
export const HERON: ChassisTruth = {
  name: 'Heron slim',
  kind: 'two-step',
  ambientC: 22.5,
  peakW: 96,
  ceilingC: 100,
  budgets: [
    { limitW: 58, tauS: 8, easeS: 0.7, style: 'latched' },
    { limitW: 44.2, tauS: 100, easeS: 0.9, style: 'latched' },
  ],
  timed: undefined,
  thermal: [
    { rKPerW: 0.3, tauS: 0.7 },
    { rKPerW: 0.38, tauS: 24 },
    { rKPerW: 0.46, tauS: 190 },
  ],
}

/** Thick: 104 W, then 86 W, then 71 W, by set limits. */
const BITTERN: ChassisTruth = {
  name: 'Bittern deep',
  kind: 'two-step',
  ambientC: 23,
  peakW: 104,
  ceilingC: 98,
  budgets: [
    { limitW: 86, tauS: 11.5, easeS: 0.8, style: 'proportional' },
    { limitW: 71, tauS: 62, easeS: 1, style: 'proportional' },
  ],
  timed: undefined,
  thermal: [
    { rKPerW: 0.2, tauS: 0.9 },
    { rKPerW: 0.22, tauS: 30 },
    { rKPerW: 0.26, tauS: 240 },
  ],
}

/** Rival: no set limit below its peak; heat holds it near 58 W. */
export const IBIS: ChassisTruth = {
  name: 'Ibis flat',
  kind: 'heat',
  ambientC: 22,
  peakW: 88,
  ceilingC: 95,
  budgets: [],
  timed: undefined,
  thermal: [
    { rKPerW: 0.352, tauS: 0.8 },
    { rKPerW: 0.428, tauS: 28 },
    { rKPerW: 0.478, tauS: 150 },
  ],
}

interface Workload {
  readonly name: string
  readonly unit: string
  readonly better: 'higher' | 'lower'
  /** Changes to a chip under this workload: how much it asks for, how much of it waits for memory. */
  readonly demandShare: number
  readonly memoryShare: number
  readonly suffix: string
}

const RENDER: Workload = {
  name: 'mosaic render, all threads',
  unit: 'points',
  better: 'higher',
  demandShare: 1,
  memoryShare: 0.06,
  suffix: 'loop',
}

const COMPILE: Workload = {
  name: 'whole-tree compile, all threads',
  unit: 's',
  better: 'lower',
  demandShare: 0.93,
  memoryShare: 0.2,
  suffix: 'compile',
}

interface Test {
  readonly seed: number
  readonly machine: string
  readonly chip: ChipParameters
  readonly chassis: ChassisTruth
  /** Score at 52 W of the render (where the two chips are made to cross), or seconds of a compile. */
  readonly scoreAt52W: number
  readonly runs: number
  readonly gapS: number
  /** Length of a run at 52 W, s. */
  readonly runS: number
  readonly timed: boolean
  readonly times: 'seconds' | 'minutes'
  readonly dialect: Dialect
  readonly logger: Logger
  readonly extension: string
}

const HERON_DIALECT: Dialect = {
  ...PLAIN_DIALECT,
  time: 'iso-local',
  powerName: 'Package power [W]',
  clock: 'MHz',
  otherColumns: true,
}
const BITTERN_DIALECT: Dialect = {
  ...PLAIN_DIALECT,
  delimiter: ';',
  decimalComma: true,
  encoding: 'windows-1252',
  newline: '\r\n',
  time: 'dmy-one-column',
  powerName: 'Package Power (W)',
  statistics: true,
}
const IBIS_DIALECT: Dialect = {
  ...PLAIN_DIALECT,
  delimiter: '\t',
  time: 'epoch-s',
  power: 'uJ',
  powerName: 'energy_uj',
  temperature: 'mC',
}

const RENDER_TESTS: readonly Test[] = [
  {
    seed: 1401,
    machine: 'Heron 14',
    chip: KESTREL,
    chassis: HERON,
    scoreAt52W: 12100,
    runs: 26,
    gapS: 0,
    runS: 62,
    timed: true,
    times: 'seconds',
    dialect: HERON_DIALECT,
    logger: { ...CLEAN_LOGGER, jitter: 0.01, noiseW: 0.4, autocorrelation: 0.2, spikes: 0.001 },
    extension: 'csv',
  },
  {
    seed: 1702,
    machine: 'Bittern 17',
    chip: KESTREL,
    chassis: BITTERN,
    scoreAt52W: 12100,
    runs: 30,
    gapS: 0,
    runS: 62,
    timed: true,
    times: 'minutes',
    dialect: BITTERN_DIALECT,
    logger: { ...CLEAN_LOGGER, noiseW: 0.7, quantumW: 0.1, averaged: false },
    extension: 'csv',
  },
  {
    seed: 1503,
    machine: 'Ibis 15',
    chip: MERLIN,
    chassis: IBIS,
    scoreAt52W: 12100,
    runs: 26,
    gapS: 5,
    runS: 62,
    timed: false,
    times: 'seconds',
    dialect: IBIS_DIALECT,
    logger: { ...CLEAN_LOGGER, noiseW: 0.5, jitter: 0.02, drops: 0.004 },
    extension: 'tsv',
  },
]

const COMPILE_LOGGER: Logger = { ...CLEAN_LOGGER, everyS: 2, noiseW: 0.5, jitter: 0.02 }
const COMPILE_TESTS: readonly Test[] = [
  {
    ...RENDER_TESTS[0]!,
    seed: 1404,
    runs: 8,
    gapS: 12,
    runS: 190,
    dialect: {
      ...PLAIN_DIALECT,
      delimiter: '|',
      time: 'elapsed-ms',
      power: 'mW',
      powerName: 'power_mw',
      encoding: 'utf-16le',
    },
    logger: COMPILE_LOGGER,
  },
  {
    ...RENDER_TESTS[1]!,
    seed: 1705,
    runs: 9,
    gapS: 12,
    runS: 190,
    timed: false,
    // a quarter of an hour before midnight, so that the times of day start over
    dialect: { ...PLAIN_DIALECT, time: 'time-of-day', quoted: true, preamble: true, startEpochS: 1741045500 },
    logger: COMPILE_LOGGER,
  },
  { ...RENDER_TESTS[2]!, seed: 1506, runs: 8, gapS: 12, runS: 190, logger: COMPILE_LOGGER },
]

const STORY = '# Invented machine, chip and scores. Made by samples/make.ts; see samples/README.md.\n'

function makeTest(
  test: Test,
  workload: Workload,
): { readonly world: World; readonly files: readonly SampleFile[] } {
  const bird = test.machine.split(' ')[0]!.toLowerCase()
  const chip = chipTruth({
    ...test.chip,
    demandW: test.chip.demandW * workload.demandShare,
    memoryShare: workload.memoryShare,
  })
  const rate52 = rateAt(chip, test.chassis, 52)
  const world = makeWorld(test.seed, {
    chip,
    chassis: test.chassis,
    names: { machine: test.machine, chip: test.chip.name, chassis: test.chassis.name },
    workload: { name: workload.name, unit: workload.unit },
    better: workload.better,
    work: test.runS * rate52,
    scoreScale: test.scoreAt52W / rate52,
    runs: test.runs,
    gapS: test.gapS,
    scatter: 0.003,
    timed: test.timed,
    times: test.times,
    idleBeforeS: 30,
    dialect: test.dialect,
    logger: test.logger,
    logName: `${bird}-${workload.suffix}.${test.extension}`,
  })
  const sheet = `${bird}${workload === RENDER ? '' : `-${workload.suffix}`}.yaml`
  const text = new TextEncoder().encode(STORY + world.sheetYaml)
  return { world, files: [...world.logs, { name: sheet, bytes: text }] }
}

/** The thick machine as a reader of somebody else's review has it: three levels and two scores, no log. */
function notedSheet(world: World): SampleFile {
  const { burstW, burstForS, shortTermW, shortTermForS, sustainedW } = targetNumbers(world.truth.hold)
  const round = (value: number, step: number) => Math.round(value / step) * step
  const settled = scoreAt(world, sustainedW)
  const text = `${STORY}machine: Bittern 17, from notes
chip: Kestrel 16
chassis: Bittern deep
ambient: 23 degC
workload:
  name: ${RENDER.name}
  score: ${RENDER.unit}
  better: ${RENDER.better}
trials:
  - noted:
      - { power: ${round(burstW, 1)} W, for: ${round(burstForS!, 1)} s }
      - { power: ${round(shortTermW!, 1)} W, for: ${round(shortTermForS!, 1)} s }
      - { power: ${round(sustainedW, 1)} W }
    runs:
      - { score: ${round(world.truth.firstScore!, 10)}, after: 0 s }
      - { score: ${round(settled, 10)}, after: 15 min }
`
  return { name: 'bittern-noted.yaml', bytes: new TextEncoder().encode(text) }
}
