import { expect, it } from 'vitest'
import type { Sustained } from '../../../src/segment/load.js'
import { withinSamples } from '../../../src/segment/settled/withinSamples.js'
import { traceOf } from '../makeSteps.js'

const powerW = Float64Array.of(5, 30, 80, 40, 5, 20, 70, 5)
const trace = traceOf(
  powerW.map((_, i) => i),
  powerW,
)
const run = (from: number, to: number) => ({ from, to, idleBeforeW: 5, idleAfterW: 5 })
const of = (value: number, low: number, high: number): Sustained => ({
  reached: true,
  levelW: { value, low, high, level: 0.9 },
  fromS: 3,
  settleAfterS: null,
  bounds: null,
})

it('a level of work that its samples do not follow lies between the lowest and the highest of all its runs', () => {
  const runs = [run(1, 4), run(5, 7)]
  expect(withinSamples(of(50, 10, 90), trace, runs)).toEqual(of(50, 20, 80))
  expect(withinSamples(of(15, 10, 18), trace, runs)).toEqual(of(20, 20, 20))
  expect(withinSamples(of(95, 60, 99), trace, runs)).toEqual(of(80, 60, 80))
  expect(withinSamples(of(50, 45, 55), trace, runs)).toEqual(of(50, 45, 55))
  expect(withinSamples(of(50, 10, 90), trace, [run(1, 4)])).toEqual(of(50, 30, 80))
})

it('so do its floor and its ceiling', () => {
  const bounded = { ...of(50, 40, 60), bounds: { floorW: 2, ceilingW: 200 } }
  expect(withinSamples(bounded, trace, [run(1, 4)]).bounds).toEqual({ floorW: 30, ceilingW: 80 })
})
