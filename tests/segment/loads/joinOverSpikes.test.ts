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
