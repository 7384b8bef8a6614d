import type { ReviewedMachine, ReviewedTest } from '../../machine/review/fitReview.js'
import type { Estimate } from '../../numeric/statistics/estimate.js'
import { ratioOf } from './comparePair.js'
import { averaged } from './pairMeans.js'
import { logSpeed, type ReviewDraws } from './reviewDraws.js'
import { differences } from './splitTested.js'

/** One power mode of a machine against its first: geometric mean of how much faster it is. */
export interface ModeMean {
  readonly machine: string
  readonly mode: string | null
  /** The mode that it is held against. */
  readonly against: string | null
  readonly ratio: Estimate
  readonly results: readonly {
    readonly workload: string
    readonly metric: string
    readonly ratio: Estimate
  }[]
}

/** Every machine's other power modes against the first that its sheet names, over the workloads that ran in both. */
export function modeMeans(machines: readonly ReviewedMachine[], draws: ReviewDraws): readonly ModeMean[] {
  return machines.flatMap((machine) => {
    const [first, ...others] = [...new Set(machine.tests.map(({ mode }) => mode))]
    return others.flatMap((mode) => modeMean(machine, { mode, against: first! }, draws) ?? [])
  })
}

function modeMean(
  { machine, tests }: ReviewedMachine,
  { mode, against }: { readonly mode: string | null; readonly against: string | null },
  draws: ReviewDraws,
): ModeMean | null {
  const ratios = tests.flatMap((test) => {
    const other = tests.find(
      ({ task, metric, mode: of }) => of === against && task === test.task && metric === test.metric,
    )
    if (test.mode !== mode || other === undefined) return []
    return [{ test, ratio: ratioDrawn(test, other, draws) }]
  })
  const first = ratios.filter(({ test }) => test.isFirst)
  if (first.length === 0) return null
  return {
    machine,
    mode,
    against,
    ratio: ratioOf(averaged(first.map(({ ratio }) => ratio))),
    results: ratios.map(({ test, ratio }) => ({
      workload: test.task,
      metric: test.metric,
      ratio: ratioOf(ratio),
    })),
  }
}

function ratioDrawn(a: ReviewedTest, b: ReviewedTest, draws: ReviewDraws) {
  const isSteady = a.steady !== null && b.steady !== null
  const [partA, partB] = [a, b].map((test) => (isSteady ? test.steady! : test.all))
  return {
    value: logSpeed(a, partA!) - logSpeed(b, partB!),
    draws: differences(draws.logSpeeds(a, partA!), draws.logSpeeds(b, partB!)),
  }
}
