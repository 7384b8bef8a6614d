import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { parseLog } from '../../../src/log/parseLog.js'

/** A log with these steps between its samples, s; its power tells which sample is which. */
function logOf(stepsS: readonly number[], startS = 0): string {
  let timeS = startS
  const rows = stepsS.map((stepS, i) => {
    timeS = Math.round((timeS + stepS) * 1000) / 1000
    return `${timeS},${i + 1}`
  })
  return ['time_s,power_w', ...rows].join('\n')
}

describe('times that only rise', () => {
  const steps = fc.array(fc.integer({ min: 800, max: 1300 }), { minLength: 30, maxLength: 120 })

  it('come out as they were written, from zero, with every sample', () => {
    fc.assert(
      fc.property(steps, fc.integer({ min: 0, max: 1e6 }), (milliseconds, startS) => {
        const stepsS = milliseconds.map((step) => step / 1000 + 1e-3)
        const { trace, repairs } = parseLog(logOf(stepsS, startS))
        expect(trace.powerW).toHaveLength(stepsS.length)
        expect(trace.timesS[0]).toBe(0)
        for (let i = 1; i < stepsS.length; i++) {
          expect(trace.timesS[i]! - trace.timesS[i - 1]!).toBeCloseTo(stepsS[i]!, 3)
        }
        expect(repairs.filter(({ kind }) => kind !== 'missing' && kind !== 'lost-carry')).toEqual([])
      }),
    )
  })

  it('of another rate for a while miss no sample; one that is lost, or two, do', () => {
    const kinds = (stepsS: readonly number[]) =>
      parseLog(logOf(stepsS)).repairs.map(({ kind, count }) => [kind, count])
    const each = (count: number, stepS: number) => Array.from({ length: count }, () => stepS)
    expect(kinds([...each(40, 1), ...each(60, 0.5), ...each(5, 2)])).toEqual([])
    expect(kinds([...each(40, 0.5), ...each(2, 1), ...each(60, 0.5), 1.5, ...each(20, 0.5)])).toEqual([
      ['missing', 4],
    ])
  })

  it('are looked through row by row as soon as one of them does not', () => {
    const stepsS = Array.from({ length: 60 }, () => 1.001)
    const rows = logOf(stepsS).split('\n')
    const swapped = [...rows.slice(0, 30), rows[31]!, rows[30]!, ...rows.slice(32)].join('\n')
    const { trace, repairs } = parseLog(swapped)
    expect([...trace.powerW]).toEqual(stepsS.map((_, i) => i + 1))
    expect(repairs.map(({ kind }) => kind)).toEqual(['out-of-order'])
  })

  it('that the caller reads twice are the same twice: nothing that is shared was written to', () => {
    const rows = logOf(Array.from({ length: 200 }, () => 1.001)).split('\n')
    const plain = rows.join('\n')
    const reversed = [rows[0]!, ...rows.slice(1).reverse()].join('\n')
    const before = parseLog(plain).trace
    parseLog(reversed)
    parseLog([...rows.slice(0, 90), rows[95]!, ...rows.slice(90, 95), ...rows.slice(96)].join('\n'))
    const after = parseLog(plain).trace
    expect(after).toEqual(before)
  })
})
