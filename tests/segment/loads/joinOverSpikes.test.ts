import { describe, expect, it } from 'vitest'
import { joinOverSpikes } from '../../../src/segment/loads/joinOverSpikes.js'
import { traceOf } from '../makeSteps.js'

const split = { idleW: 10, idleNoiseW: 1, thresholdW: 60 }

/** Stretches of work of these lengths at 100 W with one low sample between neighbours; how many are left. */
function joined(
  lengths: readonly number[],
  { lowW = 10, lows = 1, everyS = 1, besideW = 100, laterW = 100 } = {},
): readonly { readonly from: number; readonly to: number }[] {
  const powers: number[] = []
  const ranges = lengths.map((length, k) => {
    if (k > 0) powers.push(...new Array<number>(lows).fill(lowW))
    const from = powers.length
    powers.push(...new Array<number>(length).fill(k > 0 ? laterW : 100))
    if (k > 0) powers[from] = besideW
    return { from, to: powers.length }
  })
  const timesS = Float64Array.from(powers, (_, i) => i * everyS)
  return joinOverSpikes(ranges, traceOf(timesS, Float64Array.from(powers)), split as never)
}

describe('a single low sample', () => {
  it('between neighbours of one level is a spike', () => {
    expect(joined([20, 20])).toEqual([{ from: 0, to: 41 }])
  })

  it('with a sample in between beside it, or another level behind it, is a pause', () => {
    expect(joined([20, 20], { besideW: 70 })).toHaveLength(2)
    expect(joined([20, 20], { besideW: 91 })).toHaveLength(1)
    expect(joined([20, 20], { besideW: 120, laterW: 120 })).toHaveLength(2)
    expect(joined([20, 20], { laterW: 109, besideW: 109 })).toHaveLength(1)
  })

  it('that does not come down to idle is a spike, however regular', () => {
    // Three scales of idle noise, or 30 % of the way to the threshold.
    expect(joined([20, 20, 20, 20, 20, 20], { lowW: 26, besideW: 70 })).toHaveLength(1)
    expect(joined([20, 20, 20, 20, 20, 20], { lowW: 24, besideW: 70 })).toHaveLength(6)
  })

  it('that comes again and again at even distances is a pause', () => {
    expect(joined([20, 20, 20, 20, 20])).toHaveLength(5)
    expect(joined([20, 20, 20, 20])).toHaveLength(1)
    expect(joined([20, 20, 33, 8, 20, 41])).toHaveLength(1)
    expect(joined([20, 20, 21, 20, 19, 20])).toHaveLength(6)
  })
})

describe('among stretches of work', () => {
  /** Runs with the low samples between them; how many stretches are left. */
  function left(
    runs: readonly (readonly number[])[],
    lows: readonly (readonly number[])[],
    more: Partial<typeof split> = {},
  ): number {
    const powers: number[] = []
    const ranges = runs.map((run, k) => {
      powers.push(...(lows[k - 1] ?? []))
      powers.push(...run)
      return { from: powers.length - run.length, to: powers.length }
    })
    const timesS = Float64Array.from(powers, (_, i) => i)
    return joinOverSpikes(ranges, traceOf(timesS, Float64Array.from(powers)), { ...split, ...more }).length
  }
  const flat = (length: number, watts = 100) => new Array<number>(length).fill(watts)

  it('a pause may have its sample in between before it, too', () => {
    expect(left([[...flat(19), 70], flat(20)], [[10]])).toBe(2)
    expect(left([[...flat(19), 91], flat(20)], [[10]])).toBe(1)
  })

  it('the level beside a low sample is that of the three nearest', () => {
    expect(
      left(
        [
          [...flat(15, 130), ...flat(5)],
          [...flat(5), ...flat(15, 130)],
        ],
        [[10]],
      ),
    ).toBe(1)
    expect(left([flat(20), flat(20, 110.5)], [[10]])).toBe(1)
    expect(left([flat(20), flat(20, 111.5)], [[10]])).toBe(2)
  })

  it('no sample is in between that noise alone makes as low', () => {
    // Every step but the middle one is 8 W: within six of these, 48 W, nothing is told.
    const noisy = Array.from({ length: 20 }, (_, i) => (i % 2 === (i < 11 ? 0 : 1) ? 100 : 92))
    expect(left([noisy, [70, ...noisy.slice(1)]], [[10]])).toBe(1)
    expect(left([noisy, [40, ...noisy.slice(1)]], [[10]])).toBe(2)
    // A few large steps are no noise.
    const stepped = [...flat(8), 60, 60, ...flat(10)]
    expect(left([stepped, [70, ...flat(19)]], [[10]])).toBe(2)
  })

  it('a sample reaches idle within three scales of its noise', () => {
    const beside = [70, ...flat(19)]
    expect(left([flat(20), beside], [[38]], { idleNoiseW: 10 })).toBe(2)
    expect(left([flat(20), beside], [[42]], { idleNoiseW: 10 })).toBe(1)
  })

  it('pauses come at even distances, but for one, and whatever spikes lie among them', () => {
    expect(
      left(
        [20, 20, 20, 30, 20, 20, 20].map((n) => flat(n)),
        flat(6).map(() => [10]),
      ),
    ).toBe(7)
    const lows = [[10], [10], [50], [10], [10]]
    expect(
      left(
        [20, 20, 7, 12, 20, 20].map((n) => flat(n)),
        lows,
      ),
    ).toBe(5)
  })

  it('four single samples are few enough; longer pauses do not make up for them', () => {
    const runs = flat(6).map(() => flat(20))
    expect(left(runs, [[10], [10], [10], [10, 10], [10, 10]])).toBe(3)
    expect(left(runs, [[10], [10], [10], [10], [10, 10]])).toBe(6)
  })
})

describe('several low samples', () => {
  it('are a pause when they last a second', () => {
    expect(joined([20, 20], { lows: 2 })).toHaveLength(2)
    expect(joined([40, 40], { lows: 2, everyS: 0.25 })).toHaveLength(1)
    expect(joined([40, 40], { lows: 4, everyS: 0.25 })).toHaveLength(2)
    expect(joined([40, 40], { lows: 1, everyS: 0.25, besideW: 70 })).toHaveLength(1)
  })
})

it('one stretch stays as it is', () => {
  expect(joined([20])).toEqual([{ from: 0, to: 20 }])
  expect(joined([])).toEqual([])
})
