import { describe, expect, it } from 'vitest'
import { findExcursions } from '../../../src/segment/cut/findExcursions.js'
import { findLoads } from '../../../src/segment/findLoads.js'
import { makeSteps } from '../makeSteps.js'

/** A level of 100 W, one sample every `everyS`, with values of its own at some places. */
function found(changes: Readonly<Record<number, number>>, { count = 100, everyS = 1, noise = 1 } = {}) {
  const values = Float64Array.from({ length: count }, (_, i) => changes[i] ?? 100)
  const timesS = values.map((_, i) => i * everyS)
  return findExcursions(timesS, values, noise)
}

describe('a moment in which power leaves its level and comes back', () => {
  it('is found, up or down, of two samples or three seconds', () => {
    expect(found({ 20: 120, 21: 118, 60: 70, 61: 75 })).toEqual([20, 21, 60, 61])
    expect(found({ 20: 120, 21: 118 }, { everyS: 5 })).toEqual([20, 21])
    expect(found({ 20: 120, 21: 118, 22: 119 }, { everyS: 0.5 })).toEqual([20, 21, 22])
  })

  it('is none of one sample, which is a spike, nor of what lasts longer', () => {
    expect(found({ 20: 120 })).toEqual([])
    expect(found({ 20: 120, 21: 120, 22: 120, 23: 120 })).toEqual([])
    expect(found({ 20: 120, 21: 120, 22: 120 }, { everyS: 5 })).toEqual([])
  })

  it('is none within 6 noise scales or 5 % of the level', () => {
    expect(found({ 20: 105.9, 21: 105.9 })).toEqual([])
    expect(found({ 20: 106.1, 21: 106.1 })).toEqual([20, 21])
    expect(found({ 20: 104.9, 21: 104.9 }, { noise: 0.1 })).toEqual([])
    expect(found({ 20: 105.1, 21: 105.1 }, { noise: 0.1 })).toEqual([20, 21])
  })

  it('is none where power does not come back, or too near an end to show it', () => {
    const step = Object.fromEntries(Array.from({ length: 78 }, (_, k) => [22 + k, 80]))
    expect(found({ 20: 120, 21: 118, ...step })).toEqual([])
    expect(found({ 2: 120, 3: 118 })).toEqual([])
    expect(found({ 96: 120, 97: 118 })).toEqual([])
  })

  it('ends where power is back within 6 noise scales or 5 % of the level', () => {
    expect(found({ 20: 120, 21: 105.5 })).toEqual([])
    expect(found({ 20: 120, 21: 104.5 }, { noise: 0.1 })).toEqual([])
  })

  it('begins with a step: its later samples are none by themselves', () => {
    const long = (first: number, later: number) => ({ 20: first, 21: later, 22: later, 23: later })
    expect(found(long(120, 121))).toEqual([])
    expect(found(long(120, 125.5))).toEqual([])
    expect(found(long(120, 124.9), { noise: 0.1 })).toEqual([])
  })

  it('of many samples needs as many on either side, at the level before it', () => {
    const seven = (from: number, rest: Readonly<Record<number, number>> = {}, count = 200) => {
      const changes = Object.fromEntries(Array.from({ length: 7 }, (_, k) => [from + k, 120]))
      return found({ ...changes, ...rest }, { everyS: 0.4, count })
    }
    expect(seven(7)).toHaveLength(7)
    expect(seven(6)).toEqual([])
    expect(seven(60, {}, 74)).toEqual([])
    expect(seven(126, {}, 140)).toHaveLength(7)
    expect(seven(127, {}, 140)).toEqual([])
    const lower = Object.fromEntries(Array.from({ length: 57 }, (_, k) => [k, 80]))
    expect(seven(60, lower)).toEqual([])
  })

  it('comes back to within a fifth of its size and three noise scales', () => {
    const settledAt = (watts: number) =>
      Object.fromEntries(Array.from({ length: 78 }, (_, k) => [22 + k, watts]))
    expect(found({ 20: 107, 21: 120, ...settledAt(105.9) })).toEqual([20, 21])
    expect(found({ 20: 120, 21: 107, ...settledAt(105.9) })).toEqual([20, 21])
    expect(found({ 20: 120, 21: 120, ...settledAt(92.5) })).toEqual([])
    expect(found({ 20: 120, 21: 120, ...settledAt(95) }, { noise: 0.5 })).toEqual([20, 21])
    expect(found({ 20: 120, 21: 120, ...settledAt(94) }, { noise: 0.5 })).toEqual([])
  })

  it('comes back at once, and stays', () => {
    expect(found({ 20: 120, 21: 120, 22: 80 })).toEqual([])
    const gone = Object.fromEntries(Array.from({ length: 77 }, (_, k) => [23 + k, 80]))
    expect(found({ 20: 120, 21: 120, ...gone })).toEqual([])
  })

  it('is what the task does where such moments fill more than a twentieth of the time', () => {
    const moments = (count: number) =>
      Object.fromEntries(
        Array.from({ length: count }, (_, k) => [10 + 16 * k, 11 + 16 * k]).flatMap(([a, b]) => [
          [a, 130],
          [b, 130],
        ]),
      )
    expect(found(moments(2))).toHaveLength(4)
    expect(found(moments(5))).toEqual([])
  })
})

it('a program that wakes up once a minute makes no stages', () => {
  const minutes = Array.from({ length: 12 }, () => [[30, 58.5] as const, [42, 1.5] as const]).flat()
  const [load] = findLoads(makeSteps({ levels: [[4, 30], [45, 28], ...minutes, [30, 60], [4, 30]] }))
  expect(load!.stages.map(({ levelW }) => Math.round(levelW.value))).toEqual([45, 30])
  expect(load!.sustained.reached).toBe(true)
  expect(load!.sustained.levelW.value).toBeCloseTo(30, 0)
})
