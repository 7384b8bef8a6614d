import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import type { Trace } from '../../src/log/trace.js'
import { findLoads } from '../../src/segment/findLoads.js'
import { evenDoubles } from '../evenDoubles.js'
import { makeSteps, traceOf } from './makeSteps.js'

const steps = fc.record({
  burstW: fc.double({ min: 90, max: 130, noNaN: true }),
  sustainedW: fc.double({ min: 40, max: 75, noNaN: true }),
  holdS: fc.double({ min: 10, max: 90, noNaN: true }),
  noiseW: fc.double({ min: 0.2, max: 2, noNaN: true }),
  seed: fc.integer({ min: 1, max: 1e6 }),
})

describe('findLoads keeps what must not matter out of its answer', () => {
  it('power in other units gives the same stages, scaled', () => {
    fc.assert(
      fc.property(steps, fc.constantFrom(0.25, 4), (s, factor) => {
        const trace = build(s)
        const scaled = { ...trace, powerW: trace.powerW.map((w) => w * factor) }
        const [a, b] = [findLoads(trace)[0]!, findLoads(scaled)[0]!]
        expect(b.stages).toHaveLength(a.stages.length)
        expect(b.sustained.levelW.value / factor).toBeCloseTo(a.sustained.levelW.value, 2)
      }),
      { numRuns: 12, seed: 4 },
    )
  })

  it('a longer wait before the load shifts the answer and changes nothing else', () => {
    fc.assert(
      fc.property(steps, fc.integer({ min: 1, max: 200 }), (s, waitS) => {
        const trace = build(s)
        const [a, b] = [findLoads(trace)[0]!, findLoads(delay(trace, waitS))[0]!]
        expect(b.startS - waitS).toBeCloseTo(a.startS, 1)
        expect(b.stages.map(({ startS }) => startS - waitS)).toEqual(
          a.stages.map(({ startS }) => expect.closeTo(startS, 1)),
        )
        expect(b.sustained.levelW.value).toBeCloseTo(a.sustained.levelW.value, 2)
      }),
      { numRuns: 12, seed: 5 },
    )
  })

  it("stages follow each other without gap or overlap, from the load's start to its end", () => {
    fc.assert(
      fc.property(steps, (s) => {
        const load = findLoads(build(s))[0]!
        expect(load.stages[0]!.startS).toBe(load.startS)
        expect(load.stages.at(-1)!.endS).toBe(load.endS)
        for (let k = 1; k < load.stages.length; k++)
          expect(load.stages[k]!.startS).toBe(load.stages[k - 1]!.endS)
        for (const { levelW } of load.stages) {
          expect(levelW.low).toBeLessThanOrEqual(levelW.value)
          expect(levelW.high).toBeGreaterThanOrEqual(levelW.value)
        }
      }),
      { numRuns: 20, seed: 6 },
    )
  })

  it('any finite trace gets an answer without NaN', () => {
    const samples = fc.array(evenDoubles(0, 200), { minLength: 2, maxLength: 60 })
    fc.assert(
      fc.property(samples, (values) => {
        const timesS = Float64Array.from(values, (_, i) => i)
        const loads = findLoads(traceOf(timesS, Float64Array.from(values)))
        expect(JSON.stringify(loads)).not.toMatch(/NaN/)
        for (const { sustained, stages } of loads) {
          for (const estimate of [sustained.levelW, ...stages.map(({ levelW }) => levelW)]) {
            expect([estimate.low, estimate.value, estimate.high].every(Number.isFinite)).toBe(true)
          }
        }
      }),
      { numRuns: 300, seed: 7 },
    )
  })
})

function build(s: {
  burstW: number
  sustainedW: number
  holdS: number
  noiseW: number
  seed: number
}): Trace {
  const levels = [
    [5, 25.4],
    [s.burstW, s.holdS],
    [s.sustainedW, 500.3],
    [5, 30],
  ] as const
  return makeSteps({ levels, noiseW: s.noiseW, seed: s.seed })
}

/** The same trace after more idling, which repeats the first 20 idle samples. */
function delay(trace: Trace, waitS: number): Trace {
  const idle = Float64Array.from({ length: waitS }, (_, i) => trace.powerW[i % 20]!)
  const timesS = Float64Array.from({ length: trace.timesS.length + waitS }, (_, i) => i)
  return { ...trace, timesS, powerW: Float64Array.from([...idle, ...trace.powerW]) }
}
