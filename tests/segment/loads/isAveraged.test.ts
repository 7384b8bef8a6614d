import { expect, it } from 'vitest'
import { isAveraged } from '../../../src/segment/loads/isAveraged.js'
import { traceOf } from '../makeSteps.js'

/** Runs of ten samples at 100 W between ten of idle at 10 W; the samples at their edges hold these shares of work. */
function averaged(
  edges: readonly (readonly [first: number, last: number])[],
  length = 10,
  sides = {},
  change: (powers: number[], from: number, to: number) => void = () => {},
) {
  const powers: number[] = []
  const runs = edges.map(([first, last]) => {
    powers.push(...new Array<number>(10).fill(10))
    const from = powers.length
    const inside = new Array<number>(length).fill(100)
    inside[0] = 10 + 90 * first
    inside[length - 1] = 10 + 90 * last
    powers.push(...inside)
    return { from, to: powers.length, idleBeforeW: 10, idleAfterW: 10, ...sides }
  })
  powers.push(...new Array<number>(10).fill(10))
  for (const { from, to } of runs) change(powers, from, to)
  const timesS = Float64Array.from(powers, (_, i) => i)
  return isAveraged(traceOf(timesS, Float64Array.from(powers)), [{ runs }] as never)
}

it('a log whose edges have a sample in between shows means', () => {
  expect(
    averaged([
      [0.5, 0.5],
      [0.3, 0.7],
    ]),
  ).toBe(true)
})

it('a log without any shows instants; one of four edges may have one', () => {
  expect(averaged([[1, 1]])).toBe(false)
  expect(
    averaged([
      [1, 0.5],
      [1, 1],
    ]),
  ).toBe(false)
  expect(
    averaged([
      [0.5, 0.5],
      [1, 1],
    ]),
  ).toBe(true)
})

it('5 % of the step is neither', () => {
  expect(averaged([[0.96, 0.96]], 100)).toBe(false)
  expect(averaged([[0.94, 0.94]], 100)).toBe(true)
})

it('a log with fewer than two edges against idle tells nothing', () => {
  expect(averaged([])).toBeUndefined()
  expect(averaged([[1, 1]], 10, { idleBeforeW: null })).toBeUndefined()
  expect(averaged([[1, 1]], 10, { idleAfterW: null })).toBeUndefined()
  expect(
    averaged(
      [
        [1, 1],
        [1, 1],
      ],
      10,
      { idleAfterW: null },
    ),
  ).toBe(false)
  expect(averaged([[1, 1]], 3)).toBeUndefined()
  expect(averaged([[1, 1]], 4)).toBe(false)
})

it('edges beside no idle count for nothing, nor do runs of three samples', () => {
  const half = (first: number, last: number) => [first, last] as const
  expect(averaged([half(0.5, 1), half(0.5, 1)], 10, { idleBeforeW: null })).toBe(false)
  expect(averaged([half(1, 0.5), half(1, 0.5)], 10, { idleAfterW: null })).toBe(false)
  expect(averaged([half(1, 1), half(1, 1)], 3)).toBeUndefined()
})

it('a sample in between may lie on either side of the edge', () => {
  const at = (place: (from: number, to: number) => number) =>
    averaged([[1, 1]], 10, {}, (powers, from, to) => {
      powers[place(from, to)] = 30
    })
  expect(at((from) => from - 1)).toBe(true)
  expect(at((_, to) => to)).toBe(true)
  expect(at((from) => from - 2)).toBe(false)
  expect(at((_, to) => to + 1)).toBe(false)
})

it('a run that overshoots as it opens or before it ends has no sample in between', () => {
  const overshoots = (place: (from: number, to: number) => number) =>
    averaged([[1, 1]], 10, {}, (powers, from, to) => {
      powers[place(from, to)] = 130
    })
  for (const place of [1, 2]) {
    expect(overshoots((from) => from + place)).toBe(false)
    expect(overshoots((_, to) => to - 1 - place)).toBe(false)
  }
})
