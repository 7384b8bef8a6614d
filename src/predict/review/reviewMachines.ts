import { InputError } from '../../errors.js'
import type { ReviewedMachine } from '../../machine/review/fitReview.js'
import { type ModeMean, modeMeans } from './modeMeans.js'
import { type PairMean, pairMeans } from './pairMeans.js'
import { drawReview } from './reviewDraws.js'
import { type ReviewResult, reviewResults } from './reviewResults.js'

/** A whole review: every result of every machine, pairs of machines in each, and means over workloads. */
export interface Review {
  readonly machines: readonly Pick<ReviewedMachine, 'file' | 'machine' | 'chip' | 'chassis'>[]
  readonly results: readonly ReviewResult[]
  /** Each pair of machines in each power mode, over workloads. */
  readonly means: readonly PairMean[]
  /** Each machine's other power modes against its first, over workloads. */
  readonly modes: readonly ModeMean[]
}

/**
 * Sets machines side by side in every workload, power mode and metric: as tested, at equal power, and why they differ; and in the
 * geometric mean over workloads.
 *
 * Every ratio says how much faster the first is: above 1 it is ahead, whether its score counts up or is a time. All figures come
 * from one set of draws (`drawReview`), so that means carry what their workloads have in common.
 *
 * @param machines - one or more, in the order in which they are named
 * @param options.atW - power of the comparison at equal power; left out: for each workload and mode the geometric mean of what the
 * machines held in it
 * @throws InputError `machine-named-twice`, `metrics-differ`
 * @source geometric mean of ratios: P. J. Fleming, J. J. Wallace (1986), How not to lie with statistics: the correct way to
 * summarize benchmark results, Communications of the ACM 29, 218-221: X over Z is then X over Y times Y over Z, whichever machine
 * ratios are taken to
 * @example
 * const scored = ['Heron', 'Wren'].map((name, at) => parseReview('machine: ' + name + '\nchip: A\nchassis: B\nworkloads: [{ name: copy, score: MB/s, better: higher }]\ntrials: [{ workload: copy, runs: [{ score: ' + [990, 900][at] + ' }] }]', name))
 * const read = scored.map((whole) => ({ sheet: whole, tests: whole.tests.map((of) => ({ of, read: null })) }))
 * reviewMachines(fitReview(read)).means[0].asTested.ratio.value // 1.1
 */
export function reviewMachines(
  machines: readonly ReviewedMachine[],
  options: { readonly atW?: number } = {},
): Review {
  const names = machines.map(({ machine }) => machine)
  const twice = machines.find(({ machine }, index) => names.indexOf(machine) !== index)
  if (twice !== undefined) {
    throw new InputError(
      'machine-named-twice',
      `expected machines with names of their own, got two of ${twice.machine}`,
      {
        where: { file: twice.file },
        remedy: 'give each sheet its own `machine`; tests of one machine belong in one sheet',
      },
    )
  }
  const draws = drawReview(machines)
  const results = reviewResults(machines, draws, options.atW)
  return {
    machines: machines.map(({ file, machine, chip, chassis }) => ({ file, machine, chip, chassis })),
    results: results.map(({ result }) => result),
    means: pairMeans(results),
    modes: modeMeans(machines, draws),
  }
}
