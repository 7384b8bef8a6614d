import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { InputError } from '../../../src/errors.js'
import { parseLog } from '../../../src/log/parseLog.js'
import type { LogOptions } from '../../../src/log/trace.js'

const codeOf = (log: string, options?: LogOptions): string => {
  try {
    parseLog(log, options)
    return 'none'
  } catch (error) {
    if (error instanceof InputError) return error.code
    throw error
  }
}

interface Sample {
  readonly s: number
  readonly w: number
  readonly c: number
}

const two = (value: number) => String(value).padStart(2, '0')
const stamp = (s: number) =>
  `${two(10 + Math.floor(s / 3600))}:${two(Math.floor(s / 60) % 60)}:${two(s % 60)}`

/** The same samples in every layout of the contract. */
const LAYOUTS: { readonly [name: string]: (rows: readonly Sample[]) => string } = {
  plain: (rows) => ['time_s,power_w,temp_c', ...rows.map(({ s, w, c }) => `${s},${w},${c}`)].join('\n'),
  pairs: (rows) =>
    rows.map(({ s, w, c }) => `Time,03-21-2031 ${stamp(s)}.000,Watts,${w},Celsius,${c},Note,x`).join('\n'),
  hashes: (rows) =>
    [
      '#  elapsed   power    temp',
      '#        s       W       C',
      ...rows.map(
        ({ s, w, c }) => ` ${s.toFixed(2).padStart(7)} ${String(w).padStart(7)} ${String(c).padStart(7)}`,
      ),
    ].join('\n'),
  aligned: (rows) =>
    ['time_s   power_w temp_c', ...rows.map(({ s, w, c }) => `${s}   ${w}  ${c}  `)].join('\r\n'),
  wide: (rows) =>
    [
      'Clock time  Package power (W)  Chip temp [°C]',
      ...rows.map(({ s, w, c }) => `2031-03-21 ${stamp(s)}  ${w}  ${c}`),
    ].join('\n'),
  unitsInCells: (rows) =>
    [
      'stamp, draw [W], temperature.chip',
      ...rows.map(({ s, w, c }) => `2031/03/21 ${stamp(s)}.000, ${w} W, ${c}`),
    ].join('\n'),
  inTurn: (rows) =>
    [
      'time_s,device,power_w,temp_c',
      ...rows.flatMap(({ s, w, c }) => [`${s},wren,3,30`, `${s},heron,${w},${c}`]),
    ].join('\n'),
}

describe('one table in every layout', () => {
  const samples = fc
    .array(fc.tuple(fc.integer({ min: 10, max: 900 }), fc.integer({ min: 21, max: 99 })), {
      minLength: 12,
      maxLength: 60,
    })
    .map((rows) => rows.map(([w, c], s): Sample => ({ s, w: w / 10, c })))

  it.each(Object.keys(LAYOUTS))('%s reads the same', (name) => {
    fc.assert(
      fc.property(samples, (rows) => {
        const { trace } = parseLog(LAYOUTS[name]!(rows), name === 'inTurn' ? { device: 'heron' } : {})
        expect(Array.from(trace.timesS, Math.round)).toEqual(rows.map(({ s }) => s))
        expect(Array.from(trace.powerW)).toEqual(rows.map(({ w }) => w))
        expect(Array.from(trace.temperatureC!)).toEqual(rows.map(({ c }) => c))
      }),
      { numRuns: 40 },
    )
  })
})

describe('lines of pairs', () => {
  it('a row of -1 is no reading: counted and set aside, and the others stay', () => {
    const rows = [3, -1, 4, 5, -1, 6].map(
      (w, s) => `Time,02-23-2031 10:00:0${s}.000,Watts,${w}.0,Volts,${w < 0 ? -1 : 230}`,
    )
    const log = parseLog(rows.join('\n'))
    expect(Array.from(log.trace.powerW)).toEqual([3, 4, 5, 6])
    expect(log.repairs).toContainEqual(
      expect.objectContaining({ kind: 'no-reading', count: 2, firstLine: 2 }),
    )
    expect(log.trace.startEpochS).toBe(Date.UTC(2031, 1, 23, 10) / 1000)
  })

  it('lines of other pairs between them are passed over', () => {
    const rows = Array.from({ length: 8 }, (_, s) => `Time,10:00:0${s},Watts,${40 + s},Volts,230`)
    const log = parseLog([...rows.slice(0, 4), 'Mark,begin,Run,1', ...rows.slice(4)].join('\n'))
    expect(log.trace.powerW).toHaveLength(8)
    expect(log.skipped).toHaveLength(1)
  })
})

describe('dates with dashes', () => {
  const log = (dates: readonly string[]) =>
    parseLog(`time,power_w\n${dates.map((date, i) => `${date} 23:59:${50 + i},${40 + i}`).join('\n')}`)

  it('have the day first, unless a figure above 12 says otherwise', () => {
    expect(log(['02-03-2031', '02-03-2031']).trace.startEpochS! / 86_400).toBeCloseTo(
      Date.UTC(2031, 2, 2) / 864e5 + 1,
      3,
    )
    expect(log(['02-23-2031', '02-23-2031']).trace.startEpochS! / 86_400).toBeCloseTo(
      Date.UTC(2031, 1, 23) / 864e5 + 1,
      3,
    )
  })
})

describe('several machines in one log', () => {
  const text = LAYOUTS.inTurn!(Array.from({ length: 20 }, (_, s) => ({ s, w: 40 + s, c: 50 })))

  it('need the option, and the error lists them', () => {
    expect(() => parseLog(text)).toThrow(/2 machines in turn, by its column "device": wren, heron/)
    expect(codeOf(text)).toBe('device-needed')
    expect(codeOf(text, { device: 'ibis' })).toBe('device-unknown')
  })

  it('the rows of the others are counted', () => {
    const log = parseLog(text, { device: 'wren' })
    expect(log.columns.device).toEqual({ column: 'device', value: 'wren' })
    expect(log.repairs).toContainEqual(expect.objectContaining({ kind: 'other-machines', count: 20 }))
    expect(Array.from(log.trace.powerW)).toEqual(Array.from({ length: 20 }, () => 3))
  })

  it('a column that numbers the rows, or names one machine, tells nothing apart', () => {
    const rows = Array.from({ length: 30 }, (_, s) => `${s},${s},heron,${40 + s}`)
    expect(codeOf(`time_s,index,host,power_w\n${rows.join('\n')}`)).toBe('none')
    expect(codeOf('time_s,power_w\n0,5\n1,6', { device: '0' })).toBe('device-column-missing')
  })
})

describe('a short log with a broken row', () => {
  const readOf = (text: string) => {
    const { trace } = parseLog(text)
    return { times: [...trace.timesS], watts: [...trace.powerW] }
  }

  it('is a table of two columns, not one of numbers with decimal commas', () => {
    const two = { times: [0, 2], watts: [5, 7] }
    expect(readOf('time,power\n0,5\n1,x\n2,7')).toEqual(two)
    expect(readOf('time,power\n0,x\n0,5\n2,7')).toEqual(two)
  })
})
