import { InputError } from '../../errors.js'

/** Probability of each pair of candidate and noise level, and of each candidate. */
export interface PairProbabilities {
  readonly probabilities: Float64Array
  readonly shares: Float64Array
}

/**
 * Log likelihoods of pairs of candidate and noise level to probabilities that add up to 1, in place.
 *
 * @param logs - noise level by noise level, candidate by candidate
 * @param logPriors - of each candidate
 * @throws InputError `scores-unexplained` when all are 0
 */
export function toProbabilities(logs: Float64Array, logPriors: Float64Array): PairProbabilities {
  const levels = logs.length / logPriors.length
  const highest = addPriors(logs, logPriors, levels)
  if (highest === Number.NEGATIVE_INFINITY) {
    throw new InputError('scores-unexplained', 'No score curve gives every run a score at its power.', {
      remedy:
        'Check the run times and the power column: some run seems to have been scored at almost no power.',
    })
  }
  const shares = new Float64Array(logPriors.length)
  const total = raise(logs, highest, shares)
  scale(logs, 1 / total)
  scale(shares, 1 / total)
  return { probabilities: logs, shares }
}

/** Adds each candidate's prior to its levels; gives the highest sum. */
function addPriors(logs: Float64Array, logPriors: Float64Array, levels: number): number {
  let highest = Number.NEGATIVE_INFINITY
  for (let c = 0, i = 0; c < logPriors.length; c++) {
    const logPrior = logPriors[c]!
    for (const end = i + levels; i < end; i++) {
      const sum = logs[i]! + logPrior
      logs[i] = sum
      if (sum > highest) highest = sum
    }
  }
  return highest
}

/** Logs to shares of the highest, in place; gives their sum, and that of each candidate. */
function raise(logs: Float64Array, highest: number, shares: Float64Array): number {
  const levels = logs.length / shares.length
  let total = 0
  for (let c = 0, i = 0; c < shares.length; c++) {
    let sum = 0
    for (const end = i + levels; i < end; i++) {
      // A candidate that gives some run no score at all has an undefined misfit. Most others explain next to nothing.
      const below = logs[i]! - highest
      const share = below > NOTHING ? Math.exp(below) : 0
      logs[i] = share
      sum += share
    }
    shares[c] = sum
    total += sum
  }
  return total
}

function scale(values: Float64Array, factor: number): void {
  for (let i = 0; i < values.length; i++) if (values[i] !== 0) values[i]! *= factor
}

/** ln of a share that no sum over candidates notices. */
const NOTHING = -50
