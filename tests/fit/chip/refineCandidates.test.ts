import { describe, expect, it } from 'vitest'
import {
  cubePoint,
  type PointCloud,
  pointCount,
  priorCloud,
  refineCloud,
} from '../../../src/fit/chip/refineCandidates.js'

type CubePoint = readonly number[]

function pointsOf(cloud: PointCloud): readonly CubePoint[] {
  return Array.from({ length: pointCount(cloud) }, (_, i) => cubePoint(cloud, i))
}

/** Mean of a function over the unit cube, from a cloud's points and weights. */
function meanOver(cloud: PointCloud, pick: (point: CubePoint) => number): number {
  return pointsOf(cloud).reduce((sum, point, i) => sum + Math.exp(cloud.logWeights[i]!) * pick(point), 0)
}

/** A sharp likelihood around 0.7 in the first coordinate. */
const sharp = (point: CubePoint): number => Math.exp(-0.5 * ((point[0]! - 0.7) / 0.01) ** 2)

function refinedTwice(): PointCloud {
  let cloud = priorCloud(400, 3)
  for (let round = 0; round < 2; round++) {
    const weights = Float64Array.from(
      pointsOf(cloud),
      (point, i) => Math.exp(cloud.logWeights[i]!) * sharp(point) ** 0.3,
    )
    cloud = refineCloud(cloud, weights, 300)
  }
  return cloud
}

describe('refineCloud', () => {
  it('keeps the weights those of the prior: means over the cube stay what they are', () => {
    const cloud = refinedTwice()
    expect(meanOver(cloud, () => 1)).toBeCloseTo(1, 1)
    expect(meanOver(cloud, (point) => point[1]!)).toBeCloseTo(0.5, 1)
  })

  it('puts many more points where the posterior is, and so integrates a sharp one better', () => {
    const exact = 0.01 * Math.sqrt(2 * Math.PI)
    const near = (cloud: PointCloud) =>
      pointsOf(cloud).filter((point) => Math.abs(point[0]! - 0.7) < 0.02).length
    const refined = refinedTwice()
    expect(near(refined)).toBeGreaterThan(5 * near(priorCloud(1000, 3)))
    expect(Math.abs(meanOver(refined, sharp) / exact - 1)).toBeLessThan(0.05)
  })

  it('weighs points as the prior over all that they were drawn from: moments of an even share stay to a part in a hundred', () => {
    for (const dimensions of [1, 2]) {
      let cloud = priorCloud(1500, dimensions)
      for (const peak of [0.3, 0.8]) {
        const weights = Float64Array.from(pointsOf(cloud), (point) =>
          Math.exp(-(((point[0]! - peak) / 0.1) ** 2)),
        )
        cloud = refineCloud(cloud, weights, 1500)
      }
      expect(pointCount(cloud)).toBe(4500)
      expect(Math.abs(meanOver(cloud, () => 1) - 1)).toBeLessThan(0.01)
      for (let j = 0; j < dimensions; j++) {
        expect(Math.abs(meanOver(cloud, (point) => point[j]!) - 1 / 2)).toBeLessThan(0.01)
        expect(Math.abs(meanOver(cloud, (point) => point[j]! ** 2) - 1 / 3)).toBeLessThan(0.01)
      }
    }
  })

  /** Logits of one coordinate of the points that a refinement adds. */
  function added(weights: (logit: number) => number, count: number): number[] {
    const cloud = priorCloud(600, 1)
    const refined = refineCloud(cloud, Float64Array.from(cloud.logits, weights), count)
    expect([...refined.logits.slice(0, 600)]).toEqual([...cloud.logits])
    return [...refined.logits.slice(600)]
  }
  const spreadOf = (values: readonly number[], about: number) =>
    Math.sqrt(values.reduce((sum, value) => sum + (value - about) ** 2, 0) / values.length)

  it('adds points around one that has all the weight, no closer than the least width: 0.6 √0.02 in logits', () => {
    const only = priorCloud(600, 1).logits[17]!
    const logits = added((logit) => (logit === only ? 3 : 0), 2000)
    const mean = logits.reduce((sum, value) => sum + value, 0) / logits.length
    expect(Math.abs(mean - only)).toBeLessThan(0.01)
    expect(spreadOf(logits, only) / (0.6 * Math.sqrt(0.02))).toBeCloseTo(1, 1)
  })

  it('adds them around several as their weights ask, by 0.6 of the spread of all', () => {
    const [low, high] = [priorCloud(600, 1).logits[5]!, priorCloud(600, 1).logits[6]!].sort(
      (a, b) => a - b,
    ) as [number, number]
    const logits = added((logit) => (logit === low ? 3 : logit === high ? 1 : 0), 2400)
    // Eighteen of 24 kernels around the one, six around the other.
    const mean = 0.75 * low + 0.25 * high
    expect(Math.abs(logits.reduce((sum, value) => sum + value, 0) / logits.length - mean)).toBeLessThan(0.02)
    const between = 0.75 * 0.25 * (high - low) ** 2
    expect(spreadOf(logits, mean) / Math.sqrt(between + 0.36 * (between + 0.02))).toBeCloseTo(1, 1)
  })
})
