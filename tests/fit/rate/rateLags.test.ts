import { describe, expect, it } from 'vitest'
import { findRateLag } from '../../../src/fit/rate/findRateLag.js'
import { pacedSamples } from '../../../src/fit/rate/pacedSamples.js'
import { seededRandom } from '../../../src/numeric/statistics/random.js'
import { traceOf } from '../../segment/makeSteps.js'

interface Shape {
  /** Power at a time, W; the work begins at 60 s. */
  readonly powerAt: (timeS: number) => number
  /** Its pace; of power where left out. */
  readonly paceAt?: (timeS: number) => number
  readonly lagS?: number
  readonly everyS?: number
  readonly untilS?: number
  /** What of the log counts as work, s. */
  readonly spans?: readonly (readonly [startS: number, endS: number])[]
  readonly noise?: number
}

/** The lag that is found where a pace is the mean over each interval of what power makes, so much later. */
function lagOf({
  powerAt,
  paceAt,
  lagS = 0,
  everyS = 1,
  untilS = 200,
  spans = [[60, 200]],
  noise = 0,
}: Shape) {
  const random = seededRandom(9)
  const pace = paceAt ?? ((timeS: number) => (timeS < 60 ? 0 : 10 * (powerAt(timeS) / 50) ** 0.6))
  const mean = (of: (timeS: number) => number, toS: number) =>
    Array.from({ length: 20 }, (_, k) => of(toS - (k + 0.5) * (everyS / 20))).reduce((a, b) => a + b, 0) / 20
  const timesS = Float64Array.from({ length: untilS / everyS }, (_, i) => (i + 1) * everyS)
  const trace = traceOf(
    timesS,
    timesS.map((timeS) => mean(powerAt, timeS)),
  )
  const rate = timesS.map((timeS) => mean((s) => pace(s - lagS), timeS) * (1 + noise * random.normal()))
  const paced = { ...trace, rate }
  const work = spans.map(([startS, endS]) => ({ startS, endS }))
  return findRateLag(pacedSamples(paced, work, false), paced, work)
}

const step = (timeS: number) => (timeS < 60 ? 5 : 50)

describe('a pace that starts from nothing', () => {
  it('tells its lag by when it starts, later or earlier than the power', () => {
    for (const lagS of [3, 7.4, 12, -3, -6.6]) expect(lagOf({ powerAt: step, lagS })).toBeCloseTo(lagS, 1)
  })

  it('has none within three quarters of an interval', () => {
    expect(lagOf({ powerAt: step, lagS: 0.7 })).toBe(0)
    expect(lagOf({ powerAt: step, lagS: -0.7 })).toBe(0)
    expect(lagOf({ powerAt: step, lagS: 0.8 })).toBeCloseTo(0.8, 1)
    expect(lagOf({ powerAt: step, lagS: 1.4, everyS: 2 })).toBe(0)
    expect(lagOf({ powerAt: step, lagS: 1.6, everyS: 2 })).toBeCloseTo(1.6, 1)
  })

  it('has the middle one of several starts', () => {
    const powerAt = (timeS: number) => (timeS % 150 < 60 ? 5 : 50)
    const late = (timeS: number) => (timeS < 150 ? 2 : timeS < 300 ? 5 : 6)
    const paceAt = (timeS: number) => ((timeS - late(timeS)) % 150 < 60 ? 0 : 10)
    const spans = [
      [60, 150],
      [210, 300],
      [360, 450],
    ] as const
    expect(lagOf({ powerAt, paceAt, spans, untilS: 450 })).toBeCloseTo(5, 1)
  })

  it('is none where its pace was there before, or goes on rising with the power', () => {
    const idle = (share: number) =>
      lagOf({ powerAt: step, paceAt: (timeS) => (timeS < 60 ? share * 10 : 10), lagS: 5 })
    expect(idle(0.19)).toBeGreaterThan(3)
    expect(idle(0.25)).toBe(0)
    const climbing = (more: number) =>
      lagOf({
        powerAt: (timeS) => (timeS < 60 ? 5 : timeS < 72 ? 50 : 50 * more),
        paceAt: (timeS) => (timeS < 60 ? 0 : 10),
        lagS: 5,
      })
    expect(climbing(1.15)).toBeCloseTo(5, 1)
    expect(climbing(1.3)).toBe(0)
  })

  it('is not seen in a log that begins with the work, or a load that ends at once', () => {
    expect(lagOf({ powerAt: () => 50, paceAt: () => 10, lagS: 5, spans: [[1, 200]] })).toBe(0)
    expect(lagOf({ powerAt: step, lagS: 5, spans: [[60, 76]], untilS: 76 })).toBe(0)
  })
})

describe('a pace that goes up and down with the power', () => {
  /** Steps of uneven length and height, 30 to 70 W. */
  const uneven = (timeS: number) =>
    50 + 20 * Math.sin(Math.floor(timeS / 9) ** 2 + 0.3 * Math.floor(timeS / 14))
  const going = (lagS: number, more: Partial<Shape> = {}) =>
    lagOf({
      powerAt: uneven,
      paceAt: (timeS) => 10 * (uneven(timeS) / 50) ** 0.6,
      lagS,
      spans: [[1, 200]],
      ...more,
    })

  it('has the lag at which their changes are alike', () => {
    for (const lagS of [0, 4, 9, -5]) expect(going(lagS)).toBe(lagS)
    expect(going(6, { noise: 0.02 })).toBe(6)
    // The longest that any logger averages over.
    expect(going(15)).toBe(15)
    expect(Math.abs(going(40))).toBeLessThanOrEqual(15)
  })

  it('is looked for in steps of the log’s interval, of half a second at least', () => {
    expect(going(6, { everyS: 3, untilS: 300, spans: [[3, 300]] })).toBe(6)
    expect(going(2.5, { everyS: 0.1 })).toBeCloseTo(2.5, 9)
  })

  it('has none where power hardly moves, where the pace is noise, or of few samples', () => {
    const noisy = lagOf({
      powerAt: (timeS) => 50 + 0.01 * uneven(timeS),
      paceAt: () => 10,
      noise: 0.05,
      spans: [[1, 200]],
    })
    expect(noisy).toBe(0)
    expect(going(4, { untilS: 7, spans: [[0, 7]] })).toBe(0)
  })
})
