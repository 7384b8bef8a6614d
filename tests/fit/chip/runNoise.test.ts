import { expect, it } from 'vitest'
import type { CurvePosterior } from '../../../src/fit/chip/curvePosterior.js'
import { noiseProbabilities, RUN_NOISE } from '../../../src/fit/chip/runNoise.js'

it('run-to-run scatter is about 0.4 % beforehand, log-normal, from 0.1 to 8 % in even steps', () => {
  const { deviations, logWeights } = RUN_NOISE
  expect(deviations).toHaveLength(13)
  expect(deviations[0]).toBeCloseTo(0.004 * Math.exp(-1.4), 9)
  expect(deviations[12]).toBeCloseTo(0.004 * Math.exp(0.8 * 3.77), 9)
  deviations.forEach((deviation, s) => {
    const z = Math.log(deviation / 0.004) / 0.8
    expect(logWeights[s]).toBeCloseTo((-z * z) / 2, 9)
  })
  const steps = deviations.slice(1).map((deviation, s) => deviation / deviations[s]!)
  for (const step of steps) expect(step).toBeCloseTo(Math.exp(0.8 * 0.46), 9)
})

it('a noise level is as probable as all candidates with it', () => {
  const probabilities = Float64Array.from({ length: 26 }, (_, i) =>
    i === 2 ? 0.3 : i === 15 ? 0.5 : i === 25 ? 0.2 : 0,
  )
  const { deviations, weights } = noiseProbabilities({ probabilities } as unknown as CurvePosterior)
  expect(deviations).toEqual(RUN_NOISE.deviations)
  expect(weights.map((weight) => Math.round(10 * weight))).toEqual([0, 0, 8, 0, 0, 0, 0, 0, 0, 0, 0, 0, 2])
})
