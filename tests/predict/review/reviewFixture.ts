import type { ReviewedMachine, ReviewedTest } from '../../../src/machine/review/fitReview.js'
import type { Chip, Workload } from '../../../src/physics/chip/chip.js'
import { powerLawChip } from '../fixtures.js'

/** A test as fitted: scores at one power, run-to-run scatter of 0.4 %. */
export function reviewedTest(
  parts: Partial<ReviewedTest> & {
    readonly scores?: readonly number[]
    readonly powerW?: number | null
  } = {},
): ReviewedTest {
  const { scores = [100, 100.4, 99.6], powerW = 60, ...rest } = parts
  const workload: Workload = rest.workload ?? {
    name: rest.task ?? 'render',
    score: 'points',
    better: 'higher',
  }
  const power =
    powerW === null ? null : { profile: { powersW: [powerW], secondsS: [60], meanW: powerW }, meanC: null }
  return {
    task: 'render',
    metric: 'points',
    isFirst: true,
    isOneOfSeveral: false,
    mode: 'mains',
    workload,
    all: { scores, power },
    steady: null,
    scatter: { value: 0.004, low: 0.003, high: 0.006, level: 0.9 },
    chip: powerW === null ? null : powerLawChip(),
    heldBy: 'power-limit',
    warnings: [],
    chipWarnings: [],
    ...rest,
  }
}

export function reviewedMachine(
  machine: string,
  tests: readonly ReviewedTest[],
  chip: Chip['name'] = `chip of ${machine}`,
): ReviewedMachine {
  const own = tests.map((test) => ({ ...test, chip: test.chip && { ...test.chip, name: chip } }))
  return { file: `${machine}.yaml`, machine, chip, chassis: machine, tests: own }
}
