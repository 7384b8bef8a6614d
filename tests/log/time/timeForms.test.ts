import { describe, expect, it } from 'vitest'
import { parseLog } from '../../../src/log/parseLog.js'

const two = (value: number) => String(value).padStart(2, '0')
/** Two figures, the second of them 60 to one of the first. */
const pair = (units: number) => `${two(Math.floor(units / 60))}:${two(units % 60)}`

function read(stampOf: (row: number) => string, heading = 'time', rows = 300) {
  const lines = Array.from({ length: rows }, (_, k) => `${stampOf(k)},${(k < 60 ? 4 : 40) + k / 1000}`)
  const { trace, repairs } = parseLog(`${heading},power_w\n${lines.join('\n')}\n`)
  return { trace, told: repairs.map(({ kind, detail }) => `${kind}: ${detail}`).join('\n') }
}

describe('a time of two figures', () => {
  it.each([
    ['elapsed by the second, from 00:00', (k: number) => pair(k), 'time', 1, 'mm:ss'],
    ['elapsed every 5 s, beyond an hour', (k: number) => pair(5 * k), 'time', 5, 'mm:ss'],
    ['that its heading calls mm:ss', (k: number) => pair(700 + k), 'time (mm:ss)', 1, 'mm:ss'],
    ['that no day has', (k: number) => pair(24 * 60 - 10 + k), 'time', 1, 'mm:ss'],
    ['of a day, a sample a minute', (k: number) => pair(14 * 60 + k), 'time', 60, 'hh:mm'],
    ['of a day, from midnight, as its heading says', (k: number) => pair(k), 'time (hh:mm)', 60, 'hh:mm'],
  ])('%s', (_, stampOf, heading, intervalS, form) => {
    const { trace, told } = read(stampOf, heading)
    expect(trace.intervalS).toBeCloseTo(intervalS, 9)
    expect(told).toContain(`read as ${form}`)
    expect(trace.startOfDayS === null).toBe(form === 'mm:ss')
  })

  it('of a day, with many samples a minute, is spread over the minute', () => {
    const { trace, told } = read((k) => pair(9 * 60 + Math.floor(k / 30)))
    expect(told).toContain('read as hh:mm, since 30 samples share a stamp')
    expect(trace.intervalS).toBeCloseTo(2, 1)
  })
})

describe('a time without a unit', () => {
  it.each([
    [1, 's'],
    [60, 's'],
    [200, 'ms'],
    [1000, 'ms'],
    [500_000, 'us'],
  ])('in steps of %i is read in %2$s, and that is told', (step, unit) => {
    const { trace, told } = read((k) => String(7 + step * k))
    const scale = { s: 1, ms: 1e-3, us: 1e-6 }[unit]!
    expect(trace.intervalS).toBeCloseTo(step * scale, 9)
    expect(told).toMatch(/unit-assumed: .*taken as (s|ms|us|µs)$/m)
  })

  it('is left as its heading says where that names a unit', () => {
    expect(read((k) => String(1000 * k), 'time_s').trace.intervalS).toBe(1000)
  })
})
