/** How a descent measures the length of a step, and how far it trusts the first one. */
export interface Strategy {
  /** `largest`: by the largest slope that a parameter has shown; `current`: by its slope now; `relative`: by its size. */
  readonly scaling: 'largest' | 'current' | 'relative'
  /** First step length as a share of the scaled length of the start. */
  readonly firstRadius: number
}

/**
 * What a unit of each parameter weighs in the length of a step.
 *
 * @param before - scales of the step before, when there was one
 * @param lengths - of the derivatives' columns, one a parameter
 */
export function scalesFor(
  strategy: Strategy,
  before: Float64Array | undefined,
  lengths: Float64Array,
  parameters: Float64Array,
): Float64Array {
  return lengths.map((length, j) => {
    const last = before?.[j] ?? 0
    if (strategy.scaling === 'relative') return 1 / (Math.abs(parameters[j]!) || 1 / (last || length || 1))
    if (strategy.scaling === 'current') return length || last || 1
    return Math.max(length, last) || 1
  })
}

/** Length of a step in scaled variables. */
export function scaledLength(step: Float64Array, scales: Float64Array): number {
  let sum = 0
  for (let j = 0; j < step.length; j++) sum += (step[j]! * scales[j]!) ** 2
  return Math.sqrt(sum)
}
