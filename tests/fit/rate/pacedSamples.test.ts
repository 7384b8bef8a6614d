import { describe, expect, it } from 'vitest'
import { pacedSamples, samplesWithin } from '../../../src/fit/rate/pacedSamples.js'
import { rateBlocks } from '../../../src/fit/rate/rateBlocks.js'
import { traceOf } from '../../segment/makeSteps.js'

/** A log with a sample each 2 s, and the pace of its work. */
function paced(rateAt: (i: number) => number, length = 100) {
  const timesS = Float64Array.from({ length }, (_, i) => 10 + 2 * i)
  return {
    ...traceOf(
      timesS,
      timesS.map(() => 50),
    ),
    rate: Float64Array.from({ length }, (_, i) => rateAt(i)),
  }
}

describe('samples within a span', () => {
  it('are those whose interval lies in it', () => {
    expect(
      samplesWithin(
        paced(() => 1),
        14,
        20,
      ),
    ).toEqual([3, 4, 5])
    expect(
      samplesWithin(
        paced(() => 1),
        14.1,
        19.9,
      ),
    ).toEqual([4])
    // The first sample speaks for the interval before it.
    expect(
      samplesWithin(
        paced(() => 1),
        8,
        12,
      ),
    ).toEqual([0, 1])
    expect(
      samplesWithin(
        paced(() => 1),
        8.1,
        12,
      ),
    ).toEqual([1])
    expect(
      samplesWithin(
        paced(() => 1),
        206,
        400,
      ),
    ).toEqual([99])
  })
})

describe('samples of a pace', () => {
  it('are logarithms of work per time, without those in which nothing got done', () => {
    const { timesS, logRates, stepS } = pacedSamples(
      paced((i) => (i === 4 ? 0 : i === 5 ? Number.NaN : i)),
      [{ startS: 12, endS: 24 }],
      false,
    )
    expect(Array.from(timesS)).toEqual([14, 16, 22, 24])
    expect(Array.from(logRates)).toEqual([2, 3, 6, 7].map((pace) => expect.closeTo(Math.log(pace), 12)))
    expect(stepS).toBe(2)
  })

  it('are the inverse of times', () => {
    const { logRates } = pacedSamples(
      paced(() => 4),
      [{ startS: 12, endS: 16 }],
      true,
    )
    expect(Array.from(logRates)).toEqual([expect.closeTo(-Math.log(4), 12), expect.closeTo(-Math.log(4), 12)])
  })

  it('are means of neighbours where there are more than 4000, none over the end of a span', () => {
    const spans = [
      { startS: 8, endS: 8 + 2 * 4001 },
      { startS: 8 + 2 * 4001, endS: 8 + 2 * 8000 },
    ]
    const { timesS, logRates, stepS } = pacedSamples(
      paced((i) => i + 1, 8000),
      spans,
      false,
    )
    expect(stepS).toBe(4)
    expect(timesS).toHaveLength(4000)
    expect(logRates[0]).toBeCloseTo(Math.log(1.5), 12)
    expect(timesS[0]).toBe(12)
    // The last sample of the first span stands alone.
    expect(logRates[2000]).toBeCloseTo(Math.log(4001), 12)
    expect(timesS[2000]).toBe(10 + 2 * 4000)
    expect(logRates[2001]).toBeCloseTo(Math.log(4003.5), 12)
  })

  it('are none where nothing got done at all, and then there are no blocks', () => {
    const stalled = paced(() => 0)
    expect(pacedSamples(stalled, [{ startS: 12, endS: 24 }], false).timesS).toHaveLength(0)
    expect(pacedSamples(stalled, [], false).timesS).toHaveLength(0)
    expect(rateBlocks(stalled, [{ startS: 12, endS: 190 }], false).blocks).toEqual([])
    expect(
      rateBlocks(
        paced(() => Number.NaN),
        [{ startS: 12, endS: 190 }],
        true,
      ).blocks,
    ).toEqual([])
  })
})

describe('blocks of a pace', () => {
  const wavy = (i: number) => 100 + (i % 3)
  const whole = [{ startS: 8, endS: 208 }]

  it('last for four samples and a 24th of the work, without its first and last sample', () => {
    const short = rateBlocks(paced(wavy), [{ startS: 12, endS: 190 }], false)
    expect(short.blockS).toBe(8)
    expect([short.blocks[0]!.startS, short.blocks.at(-1)!.endS]).toEqual([14, expect.closeTo(188, 9)])
    const { blocks, blockS } = rateBlocks(paced(wavy, 1000), [{ startS: 8, endS: 2008 }], false)
    expect(blockS).toBeCloseTo(1996 / 24, 9)
    expect(blocks).toHaveLength(24)
  })

  it('are of spans that are longer than that, and no longer than an eighth of the work where its pace wanders', () => {
    const spans = [
      { startS: 8, endS: 11 },
      { startS: 12, endS: 104 },
      { startS: 106, endS: 110 },
      { startS: 112, endS: 208 },
    ]
    const { blocks, blockS } = rateBlocks(
      paced((i) => (i < 50 ? 100 : 140)),
      spans,
      false,
    )
    expect(blockS).toBeCloseTo((88 + 92) / 8, 9)
    expect(blocks.map(({ startS }) => startS)).toEqual(
      [14, 43.333, 72.667, 114, 137, 160, 183].map((s) => expect.closeTo(s, 2)),
    )
  })

  it('count what got done in their time, uneven samples and stalls too, and leave out what was not told', () => {
    const log = paced((i) => (i % 10 === 3 ? 0 : i % 10 === 5 ? Number.NaN : 100))
    const { blocks } = rateBlocks(log, whole, false)
    const mean = blocks.reduce((sum, { score }) => sum + score, 0) / blocks.length
    expect(mean).toBeCloseTo((100 * 8) / 9, -1)
    const uneven = {
      ...paced((i) => (i % 2 === 0 ? 60 : 120)),
      timesS: Float64Array.from({ length: 100 }, (_, i) => 10 + 2 * i - (i % 2)),
    }
    // Samples of 3 s at 60 and of 1 s at 120.
    for (const { score } of rateBlocks(uneven, whole, false).blocks) expect(score / 75).toBeCloseTo(1, 0)
    const times = rateBlocks(
      paced((i) => (i % 10 === 3 ? 0 : 0.01)),
      whole,
      true,
    ).blocks
    for (const { score } of times) expect(score).toBeCloseTo(0.01, 12)
  })

  it('in which nothing got done are none', () => {
    const { blocks, blockS } = rateBlocks(
      paced((i) => (i > 40 && i < 61 ? 0 : wavy(i))),
      whole,
      false,
    )
    expect(blocks.length).toBeGreaterThan(8)
    expect(blocks.length).toBeLessThan(Math.floor(196 / blockS))
    expect(blocks.every(({ score }) => score > 0)).toBe(true)
  })
})
