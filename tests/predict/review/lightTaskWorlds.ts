import { fitChip } from '../../../src/fit/chip/fitChip.js'
import { profileOfLevels } from '../../../src/fit/chip/profileRun.js'
import type { ReviewedMachine, ReviewedTest } from '../../../src/machine/review/fitReview.js'
import { type RandomStream, randomStream } from '../../worlds/randomStream.js'

/** Two chips in two machines each, under one task that draws a few watts, and what is true of the chips. */
export interface LightTaskWorld {
  readonly machines: readonly ReviewedMachine[]
  /** ln(first chip / second) at a power and temperature, of units that are neither good nor bad. */
  readonly logRatio: (powerW: number, temperatureC: number) => number
}

/** A chip told by a table of voltages over clock: cores that work, cores that wait and leak, and a part that buys nothing. */
interface TabledChip {
  readonly name: string
  readonly cores: number
  /** Clock in GHz, volts; straight lines in between. */
  readonly volts: readonly (readonly [number, number])[]
  readonly topGHz: number
  /** W per GHz and V² of a core at work. */
  readonly dynamicW: number
  /** W of a core at 1 V and 60 degrees C. */
  readonly leakageW: number
  readonly doublesK: number
  /** Leakage of a waiting core, of that of a working one at 1 V. */
  readonly waitingShare: number
  readonly restW: number
}

interface LightTask {
  readonly threads: number
  /** Share of the time at the top clock that waits for memory. */
  readonly waits: number
}

interface ChipUnit {
  readonly leakage: number
  readonly dynamic: number
}

const USUAL_UNIT: ChipUnit = { leakage: 1, dynamic: 1 }
const RUNS = 5

/**
 * Machines whose tasks use a thread or two: their top clock sets the power, of a quarter of what the chip may draw, or in some modes a limit
 * below. Silicon is at 35 to 65 degrees C. It shares no formula with the fits, nor with `tests/worlds`.
 */
export function lightTaskWorld(seed: number): LightTaskWorld {
  const random = randomStream(seed)
  const task = { threads: random.uniform(0, 1) < 0.7 ? 1 : 2, waits: random.uniform(0, 0.5) }
  const chips = ['Dunlin', 'Godwit'].map((name) => drawTabledChip(random, name))
  return {
    machines: chips.flatMap((chip) => machinesWith(chip, task, random)),
    logRatio: (powerW, temperatureC) => {
      const [a, b] = chips.map((chip) =>
        Math.log(rateOf(chip, task, clockOf({ chip, task, unit: USUAL_UNIT }, powerW, temperatureC))),
      )
      return a! - b!
    },
  }
}

function drawTabledChip(random: RandomStream, name: string): TabledChip {
  const topGHz = random.uniform(3.6, 5.4)
  const floorV = random.uniform(0.62, 0.75)
  const kneeV = floorV + random.uniform(0.1, 0.22)
  const topV = kneeV + random.uniform(0.12, 0.35)
  const [floorGHz, kneeGHz] = [topGHz * random.uniform(0.25, 0.5), topGHz * random.uniform(0.7, 0.85)]
  return {
    name,
    cores: Math.round(random.uniform(4, 14)),
    volts: [
      [0, floorV],
      [floorGHz, floorV],
      [kneeGHz, kneeV],
      [topGHz, topV],
    ],
    topGHz,
    dynamicW: random.uniform(5, 12) / (topGHz * topV * topV),
    leakageW: random.uniform(0.08, 0.35),
    doublesK: random.uniform(25, 50),
    waitingShare: random.uniform(0.1, 1),
    restW: random.uniform(0.8, 4),
  }
}

interface TaskOnChip {
  readonly chip: TabledChip
  readonly task: LightTask
  readonly unit: ChipUnit
}

function powerOf({ chip, task, unit }: TaskOnChip, clockGHz: number, temperatureC: number): number {
  const volts = voltsAt(chip, clockGHz)
  const leakW = chip.leakageW * unit.leakage * 2 ** ((temperatureC - 60) / chip.doublesK)
  const working = chip.dynamicW * unit.dynamic * volts * volts * clockGHz + leakW * volts ** 3
  return chip.restW + task.threads * working + (chip.cores - task.threads) * chip.waitingShare * leakW
}

function voltsAt({ volts }: TabledChip, clockGHz: number): number {
  const above = volts.findIndex(([clock]) => clock >= clockGHz)
  const [[low, lowV], [high, highV]] = [volts[Math.max(0, above - 1)]!, volts[above]!]
  return high === low ? highV : lowV + ((highV - lowV) * (clockGHz - low)) / (high - low)
}

/** The clock that a power pays for, up to a top. */
function clockOf(of: TaskOnChip, powerW: number, temperatureC: number, topGHz = of.chip.topGHz): number {
  if (powerOf(of, topGHz, temperatureC) <= powerW) return topGHz
  let [low, high] = [0, topGHz]
  for (let i = 0; i < 40; i++) {
    const middle = (low + high) / 2
    if (powerOf(of, middle, temperatureC) > powerW) high = middle
    else low = middle
  }
  return low
}

function rateOf({ topGHz }: TabledChip, { waits }: LightTask, clockGHz: number): number {
  return 1000 / ((1 - waits) / clockGHz + waits / topGHz)
}

/** Two machines, each with a unit of the chip, cooling and modes of its own. */
function machinesWith(chip: TabledChip, task: LightTask, random: RandomStream): readonly ReviewedMachine[] {
  const names = [`${chip.name} a`, `${chip.name} b`]
  const tested = names.flatMap((machine) => {
    const unit = { leakage: Math.exp(0.1 * random.normal()), dynamic: Math.exp(0.01 * random.normal()) }
    const kelvinsPerW = random.uniform(1, 2)
    return ['mains', 'battery'].map((mode) => {
      const of = { chip, task, unit }
      const topGHz = chip.topGHz * (mode === 'mains' ? 1 : random.uniform(0.75, 1))
      const limitW =
        mode === 'mains' || random.uniform(0, 1) < 0.6 ? 40 : random.uniform(0.6, 1) * powerOf(of, topGHz, 50)
      return { machine, mode, ...settle(of, { topGHz, limitW, kelvinsPerW }) }
    })
  })
  const workload = { name: 'tally', score: 'points', better: 'higher' } as const
  const runsOf = tested.map(({ machine, mode, powerW, temperatureC, clockGHz }) =>
    Array.from({ length: RUNS }, (_, k) => ({
      sheet: machine,
      startS: 60 * k + (mode === 'mains' ? 0 : 1000),
      endS: 60 * k + 60 + (mode === 'mains' ? 0 : 1000),
      score: rateOf(chip, task, clockGHz) * Math.exp(0.004 * random.normal()),
      profile: { ...profileOfLevels([{ powerW, seconds: 60 }]), meanC: temperatureC, warmingW: powerW },
    })),
  )
  // On mains nothing but the task sets the power, as logs of level power at the highest clock show.
  const demandW = Math.max(...tested.flatMap(({ mode, powerW }) => (mode === 'mains' ? powerW : [])))
  const fit = fitChip({ name: chip.name, workload, runs: runsOf.flat(), demandW, idleW: chip.restW })
  return names.map((machine) => ({
    ...{ file: `${machine}.yaml`, machine, chip: chip.name, chassis: machine },
    tests: tested.flatMap((test, i): readonly ReviewedTest[] => {
      if (test.machine !== machine) return []
      const power = { profile: runsOf[i]![0]!.profile, meanC: test.temperatureC }
      return [
        {
          ...{ task: 'tally', metric: 'points', isFirst: true, isOneOfSeveral: false, mode: test.mode },
          ...{ workload, steady: null, warnings: [], chipWarnings: [] },
          heldBy: test.mode === 'mains' ? 'demand' : 'undetermined',
          all: { scores: runsOf[i]!.map(({ score }) => score), power },
          scatter: fit.scatter,
          chip: fit.chip,
        },
      ]
    }),
  }))
}

/** Where power and temperature come to rest. */
function settle(
  of: TaskOnChip,
  mode: { readonly topGHz: number; readonly limitW: number; readonly kelvinsPerW: number },
): { readonly powerW: number; readonly temperatureC: number; readonly clockGHz: number } {
  let [powerW, temperatureC, clockGHz] = [0, 40, mode.topGHz]
  for (let i = 0; i < 30; i++) {
    clockGHz = clockOf(of, mode.limitW, temperatureC, mode.topGHz)
    powerW = powerOf(of, clockGHz, temperatureC)
    temperatureC = Math.min(90, 28 + mode.kelvinsPerW * powerW)
  }
  return { powerW, temperatureC, clockGHz }
}
