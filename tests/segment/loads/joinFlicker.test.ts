import { expect, it } from 'vitest'
import { joinFlicker } from '../../../src/segment/loads/joinFlicker.js'
import type { WorkRange } from '../../../src/segment/loads/workRanges.js'
import { traceOf } from '../makeSteps.js'

/** Stretches of work that are left of a log in which work and waits come by turns, in samples. */
function joined(
  everyS: number,
  works: readonly number[],
  waits: readonly number[],
  highs: readonly number[] = [],
) {
  let from = 10
  const ranges = works.map((work, k): WorkRange => {
    const range = { from, to: from + work, idleBeforeW: 5, idleAfterW: 5 + k }
    from = range.to + (waits[k] ?? 10)
    return range
  })
  const timesS = Float64Array.from({ length: from + 10 }, (_, i) => i * everyS)
  const isHigh = (i: number) => highs.includes(i) || ranges.some((range) => i >= range.from && i < range.to)
  const powerW = timesS.map((_, i) => (isHigh(i) ? 50 : 5))
  const result = joinFlicker(traceOf(timesS, powerW), ranges)
  return result.map(({ from: first, to, idleAfterW }) => [first, to, idleAfterW])
}

it('work and waits of few samples each are one stretch, up to what lasts', () => {
  expect(joined(1, [2, 1, 3, 2, 1, 2], [2, 3, 1, 2, 2])).toEqual([[10, 31, 10]])
  expect(joined(1, [2, 1, 3, 2, 1, 2, 30], [2, 3, 1, 2, 2, 2])).toEqual([
    [10, 31, 10],
    [33, 63, 11],
  ])
})

it('few of them, and runs that the log can follow, stay apart', () => {
  expect(joined(1, [2, 1, 3, 2, 1], [2, 3, 1, 2])).toHaveLength(5)
  expect(joined(1, [2, 1, 6, 2, 1, 2], [2, 3, 1, 2, 2])).toHaveLength(6)
  expect(joined(5, [2, 2, 2, 2, 2, 2], [2, 2, 2, 2, 2])).toHaveLength(6)
  // Three samples and 4 s at most, whichever comes first; a longer wait ends a row.
  expect(joined(2, [3, 3, 3, 3, 3, 3], [3, 3, 3, 3, 3])).toHaveLength(1)
  expect(joined(0.5, [2, 1, 6, 2, 1, 2], [2, 3, 1, 2, 2])).toHaveLength(6)
  expect(joined(1, [2, 1, 2, 2, 1, 2], [2, 2, 10, 2, 2])).toHaveLength(6)
})

it('single samples of work that the levels of the log do not show count as work between waits', () => {
  expect(joined(1, [2, 1, 2, 1, 1], [2, 7, 2, 2])).toHaveLength(5)
  expect(joined(1, [2, 1, 2, 1, 1], [2, 7, 2, 2], [18])).toEqual([[10, 30, 9]])
})

it('single samples count in waits of up to 20 samples, and are no work by themselves', () => {
  expect(joined(1, [2, 1], [20], [15, 18, 22, 26, 29])).toEqual([[10, 33, 6]])
  expect(joined(1, [2, 1], [21], [15, 18, 22, 26, 30])).toHaveLength(2)
  expect(joined(1, [30, 30], [20], [42, 45, 48, 51, 54, 57])).toEqual([
    [10, 40, 5],
    [60, 90, 6],
  ])
  expect(joined(1, [2, 2], [8], [15, 18])).toHaveLength(2)
})
