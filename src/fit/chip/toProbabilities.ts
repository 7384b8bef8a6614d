import { InputError } from '../../errors.js'

/**
 * Logs of weights to probabilities that add up to 1, in place.
 *
 * @throws InputError `scores-unexplained` when all are 0
 */
export function toProbabilities(logs: Float64Array): Float64Array {
  let highest = Number.NEGATIVE_INFINITY
  for (let i = 0; i < logs.length; i++) if (logs[i]! > highest) highest = logs[i]!
  if (highest === Number.NEGATIVE_INFINITY) {
    throw new InputError('scores-unexplained', 'No score curve gives every run a score at its power.', {
      remedy:
        'Check the run times and the power column: some run seems to have been scored at almost no power.',
    })
  }
  let total = 0
  for (let i = 0; i < logs.length; i++) {
    // A candidate that gives some run no score at all has an undefined misfit. Most others explain next to nothing.
    const below = logs[i]! - highest
    const share = below > NOTHING ? Math.exp(below) : 0
    logs[i] = share
    total += share
  }
  for (let i = 0; i < logs.length; i++) if (logs[i] !== 0) logs[i]! /= total
  return logs
}

/** ln of a share that no sum over candidates notices. */
const NOTHING = -50
