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
