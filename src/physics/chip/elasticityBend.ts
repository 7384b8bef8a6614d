/**
 * A smooth departure of a score curve from its shape, given as changes of elasticity: `tilt` everywhere, and further steps
 * at every `stepLn` of ln(power / reference) away from the reference. In ln rate that is a broken line through 0:
 *
 *   h(t) = tilt t + sum_j above[j] max(0, t - j step)   for t >= 0
 *   h(t) = tilt t - sum_j below[j] max(0, -t - j step)  for t < 0
 */
export interface ElasticityBend {
  readonly tilt: number
  readonly stepLn: number
  readonly above: readonly number[]
  readonly below: readonly number[]
}

/** Change of ln rate at t = ln(P / reference). */
export function bendLogRate(bend: ElasticityBend, t: number): number {
  const steps = t >= 0 ? bend.above : bend.below
  const distance = Math.abs(t)
  let sum = bend.tilt * distance
  for (let j = 0; j < steps.length && j * bend.stepLn < distance; j++) {
    sum += steps[j]! * (distance - j * bend.stepLn)
  }
  return t >= 0 ? sum : -sum
}

/** Change of elasticity at t = ln(P / reference). */
export function bendElasticity(bend: ElasticityBend, t: number): number {
  const steps = t >= 0 ? bend.above : bend.below
  let sum = bend.tilt
  for (let j = 0; j < steps.length && j * bend.stepLn < Math.abs(t); j++) sum += steps[j]!
  return sum
}
