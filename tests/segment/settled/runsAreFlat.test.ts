import { expect, it } from 'vitest'
import { runsAreFlat } from '../../../src/segment/settled/runsAreFlat.js'
import { stretchesOf } from '../makeRun.js'

/** Runs that fall by these powers from their first third to their last; the samples at their edges hold some of the pause. */
function runs(fallsW: readonly number[], inside = 6) {
  return fallsW.map((fallW, runIndex) => {
    const third = Math.floor(inside / 3)
    const powers = Array.from({ length: inside }, (_, i) => (i < third ? 80 + fallW : 80))
    const [stretch] = stretchesOf({ parts: [[{ samples: inside + 2, levelW: 0 }]], runIndex })
    stretch!.run.series.powerW.set([10, ...powers, 10])
    return stretch!
  })
}

it('runs are flat when they fall by less than a tenth of what the pauses take, at two standard errors', () => {
  // Mean 2 W, deviation 1 W: 2 + 2 / sqrt(3) = 3.155 W.
  expect(runsAreFlat(runs([1, 2, 3]), 31.6)).toBe(true)
  expect(runsAreFlat(runs([1, 2, 3]), 31.5)).toBe(false)
  expect(runsAreFlat(runs([0, 0, 0]), 0)).toBe(false)
  expect(runsAreFlat(runs([-4, -4, -4], 9), 1)).toBe(true)
})

it('the last third of a run is where it ends', () => {
  const stretches = runs([0, 0, 0])
  for (const { run } of stretches) run.series.powerW.fill(84, 1, 5)
  // A fall of 4 W, not one of 2 W to the middle of what comes after the first third.
  expect(runsAreFlat(stretches, 30)).toBe(false)
  expect(runsAreFlat(stretches, 41)).toBe(true)
})

it('too few runs or samples can’t tell', () => {
  expect(runsAreFlat(runs([0, 0]), 100)).toBe(false)
  expect(runsAreFlat(runs([0, 0, 0], 5), 100)).toBe(false)
  expect(runsAreFlat([...runs([0, 0, 0]).slice(0, 2), { ...runs([0], 5)[0]!, runIndex: 2 }], 100)).toBe(false)
  const [a, b, c] = runs([0, 0, 0])
  expect(runsAreFlat([a!, b!, c!, c!], 100)).toBe(false)
})

it('samples that were set aside don’t count', () => {
  const stretches = runs([0, 0, 0], 9)
  for (const { run } of stretches) {
    run.series.powerW[1] = 500
    run.series.powerW[2] = 500
    run.series.weights.fill(0, 1, 3)
  }
  expect(runsAreFlat(stretches, 100)).toBe(true)
  for (const { run } of stretches) run.series.weights.fill(0, 1, 5)
  expect(runsAreFlat(stretches, 100)).toBe(false)
})
