import { expect, it } from 'vitest'
import type { ParsedLog } from '../../src/log/trace.js'
import type { Load } from '../../src/segment/load.js'
import { findImplausible, requirePlausible } from '../../src/segment/requirePlausible.js'
import { traceOf } from './makeSteps.js'

const logOf = (watts: number, everyS = 1) => {
  const powerW = new Float64Array(9).fill(watts)
  const timesS = powerW.map((_, i) => everyS * i)
  return { trace: traceOf(timesS, powerW), columns: { power: 'board' } } as unknown as ParsedLog
}
const loads = (...levelsW: readonly number[]) =>
  levelsW.map((value) => ({ sustained: { levelW: { value } } }) as Load)

it('more than 10 kW is no machine’s power: that of its highest load, or of the log where it has none', () => {
  expect(findImplausible(logOf(60), loads(55, 10_001, 70)).powerW).toBe(10_001)
  expect(findImplausible(logOf(20_000), loads(55, 70)).powerW).toBeNull()
  expect(findImplausible(logOf(20_000), []).powerW).toBe(20_000)
  expect(findImplausible(logOf(10_000), loads(10_000)).powerW).toBeNull()
})

it('samples 100 s apart show no load', () => {
  expect(findImplausible(logOf(60, 100), []).intervalS).toBe(100)
  expect(findImplausible(logOf(60, 99), []).intervalS).toBeNull()
})

it('such a log is refused with its column, its power and what to name it', () => {
  const refusal = (place?: { readonly file: string; readonly line: number }) => {
    try {
      requirePlausible(logOf(60), loads(61_234), 'a.csv', place)
    } catch (error) {
      return error
    }
    return undefined
  }
  expect(refusal()).toMatchObject({
    code: 'power-implausible',
    message: 'expected what one machine draws, at most 10 kW, got 61.2 kW in column "board"',
    details: { where: { file: 'a.csv' }, remedy: expect.stringMatching(/milliwatts.*power_mw/) },
  })
  expect(refusal({ file: 'b.yaml', line: 3 })).toMatchObject({
    details: { where: { file: 'b.yaml', line: 3 } },
  })
  expect(() => requirePlausible(logOf(60), loads(60), 'a.csv')).not.toThrow()
})
