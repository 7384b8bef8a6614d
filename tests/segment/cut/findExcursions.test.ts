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
