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
})
