import { fitChip } from '../../../src/fit/chip/fitChip.js'
import { profileOfLevels } from '../../../src/fit/chip/profileRun.js'
import type { ReviewedMachine, ReviewedTest } from '../../../src/machine/review/fitReview.js'
import { type ChipTruth, chipTruth, drawChip } from '../../worlds/chipTruth.js'
import { type RandomStream, randomStream } from '../../worlds/randomStream.js'

/** Two machines reviewed with known chips, and what is true of them. */
export interface ReviewWorld {
  readonly machines: readonly ReviewedMachine[]
  /** Noise-free ln(A / B) of each workload on mains, as tested. */
  readonly asTested: readonly number[]
  /** The same of the chips at one power. */
  readonly atPower: (powerW: number) => readonly number[]
}

/** Temperature of every run, degrees C: that which curves are told at. */
const LOADED_C = 78
/** Run-to-run scatter, relative. */
const SCATTER = 0.004
const RUNS = 3

/**
 * Two machines with chips of their own, some workloads that differ in how much of their time waits for memory, at the power of mains
 * and of battery: the chip's physics is that of `tests/worlds`, which shares no formula with the fit.
 */
export function reviewWorld(seed: number, workloads: number): ReviewWorld {
  const random = randomStream(seed)
  const tasks = Array.from({ length: workloads }, (_, i) => ({
    name: `task ${i + 1}`,
    memoryShare: random.uniform(0.02, 0.35),
    demandShare: random.uniform(0.7, 1),
  }))
  const sides = ['Avocet', 'Bunting'].map((name) => {
    const parameters = { ...drawChip(random, name), name }
    const sustainedW = parameters.demandW * random.uniform(0.4, 0.7)
    const chips = tasks.map(({ memoryShare, demandShare }) =>
      chipTruth({ ...parameters, memoryShare, demandW: parameters.demandW * demandShare }),
    )
    return { name, chips, powersW: [sustainedW, sustainedW * random.uniform(0.55, 0.75)] as const }
  })
  const machines = sides.map(({ name, chips, powersW }): ReviewedMachine => {
    const tests = chips.flatMap((chip, i) => testsOf({ name, task: tasks[i]!.name, chip, powersW }, random))
    return { file: `${name}.yaml`, machine: name, chip: name, chassis: name, tests }
  })
  const logRates = (powerOf: (side: number) => number) =>
    tasks.map((_, i) => {
      const [a, b] = sides.map(({ chips }, side) => Math.log(rateOf(chips[i]!, powerOf(side))))
      return a! - b!
    })
  return {
    machines,
    asTested: logRates((side) => sides[side]!.powersW[0]),
    atPower: (powerW) => logRates(() => powerW),
  }
}

function rateOf(chip: ChipTruth, powerW: number): number {
  return chip.rateAtClock(chip.clockAt(powerW, LOADED_C))
}

interface TaskOnMachine {
  readonly name: string
  readonly task: string
  readonly chip: ChipTruth
  readonly powersW: readonly [number, number]
}

function testsOf(
  { name, task, chip, powersW }: TaskOnMachine,
  random: RandomStream,
): readonly ReviewedTest[] {
  const workload = { name: task, score: 'points', better: 'higher' } as const
  const modes = powersW.map((powerW) => ({
    powerW,
    scores: Array.from({ length: RUNS }, () => 1000 * rateOf(chip, powerW) * (1 + SCATTER * random.normal())),
  }))
  const profileAt = (powerW: number) => ({
    ...profileOfLevels([{ powerW, seconds: 60 }]),
    meanC: LOADED_C,
    warmingW: powerW,
  })
  const runs = modes.flatMap(({ powerW, scores }) =>
    scores.map((score, i) => ({
      sheet: name,
      startS: 60 * i,
      endS: 60 * i + 60,
      score,
      profile: profileAt(powerW),
    })),
  )
  const fit = fitChip({ name, workload, runs })
  return modes.map(({ powerW, scores }, i) => ({
    ...{
      task,
      metric: 'points',
      isFirst: true,
      isOneOfSeveral: false,
      workload,
      steady: null,
      warnings: [],
      chipWarnings: [],
    },
    mode: i === 0 ? 'mains' : 'battery',
    all: { scores, power: { profile: profileAt(powerW), meanC: LOADED_C } },
    scatter: fit.scatter,
    chip: fit.chip,
    heldBy: 'power-limit' as const,
  }))
}
