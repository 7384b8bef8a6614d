import { describe, expect, it } from 'vitest'
import { fitChip } from '../../../src/fit/chip/fitChip.js'
import { profileRun } from '../../../src/fit/chip/profileRun.js'
import { type RateBlock, rateBlocks } from '../../../src/fit/rate/rateBlocks.js'
import { weightedQuantiles } from '../../../src/numeric/statistics/quantile.js'
import { rateAt } from '../../../src/physics/chip/scoreCurve.js'
import { makeRatedWorld, type RatedWorld, type RateNoise } from '../../worlds/ratedWorld.js'

const QUIET: RateNoise = { white: 0.004, wander: 0.002, wanderS: 2, lagS: 0 }
const WORKLOAD = { name: 'tile render', score: 'tiles/s', better: 'higher' } as const

const traceOf = (world: RatedWorld) => ({ ...world, clockHz: null, startEpochS: null, startOfDayS: null })
const loadOf = ({ loadStartS, loadEndS }: RatedWorld) => [{ startS: loadStartS, endS: loadEndS }]

function curveOf(world: RatedWorld, blocks: readonly RateBlock[]) {
  const trace = traceOf(world)
  const runs = blocks.map(({ startS, endS, score }) => {
    return { sheet: 'one', startS, endS, score, profile: profileRun(trace, startS, endS)! }
  })
  const { chip } = fitChip({ name: 'Plover X', workload: WORKLOAD, runs })
  const scoreAt = (powerW: number) => {
    const scores = chip.draws.map(({ curve }) => rateAt(curve, powerW))
    const weights = chip.draws.map(({ weight }) => weight)
    return weightedQuantiles(scores, weights, [0.05, 0.5, 0.95]) as [number, number, number]
  }
  return { scoreAt, measuredRangeW: chip.measuredRangeW, referenceC: chip.referenceC! }
}

/** Mean pace of runs that follow each other without a pause: what a reader of the log would note as their scores. */
function runsOf(world: RatedWorld, runS: number): RateBlock[] {
  const { timesS, rate, intervalS, loadStartS, loadEndS } = world
  return Array.from({ length: Math.floor((loadEndS - loadStartS) / runS) }, (_, k) => {
    const [startS, endS] = [loadStartS + k * runS, loadStartS + (k + 1) * runS]
    const inside = [...timesS.keys()].filter(
      (i) => timesS[i]! - intervalS >= startS - 1e-9 && timesS[i]! <= endS + 1e-9,
    )
    return { startS, endS, score: inside.reduce((sum, i) => sum + rate[i]!, 0) / inside.length }
  })
}

describe('blocks of a pace', () => {
  it('are of equal length, follow each other and fill the load but for its edges', () => {
    const world = makeRatedWorld(1, { kind: 'heat', holdS: 600, noise: QUIET })
    const { blocks, blockS } = rateBlocks(traceOf(world), loadOf(world), false)
    expect(blocks.length).toBeGreaterThanOrEqual(20)
    blocks.forEach((block, k) => {
      expect(block.endS - block.startS).toBeCloseTo(blocks[0]!.endS - blocks[0]!.startS, 6)
      if (k > 0) expect(block.startS).toBeCloseTo(blocks[k - 1]!.endS, 6)
    })
    expect(blocks.at(-1)!.endS - blocks[0]!.startS).toBeGreaterThan(0.97 * 600)
    expect(blockS).toBeGreaterThan(600 / 25)
  })

  it('grow with the time over which the pace wanders', () => {
    const lengths = [2, 12, 30].map((wanderS) => {
      const noise = { white: 0.002, wander: 0.02, wanderS, lagS: 0 }
      const world = makeRatedWorld(2, { kind: 'two-step', noise })
      return rateBlocks(traceOf(world), loadOf(world), false).blockS
    })
    expect(lengths[1]!).toBeGreaterThan(lengths[0]!)
    expect(lengths[2]!).toBeGreaterThan(1.2 * lengths[1]!)
  })

  it.each([0, 2, 4, 8])('find a lag of %d s, so that the first level keeps its pace', (lagS) => {
    const world = makeRatedWorld(3, { kind: 'one-step', noise: { ...QUIET, lagS } })
    const { blocks, lagS: found } = rateBlocks(traceOf(world), loadOf(world), false)
    expect(Math.abs(found - lagS)).toBeLessThan(1.2 * world.intervalS)
    const { score, startS, endS } = blocks[0]!
    const meanW = profileRun(traceOf(world), startS, endS)!.meanW
    expect(Math.abs(score / world.rateAt(meanW, world.temperatureC[60]!) - 1)).toBeLessThan(0.03)
  })

  it('of times for fixed work are the inverse of the mean pace', () => {
    const world = makeRatedWorld(4, { kind: 'two-step', noise: QUIET })
    const times = { ...traceOf(world), rate: world.rate.map((pace) => (pace > 0 ? 1 / pace : 0)) }
    const direct = rateBlocks(traceOf(world), loadOf(world), false).blocks
    const inverse = rateBlocks(times, loadOf(world), true).blocks
    expect(inverse).toHaveLength(direct.length)
    inverse.slice(1).forEach(({ score }, k) => {
      expect(score * direct[k + 1]!.score).toBeCloseTo(1, 3)
    })
  })

  it('give the curve that the same pace gives when it is noted as the scores of runs', () => {
    for (const [seed, kind] of [
      [5, 'heat'],
      [6, 'two-step'],
      [7, 'budget-then-heat'],
    ] as const) {
      const world = makeRatedWorld(seed, { kind, noise: QUIET })
      const rated = curveOf(world, rateBlocks(traceOf(world), loadOf(world), false).blocks)
      const scored = curveOf(world, runsOf(world, 60))
      const [low, high] = scored.measuredRangeW
      for (const powerW of [low, Math.sqrt(low * high), high]) {
        const [a, b] = [rated.scoreAt(powerW), scored.scoreAt(powerW)]
        expect(a[0], `${kind} at ${powerW} W`).toBeLessThan(b[2])
        expect(b[0], `${kind} at ${powerW} W`).toBeLessThan(a[2])
      }
    }
  })

  it('hold the truth in about 90 % of intervals, over the whole range of a load that falls', () => {
    const held = Array.from({ length: 8 }, (_, k) => {
      const world = makeRatedWorld(8_800 + k, { kind: k % 2 === 0 ? 'heat' : 'budget-then-heat' })
      const { scoreAt, measuredRangeW, referenceC } = curveOf(
        world,
        rateBlocks(traceOf(world), loadOf(world), false).blocks,
      )
      const [low, high] = measuredRangeW
      return [low, Math.sqrt(low * high)].map((powerW) => {
        const [from, , to] = scoreAt(powerW)
        const truth = world.rateAt(powerW, referenceC)
        return from <= truth && truth <= to
      })
    }).flat()
    // 16 intervals at 90 %: fewer than 12 come once in sixty.
    expect(held.filter(Boolean).length).toBeGreaterThanOrEqual(12)
  })
})
