import { describe, expect, it } from 'vitest'
import { gridProfiles, logRunRates } from '../../../src/fit/chip/gridProfiles.js'

const profile = (powersW: readonly number[], secondsS: readonly number[]) => ({ powersW, secondsS, meanW: 0 })
const curve = { shape: 'power-law', scale: 3, exponent: 0.7 } as const

describe('runs on one grid of powers', () => {
  const profiles = [profile([40, 55, 71.3], [10, 30, 20]), profile([50], [60]), profile([0, 60], [10, 50])]
  const gridOf = () => gridProfiles(profiles)

  it('have shares of time that add up to 1, at rising powers', () => {
    const grid = gridOf()
    for (const weights of grid.weights)
      expect(weights.reduce((sum, weight) => sum + weight, 0)).toBeCloseTo(1, 12)
    expect(Array.from(grid.powersW)).toEqual(Array.from(grid.powersW).sort((a, b) => a - b))
  })

  it('keep the mean of ln power of each run', () => {
    const grid = gridOf()
    const logs = (powersW: ArrayLike<number>, shares: ArrayLike<number>) =>
      Array.from(powersW).reduce((sum, powerW, i) => sum + shares[i]! * Math.log(powerW), 0)
    expect(logs(grid.powersW, grid.weights[0]!)).toBeCloseTo(logs([40, 55, 71.3], [1 / 6, 1 / 2, 1 / 3]), 10)
    expect(logs(grid.powersW, grid.weights[1]!)).toBeCloseTo(Math.log(50), 10)
  })

  it('have the mean rate that their samples have, to a part in ten thousand', () => {
    const grid = gridOf()
    const rates = new Float64Array(4).fill(Number.NaN)
    logRunRates(grid, curve, rates, 1)
    const rate = (powerW: number) => 3 * powerW ** 0.7
    expect(rates[0]).toBeNaN()
    // Step² / 8 of what the rate bends by ln power: 0.04² / 8 × 0.7².
    expect(
      Math.abs(rates[1]! - Math.log((10 * rate(40) + 30 * rate(55) + 20 * rate(71.3)) / 60)),
    ).toBeLessThan(1e-4)
    expect(Math.abs(rates[2]! - Math.log(rate(50)))).toBeLessThan(1e-4)
    // No power buys no score, to the 0.01 W that cells tell apart.
    expect(Math.abs(rates[3]! - Math.log((10 * rate(0.01) + 50 * rate(60)) / 60))).toBeLessThan(1e-4)
  })
})
