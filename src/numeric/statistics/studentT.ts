import { InputError } from '../../errors.js'
import { logGamma } from './logGamma.js'
import { normalQuantile } from './normalQuantile.js'

/**
 * The value of Student's t that is undercut with the given probability.
 *
 * Newton steps on the distribution function from a Cornish-Fisher start; the closed forms are used for one and two
 * degrees of freedom, the Cornish-Fisher series alone above 10,000. Infinite degrees of freedom give the normal
 * distribution. Relative accuracy 1e-11 or better.
 *
 * @param probability - strictly between 0 and 1
 * @param degreesOfFreedom - > 0, need not be whole, may be Infinity
 * @throws InputError `probability-out-of-range`, `degrees-of-freedom-not-positive`
 * @source Cornish-Fisher start: M. Abramowitz, I. A. Stegun (1964), 26.7.5
 * @example studentTQuantile(0.95, 9) // 1.8331129326562370
 */
export function studentTQuantile(probability: number, degreesOfFreedom: number): number {
  requireDegreesOfFreedom(degreesOfFreedom)
  const z = normalQuantile(probability)
  if (degreesOfFreedom === Number.POSITIVE_INFINITY || z === 0) return z
  if (z > 0) return -lowerQuantile(1 - probability, degreesOfFreedom)
  return lowerQuantile(probability, degreesOfFreedom)
}

/**
 * Probability that Student's t stays below `t`.
 *
 *   P = 1 - I(v / (v + t²); v/2, 1/2) / 2 for t > 0, with I the regularised incomplete beta function
 *
 * @throws InputError `degrees-of-freedom-not-positive`
 * @source DLMF 8.17; continued fraction 8.17.22
 * @example studentTProbability(1.8331129326562370, 9) // 0.95
 */
export function studentTProbability(t: number, degreesOfFreedom: number): number {
  requireDegreesOfFreedom(degreesOfFreedom)
  const tail = tailProbability(Math.abs(t), degreesOfFreedom)
  return t > 0 ? 1 - tail : tail
}

function requireDegreesOfFreedom(degreesOfFreedom: number): void {
  if (!(degreesOfFreedom > 0)) {
    throw new InputError(
      'degrees-of-freedom-not-positive',
      `expected degrees of freedom above 0, got ${degreesOfFreedom}`,
      { remedy: 'More values than parameters are needed for an interval.' },
    )
  }
}

/** Quantile below the median. */
function lowerQuantile(probability: number, v: number): number {
  if (v === 1) return -1 / Math.tan(Math.PI * probability)
  if (v === 2) return (2 * probability - 1) / Math.sqrt(2 * probability * (1 - probability))
  if (v > 10_000) return seriesQuantile(normalQuantile(probability), v)
  // Newton on ln P against ln |t|: in the tail that is nearly a straight line, so few degrees of freedom converge too.
  let size = Math.abs(seriesQuantile(normalQuantile(probability), Math.max(v, 3)))
  for (let i = 0; i < 60; i++) {
    const tail = tailProbability(size, v)
    const slope = (-size * density(size, v)) / tail
    const step = Math.log(tail / probability) / slope
    const next = size * Math.exp(-Math.max(-2, Math.min(2, step)))
    if (Math.abs(next - size) <= 4e-16 * size) return -next
    size = next
  }
  return -size
}

/** Cornish-Fisher series in 1/v; the first term left out is of order 1/v⁴. */
function seriesQuantile(z: number, v: number): number {
  const first = (z ** 3 + z) / 4
  const second = (5 * z ** 5 + 16 * z ** 3 + 3 * z) / 96
  const third = (3 * z ** 7 + 19 * z ** 5 + 17 * z ** 3 - 15 * z) / 384
  return z + first / v + second / v ** 2 + third / v ** 3
}

/** P(T > t) for t >= 0. */
function tailProbability(t: number, v: number): number {
  const square = t * t
  return 0.5 * incompleteBeta(v / (v + square), square / (v + square), v / 2, 0.5)
}

function density(t: number, v: number): number {
  const scale = logGamma((v + 1) / 2) - logGamma(v / 2) - 0.5 * Math.log(v * Math.PI)
  return Math.exp(scale - ((v + 1) / 2) * Math.log1p((t * t) / v))
}

/** Regularised incomplete beta function I(x; a, b); `rest` is 1 - x, given apart to keep its digits. */
function incompleteBeta(x: number, rest: number, a: number, b: number): number {
  if (x <= 0) return 0
  if (rest <= 0) return 1
  if (x > (a + 1) / (a + b + 2)) return 1 - incompleteBeta(rest, x, b, a)
  const front = logGamma(a + b) - logGamma(a) - logGamma(b) + a * Math.log(x) + b * Math.log(rest)
  return (Math.exp(front) * betaFraction(x, a, b)) / a
}

/** Continued fraction DLMF 8.17.22, evaluated forwards (modified Lentz). */
function betaFraction(x: number, a: number, b: number): number {
  let c = 1
  let d = 1 / keepFromZero(1 - ((a + b) * x) / (a + 1))
  let value = d
  for (let m = 1; m < 10_000; m++) {
    const even = (m * (b - m) * x) / ((a + 2 * m - 1) * (a + 2 * m))
    d = 1 / keepFromZero(1 + even * d)
    c = keepFromZero(1 + even / c)
    value *= d * c
    const odd = (-(a + m) * (a + b + m) * x) / ((a + 2 * m) * (a + 2 * m + 1))
    d = 1 / keepFromZero(1 + odd * d)
    c = keepFromZero(1 + odd / c)
    value *= d * c
    if (Math.abs(d * c - 1) < 1e-16) break
  }
  return value
}

function keepFromZero(x: number): number {
  return Math.abs(x) < 1e-300 ? 1e-300 : x
}
