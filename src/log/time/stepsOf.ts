import { thinnedFrom } from '../../numeric/thin.js'

/** Steps from each time to the next, n - 1 of them. */
export function stepsOf(times: Float64Array): Float64Array {
  const steps = new Float64Array(Math.max(0, times.length - 1))
  for (let i = 0; i < steps.length; i++) steps[i] = times[i + 1]! - times[i]!
  return steps
}

/** So many steps tell their median. */
const ENOUGH = 2 ** 17

/** As `stepsOf`; of a long series as many, spread evenly, as tell what is usual. */
export function usualSteps(times: Float64Array): Float64Array {
  return thinnedFrom(Math.max(0, times.length - 1), ENOUGH, (i) => times[i + 1]! - times[i]!)
}
