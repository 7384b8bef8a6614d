import type { Load } from '../segment/load.js'
import type { ReadTest, ReadTrial } from './testedMachine.js'

/** The load that a test is spoken of by, and the trial that holds it. */
export interface MainLoad {
  readonly load: Load
  readonly trial: ReadTrial
}

/**
 * The load that a test is spoken of by: the longest of its first power mode. Its chassis is fitted to it.
 *
 * @returns undefined when no log of the test holds a load
 */
export function mainLoad(test: ReadTest): MainLoad | undefined {
  return mainTrials(test)
    .flatMap((trial) => (trial.kind === 'logged' ? trial.loads.map((load) => ({ load, trial })) : []))
    .reduce<MainLoad | undefined>(
      (best, each) => (best === undefined || lengthS(each.load) > lengthS(best.load) ? each : best),
      undefined,
    )
}

/** The trials in the power mode of the first log that holds a load, else of the first trial: limits and scores of one mode belong together. */
export function mainTrials({ trials }: Pick<ReadTest, 'trials'>): ReadTest['trials'] {
  const first = trials.find((each) => each.kind === 'logged' && each.loads.length > 0) ?? trials[0]
  return trials.filter(({ trial }) => trial.mode === first?.trial.mode)
}

function lengthS(load: Load): number {
  return load.endS - load.startS
}
