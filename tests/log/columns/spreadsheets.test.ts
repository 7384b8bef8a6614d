import { describe, expect, it } from 'vitest'
import { withFormulas } from '../../../src/log/formula/withFormulas.js'
import { parseLog } from '../../../src/log/parseLog.js'
import { warnOfRepairs } from '../../../src/machine/warnOfRepairs.js'

const lines = (header: string, count: number, row: (i: number) => string) =>
  [header, ...Array.from({ length: count }, (_, i) => row(i))].join('\n')
const wattsOf = (log: string | Uint8Array) => Array.from(parseLog(log).trace.powerW.slice(0, 3))

describe('a log that went through a spreadsheet', () => {
  it('has points of thousands where a machine in milliwatts would else draw less than a watt, and says so', () => {
    const log = parseLog(
      lines('Zeit (s);Leistung (mW);Limit (mW);T (°C)', 99, (i) => `${i};9.${530 + i};25.000;61`),
    )
    expect(log.trace.powerW[2]).toBeCloseTo(9.532, 9)
    expect(log.trace.limitW?.[2]).toBe(25)
    expect(log.repairs).toContainEqual(
      expect.objectContaining({ kind: 'thousands', detail: expect.stringMatching(/"9\.530".*9530 mW/) }),
    )
    expect(warnOfRepairs(log, 'a.csv')).toMatchObject([{ code: 'read-as-thousands', file: 'a.csv' }])
    expect(wattsOf(lines('time_s\tpower_mw', 99, (i) => `${i}\t9,${530 + i}`))[2]).toBeCloseTo(9.532, 9)
  })

  it('has fractions where any cell, the unit or the size settles it', () => {
    for (const [log, watts] of [
      [lines('Zeit (s);Leistung (W)', 99, (i) => `${i};9.${530 + i}`), 9.532],
      [lines('time_s;power_mw', 99, (i) => `${i};${i === 90 ? '9.5' : `9.${530 + i}`}`), 0.009532],
      [lines('time_s,power_mw', 99, (i) => `${i},0.${530 + i}`), 0.000532],
      [lines('time_s,power_mw', 99, (i) => `${i},9${530 + i}.125`), 9.532125],
    ] as const) {
      expect(wattsOf(log)[2]).toBeCloseTo(watts, 9)
      expect(parseLog(log).repairs.map(({ kind }) => kind)).not.toContain('thousands')
    }
  })

  it('has dates as days since 1899, in the clock of whoever logged', () => {
    const text = lines('Zeitpunkt;Leistung in W', 99, (i) => {
      return `${(46_140.5 + i / 86_400).toFixed(9).replace('.', ',')};${i},5`
    })
    const { trace, columns } = parseLog(text)
    expect(columns.time).toBe('Zeitpunkt')
    expect(trace.timesS[60]).toBeCloseTo(60, 3)
    expect(trace.startOfDayS).toBeCloseTo(43_200, 3)
    expect(new Date(trace.startEpochS! * 1000).toISOString()).toBe('2026-04-28T12:00:00.000Z')
    expect(parseLog(lines('time,power_w', 99, (i) => `${46_140 + i},5`)).trace.timesS[60]).toBe(60)
  })

  it.each(['時刻', '日時', 'время', 'Horodatage', 'Zeitpunkt'])('has times under "%s"', (name) => {
    expect(parseLog(lines(`${name},power_w`, 9, (i) => `${2 * i},5`)).columns.time).toBe(name)
  })

  it('is read in Shift JIS, in pieces as whole, and not where quotes of Windows-1252 look like it', () => {
    // 温度 (℃) and 電力 [W], as the WHATWG table has them.
    const names = [
      0x89, 0xb7, 0x93, 0x78, 0x28, 0x81, 0x8e, 0x29, 0x2c, 0x93, 0x64, 0x97, 0xcd, 0x5b, 0x57, 0x5d,
    ]
    const log = Buffer.concat([
      Buffer.from('time_s,'),
      Buffer.from(names),
      Buffer.from(lines('', 9, (i) => `${i},61,45`)),
    ])
    expect(parseLog(log).columns).toMatchObject({ power: '電力[W]', temperature: '温度(℃)' })
    const quoted = Buffer.from(`\x93P\x94 caf\xe9\n${lines('time_s,power_w', 9, (i) => `${i},5`)}`, 'latin1')
    expect(parseLog(quoted).trace.powerW[3]).toBe(5)
  })

  it('gives a power from a voltage and a current whatever the case of their units, and says how', async () => {
    const text = lines('epoch_ms,voltage_v,CURRENT_MA', 9, (i) => `${1.77e12 + 1000 * i},19.5,"2,${100 + i}"`)
    expect(() => parseLog(text)).toThrow(
      expect.objectContaining({
        code: 'header-missing',
        details: { remedy: expect.stringContaining('--power "voltage_v * CURRENT_MA"') },
      }),
    )
    const options = await withFormulas({ power: 'voltage_v * CURRENT_MA' })
    expect(parseLog(text, options).trace.powerW[1]).toBeCloseTo(19.5 * 2.101, 9)
  })
})
