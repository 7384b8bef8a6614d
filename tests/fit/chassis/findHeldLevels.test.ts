import { describe, expect, it } from 'vitest'
import { findHeldLevels } from '../../../src/fit/chassis/findHeldLevels.js'
import type { LoadRecord } from '../../../src/fit/chassis/loadRecord.js'

/** Passes of so many samples of a second each, with pauses of 10 s; power by time since the load's start. */
function record(
  lengths: readonly number[],
  powerAt: (timeS: number, pass: number) => number,
  noiseW = 0,
): LoadRecord {
  const passes: { startS: number; endS: number }[] = []
  const samples: { fromS: number; pass: number }[] = []
  let at = 0
  lengths.forEach((length, pass) => {
    passes.push({ startS: at, endS: at + length })
    for (let k = 0; k < length; k++) samples.push({ fromS: at + k, pass })
    for (let k = 0; k < 10; k++) samples.push({ fromS: at + length + k, pass: -1 })
    at += length + 10
  })
  return {
    idleW: 5,
    idleSeen: true,
    passes,
    fromS: Float64Array.from(samples, ({ fromS }) => fromS),
    toS: Float64Array.from(samples, ({ fromS }) => fromS + 1),
    powerW: Float64Array.from(samples, ({ fromS, pass }) => (pass < 0 ? 5 : powerAt(fromS, pass))),
    temperatureC: null,
    pass: Int16Array.from(samples, ({ pass }) => pass),
    noiseW,
    autocorrelation: 0,
    intervalS: 1,
  }
}

describe('levels that held a load', () => {
  it('are burst, short-term and sustained power with the times of the drops', () => {
    const found = findHeldLevels(record([200], (s) => (s < 20 ? 100 : s < 60 ? 80 : 60)))
    expect(found).toEqual({ burstW: 100, shortTermW: 80, sustainedW: 60, firstDropS: 20, secondDropS: 60 })
  })

  it('are two where the first drop leads to the sustained power', () => {
    const found = findHeldLevels(record([200], (s) => (s < 20 ? 100 : 60)))
    expect(found).toEqual({
      burstW: 100,
      shortTermW: null,
      sustainedW: 60,
      firstDropS: 20,
      secondDropS: null,
    })
  })

  it('are one where nothing drops by 3 % or five times the noise', () => {
    const drop = (toW: number, noiseW = 0) =>
      findHeldLevels(record([200], (s) => (s < 20 ? 100 : toW), noiseW))!.firstDropS
    expect(drop(96.9)).toBe(20)
    expect(drop(97.1)).toBeNull()
    expect(drop(94.9, 1)).toBe(20)
    expect(drop(95.1, 1)).toBeNull()
    expect(findHeldLevels(record([200], () => 100))).toEqual({
      burstW: 100,
      shortTermW: null,
      sustainedW: 100,
      firstDropS: null,
      secondDropS: null,
    })
  })

  it('are not taken from a single sample', () => {
    expect(findHeldLevels(record([200], (s) => (s === 10 ? 50 : s < 20 ? 100 : 60)))!.firstDropS).toBe(20)
  })

  it('are seen in the later halves of the last three passes', () => {
    // The first two passes end at 80 W, the last three at 60 W.
    const power = (_: number, pass: number) => (pass < 2 ? 80 : 60)
    expect(findHeldLevels(record([40, 40, 40, 40, 40], power))!.sustainedW).toBe(60)
    const opens = (s: number) => (s % 50 < 19 ? 90 : 60)
    expect(findHeldLevels(record([40, 40, 40], opens))!.sustainedW).toBe(60)
    // Of a single pass in its last 15 %.
    expect(findHeldLevels(record([200], (s) => (s < 169 ? 90 : 60)))!.sustainedW).toBe(60)
  })

  it('have a short-term level that is seen late in the next pass where the first one ends with the drop', () => {
    const power = (s: number, pass: number) =>
      pass === 0 ? (s < 17 ? 100 : 85) : pass === 1 ? (s < 40 ? 100 : 80) : 60
    const found = findHeldLevels(record([20, 20, 60, 60, 60], power))!
    expect(found).toMatchObject({ burstW: 100, firstDropS: 17, shortTermW: 80, sustainedW: 60 })
    expect(found.secondDropS).toBe(60)
  })

  it('are sustained as the usual of those halves, not as their very end', () => {
    const power = (ends: readonly number[]) => (s: number, pass: number) => (s % 50 >= 36 ? 40 : ends[pass]!)
    const sustained = (ends: readonly number[]) =>
      findHeldLevels(
        record(
          ends.map(() => 40),
          power(ends),
        ),
      )!.sustainedW
    expect(sustained([80, 80, 80, 80, 60, 60, 60])).toBe(60)
    expect(sustained([80, 80, 60, 60, 70])).toBe(60)
  })

  it('have a burst without the sample that the drop came in', () => {
    expect(findHeldLevels(record([200], (s) => (s < 1 ? 100 : s < 2 ? 98 : 60)))!.burstW).toBe(100)
  })

  it('are one where power comes back to where it was', () => {
    const dip = findHeldLevels(record([200], (s) => (s >= 50 && s < 60 ? 80 : 100)))
    expect(dip).toMatchObject({ burstW: 100, shortTermW: null, sustainedW: 100, firstDropS: null })
  })

  it('have no short-term level within 3 % or three times the noise of the sustained one', () => {
    const short = (levelW: number, noiseW = 0) =>
      findHeldLevels(record([200], (s) => (s < 20 ? 100 : s < 60 ? levelW : 60), noiseW))!.shortTermW
    expect(short(61.7)).toBeNull()
    expect(short(61.9)).toBe(61.9)
    expect(short(62.9, 1)).toBeNull()
    expect(short(63.1, 1)).toBe(63.1)
  })

  it('are none of few samples', () => {
    expect(findHeldLevels(record([5], () => 100))).toBeNull()
    expect(findHeldLevels(record([6], () => 100))).not.toBeNull()
  })
})
