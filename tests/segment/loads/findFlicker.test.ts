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

it('six leaps are enough, if there are two in seven samples', () => {
  expect(flickerOf(repeat([60, 60, 5], 3))).toEqual([[0, 8]])
  const uneven = [5, 9, 9, 9, 3, 4, 9, 9, 4, 3, 9, 8]
  const seldom = uneven.flatMap((samples, k) => new Array<number>(samples).fill(k % 2 === 0 ? 60 : 30))
  expect(flickerOf(seldom)).toEqual([])
})

it('ten samples of work without a leap end none, eleven do', () => {
  const half = repeat([60, 60, 5], 4)
  const flickers = (samples: number, everyS: number) =>
    flickerOf([...half, ...new Array<number>(samples).fill(60), 5, ...half], everyS).length
  expect(flickers(10, 0.5)).toBe(1)
  expect(flickers(11, 0.5)).toBe(2)
  // In a coarser log it is 10 s.
  expect(flickers(5, 2)).toBe(1)
  expect(flickers(6, 2)).toBe(2)
})

it('a wait is power that keeps less than a tenth of what it rose to above idle', () => {
  const half = repeat([60, 60, 5], 4)
  const wait = (watts: number) =>
    flickerOf([...half, 60, ...new Array<number>(8).fill(watts), ...half]).length
  expect(wait(10)).toBe(2)
  expect(wait(11)).toBe(1)
})

it('a leap is one beside what the four samples on either side rise to, not beside the rest of the log', () => {
  const small = repeat([20, 8, 8], 5)
  const level = new Array<number>(5).fill(20)
  expect(flickerOf([100, 100, ...level, ...small])).toEqual([[0, 20]])
  expect(flickerOf([...small, ...level, 100, 100])).toHaveLength(1)
})

it('a flicker may begin where power has come up, and end before it goes down, by and by', () => {
  expect(flickerOf([15, 30, 45, 60, 5, 60, 5, 60, 5, 60, 5, 60, 45, 30, 15])).toEqual([[3, 12]])
})

it('rounds of a loop differ by an eighth of their length at most', () => {
  const rounds = (...lengths: number[]) =>
    flickerOf(lengths.flatMap((samples) => [...new Array<number>(samples - 2).fill(60), 5, 5])).length
  expect(rounds(6, 6, 7, 6, 5, 6, 6)).toBe(0)
  expect(rounds(6, 6, 8, 6, 4, 6, 6)).toBe(0)
  expect(rounds(6, 6, 9, 6, 3, 6, 6)).toBe(1)
  expect(rounds(5, 5, 5, 5, 5, 5)).toBe(0)
  expect(rounds(4, 4, 4, 4, 4, 4)).toBe(1)
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
  // Six ways up tell; three quarters of what follows is up.
  expect(sharp(repeat([60, 58, 5], 6))).toBe(true)
  expect(sharp(repeat([50, 58, 5], 8))).toBe(true)
  expect(sharp(repeat([42, 58, 5], 8))).toBe(false)
  // Half of them are not most.
  expect(sharp(repeat([60, 58, 5, 25, 58, 5], 4))).toBe(false)
  expect(sharp([...repeat([60, 58, 5, 25, 58, 5], 4), 60, 58, 5])).toBe(true)
  // Ways from idle count, with a little noise, and no samples at idle.
  expect(sharp(repeat([60, 58, 30], 8))).toBe(false)
  expect(sharp(repeat([60, 58, 5.5], 8))).toBe(true)
  expect(sharp(repeat([60, 58, 5, 5, 60, 5, 5], 4))).toBe(true)
  expect(flickersSharply(traceAt(repeat([60, 58, 5], 8)), [])).toBe(false)
})
