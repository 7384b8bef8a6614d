import { expect, it } from 'vitest'
import { findFlicker, flickersSharply, restOf } from '../../../src/segment/loads/findFlicker.js'
import { traceOf } from '../makeSteps.js'

const IDLE = new Array<number>(15).fill(5)
const traceAt = (powers: readonly number[], everyS = 1) =>
  traceOf(
    Float64Array.from(powers, (_, i) => i * everyS),
    Float64Array.from(powers),
  )
/** Flicker of a log in which these powers lie between idle of 15 samples, counted from the first of them. */
const flickerOf = (powers: readonly number[], everyS = 1, riseW = 55) =>
  findFlicker(traceAt([...IDLE, ...powers, ...IDLE], everyS), { idleW: 5, stepW: 0.1, riseW }).map(
    ({ from, to }) => [from - IDLE.length, to - IDLE.length],
  )
const repeat = (powers: readonly number[], times: number) =>
  Array.from({ length: times }, () => powers).flat()

it('power that comes and goes within a few samples flickers, from its first work to its last', () => {
  expect(flickerOf(repeat([60, 60, 5], 4))).toEqual([[0, 11]])
  expect(flickerOf(repeat([60, 5, 5, 60, 60, 5], 3))).toEqual([[0, 17]])
})

it('fewer than six leaps do not, nor do small ones', () => {
  expect(flickerOf(repeat([60, 60, 5], 2))).toEqual([])
  expect(flickerOf(repeat([60, 60, 45], 6))).toEqual([])
  // As high as 6 % of what the log's work rises by, or less.
  expect(flickerOf(repeat([8, 8, 5], 4))).toEqual([])
  expect(flickerOf(repeat([9, 9, 5], 4))).toHaveLength(1)
})

it('even rounds of five samples and more are a loop, uneven ones are none', () => {
  expect(flickerOf(repeat([60, 60, 60, 60, 5, 5], 6))).toEqual([])
  expect(flickerOf(repeat([60, 60, 60, 60, 60, 5, 60, 5, 5], 5))).toHaveLength(1)
})

it('a long wait ends it, and so do 10 s without a leap', () => {
  const half = repeat([60, 60, 5], 4)
  expect(flickerOf([...half, ...new Array<number>(6).fill(5), ...half])).toHaveLength(2)
  expect(flickerOf([...half, ...new Array<number>(5).fill(5), ...half])).toHaveLength(1)
  expect(flickerOf([...half, ...new Array<number>(5).fill(5), ...half], 2)).toHaveLength(2)
})

it('rest is what lies outside work', () => {
  const trace = traceAt([5, 6, 5, 60, 62, 60, 5, 6, 5, 6])
  const rest = restOf(trace, [{ from: 3, to: 6 }])
  expect(rest!.idleW).toBeCloseTo(5, 10)
  expect(rest!.stepW).toBeCloseTo(1, 10)
  expect(rest!.riseW).toBeCloseTo(56.6, 6)
  expect(restOf(trace, [{ from: 0, to: 10 }])).toBeNull()
  expect(restOf(trace, [])).toBeNull()
})

it('flicker is sharp where power is up at once, and not where samples in between show means', () => {
  const sharp = (powers: readonly number[]) => {
    const trace = traceAt([...IDLE, ...powers, ...IDLE])
    return flickersSharply(trace, [{ from: IDLE.length, to: IDLE.length + powers.length }])
  }
  expect(sharp(repeat([60, 58, 5], 8))).toBe(true)
  expect(sharp(repeat([60, 58, 5], 5))).toBe(false)
  expect(sharp(repeat([25, 58, 5], 8))).toBe(false)
})
