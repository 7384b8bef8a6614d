import { describe, expect, it } from 'vitest'
import { FULL_DETAIL, findCandidates } from '../../../src/segment/cut/findCandidates.js'
import type { Series } from '../../../src/segment/cut/fitPiece.js'
import { sampleSums } from '../../../src/segment/cut/sampleSums.js'
import { summariseCells, tauGrid } from '../../../src/segment/cut/summariseCells.js'

function seriesOf(powers: readonly number[], weights = powers.map(() => 1), everyS = 2): Series {
  return {
    timesS: Float64Array.from(powers, (_, i) => 30 + everyS * i),
    powerW: Float64Array.from(powers),
    weights: Uint8Array.from(weights),
    averaged: true,
    closes: false,
  }
}

const sum = (values: readonly number[]) => values.reduce((total, value) => total + value, 0)

describe('running sums', () => {
  it('hold what lies before each sample, power from its mean', () => {
    const sums = sampleSums(seriesOf([10, 20, 900, 60], [1, 1, 0, 1]))
    expect(sums.meanW).toBe(30)
    expect(Array.from(sums.weight)).toEqual([0, 1, 2, 2, 3])
    expect(Array.from(sums.power)).toEqual([0, -20, -30, -30, 0])
    expect(sums.intervalS).toBe(2)
  })

  it('are of nothing where all samples are set aside', () => {
    expect(sampleSums(seriesOf([10, 20], [0, 0])).meanW).toBe(0)
    expect(sampleSums(seriesOf([10])).intervalS).toBe(0)
  })
})

it('time constants go from the shortest to the longest by a factor', () => {
  expect(tauGrid(2, 20, 2)).toEqual([2, 4, 8, 16])
  expect(tauGrid(2, 16, 2)).toEqual([2, 4, 8, 16])
  expect(tauGrid(5, 1, 2)).toEqual([5])
})

describe('cells between candidates', () => {
  const powers = Array.from({ length: 40 }, (_, i) => 80 + 30 * Math.exp(-i / 9) + (i % 3))
  const weights = powers.map((_, i) => (i === 7 || i === 22 ? 0 : 1))
  const candidates = [0, 10, 20, 25]
  const ends = [10, 20, 25, 40]
  const inside = (cell: number) =>
    Array.from({ length: ends[cell]! - candidates[cell]! }, (_, k) => candidates[cell]! + k)
  const summarised = () => {
    const sums = sampleSums(seriesOf(powers, weights))
    return { cells: summariseCells(sums, candidates, 1.5), y: (i: number) => powers[i]! - sums.meanW }
  }

  it('have the sums of their samples', () => {
    const { cells, y } = summarised()
    expect(cells.count).toBe(4)
    for (const cell of [0, 1, 2, 3]) {
      const samples = inside(cell)
      expect(cells.samples[cell]).toBe(samples.length)
      expect(cells.weight[cell]).toBe(sum(samples.map((i) => weights[i]!)))
      expect(cells.sum[cell]).toBeCloseTo(sum(samples.map((i) => weights[i]! * y(i))), 9)
      expect(cells.square[cell]).toBeCloseTo(sum(samples.map((i) => weights[i]! * y(i) ** 2)), 8)
    }
    // The last one ends with its last sample.
    expect(Array.from(cells.lengthS)).toEqual([20, 20, 10, 28])
  })

  it('have those of each relaxation, a group of samples within a fortieth of its time constant counting as one', () => {
    const { cells, y } = summarised()
    // 0.8 of the sampling interval, in steps of 1.5 up to the length.
    expect(cells.taus[0]).toBeCloseTo(1.6, 12)
    expect(cells.taus[1]).toBeCloseTo(2.4, 12)
    expect(cells.taus.at(-1)!).toBeLessThanOrEqual(78)
    cells.taus.forEach((tauS, k) => {
      for (const cell of [0, 1, 2, 3]) {
        const samples = inside(cell)
        const x = (i: number) => Math.exp((-2 * (i - candidates[cell]!)) / tauS)
        const near = (value: number) => expect.closeTo(value, 2)
        expect(cells.e[k]![cell]).toEqual(near(sum(samples.map((i) => weights[i]! * x(i)))))
        expect(cells.ee[k]![cell]).toEqual(near(sum(samples.map((i) => weights[i]! * x(i) ** 2))))
        expect(cells.ey[k]![cell]).toEqual(near(sum(samples.map((i) => weights[i]! * x(i) * y(i)))))
        expect(cells.fade[k]![cell]).toBeCloseTo(Math.exp(-cells.lengthS[cell]! / tauS), 12)
      }
    })
  })

  it('group samples of long time constants with little error', () => {
    const many = Array.from({ length: 600 }, (_, i) => 80 + 30 * Math.exp(-i / 300))
    const long = sampleSums(seriesOf(many))
    const whole = summariseCells(long, [0], 1.5)
    whole.taus.forEach((tauS, k) => {
      const x = (i: number) => Math.exp((-2 * i) / tauS)
      const e = sum(many.map((_, i) => x(i)))
      expect(whole.e[k]![0]! / e).toBeCloseTo(1, 3)
      expect(whole.ey[k]![0]! / sum(many.map((watts, i) => x(i) * (watts - long.meanW)))).toBeCloseTo(1, 1)
    })
  })
})

describe('candidates', () => {
  const noise = (i: number) => 0.1 * (((7 * i) % 11) - 5)
  const candidatesOf = (powers: readonly number[], weights?: readonly number[]) =>
    findCandidates(sampleSums(seriesOf(powers, weights && [...weights])), 0.35, FULL_DETAIL)

  it('are all samples of a short series', () => {
    expect(candidatesOf(new Array<number>(240).fill(80))).toEqual(Array.from({ length: 240 }, (_, i) => i))
  })

  it('are an even grid and the neighbourhood of each step in a longer one', () => {
    const powers = Array.from({ length: 3000 }, (_, i) => (i < 1007 ? 100 : i < 1404 ? 90 : 89.6) + noise(i))
    const found = candidatesOf(powers)
    expect(found.length).toBeLessThanOrEqual(FULL_DETAIL.most + 5)
    expect(found[0]).toBe(0)
    for (let g = 1; g < 160; g++) expect(found).toContain(Math.round(g * 18.75))
    for (const at of [1005, 1006, 1007, 1008, 1009]) expect(found).toContain(at)
    // A step of hardly more than the noise is placed to a few samples.
    expect(found.some((at) => Math.abs(at - 1404) <= 6)).toBe(true)
  })

  it('rise, and hold a step just before the end', () => {
    const found = candidatesOf(Array.from({ length: 3000 }, (_, i) => (i < 2997 ? 100 : 80)))
    expect(found).toEqual([...found].sort((a, b) => a - b))
    expect(found).toEqual(expect.arrayContaining([2996, 2997, 2998]))
  })

  it('are no more than an even grid where nothing steps', () => {
    expect(candidatesOf(new Array<number>(3000).fill(80))).toHaveLength(160)
    // A spike that is set aside is no step.
    const spiked = new Array<number>(3000).fill(80)
    spiked[1510] = 300
    const weights = spiked.map((_, i) => (i === 1510 ? 0 : 1))
    expect(candidatesOf(spiked, weights)).toHaveLength(160)
    expect(candidatesOf(spiked).length).toBeGreaterThan(160)
  })

  it('are the strongest steps where there are too many', () => {
    const powers = Array.from(
      { length: 20_000 },
      (_, i) => 80 + 10 * (Math.floor(i / 100) % 2) + (i >= 10_050 ? 40 : 0),
    )
    const found = candidatesOf(powers)
    expect(found.length).toBeLessThan(FULL_DETAIL.most + 6)
    for (const at of [10_048, 10_049, 10_050, 10_051, 10_052]) expect(found).toContain(at)
  })
})
