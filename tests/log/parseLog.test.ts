import { describe, expect, it } from 'vitest'
import { InputError } from '../../src/errors.js'
import { parseLog } from '../../src/log/parseLog.js'
import type { LogOptions, ParsedLog } from '../../src/log/trace.js'

const POWERS = [5, 45.5, 96.2, 58, 44.2]
const codeOf = (log: string | Uint8Array, options?: LogOptions): string => {
  try {
    parseLog(log, options)
    return 'none'
  } catch (error) {
    if (error instanceof InputError) return error.code
    throw error
  }
}
const powers = (log: ParsedLog): number[] =>
  Array.from(log.trace.powerW, (value) => Math.round(value * 1e6) / 1e6)
const times = (log: ParsedLog): number[] =>
  Array.from(log.trace.timesS, (value) => Math.round(value * 1e6) / 1e6)
const kinds = (log: ParsedLog): string[] => log.repairs.map(({ kind, count }) => `${kind} ${count}`)
/** A log with one row a second and whatever header, from a function of the row's number and power. */
const logOf = (header: string, row: (i: number, powerW: number) => string, end = '\n'): string =>
  [header, ...POWERS.map((powerW, i) => row(i, powerW))].join(end) + end

describe('tables of any dialect', () => {
  it.each([',', ';', '\t', '|'])('the delimiter "%s" is found', (d) => {
    const log = parseLog(logOf(`time_s${d}power_w${d}temp_c`, (i, p) => `${i}${d}${p}${d}50`))
    expect(powers(log)).toEqual(POWERS)
    expect(Array.from(log.trace.temperatureC!)).toEqual([50, 50, 50, 50, 50])
  })

  it.each(['\n', '\r\n', '\r'])('line ends %j are all the same', (end) => {
    const log = parseLog(logOf('time_s,power_w', (i, p) => `${i},${p}`, end))
    expect(powers(log)).toEqual(POWERS)
  })

  it('a table drawn with bars, padding and a ruling line is read', () => {
    const log = parseLog(
      `| time_s | power_w |\n|--------|---------|\n${POWERS.map((p, i) => `| ${i} | ${p} |`).join('\n')}`,
    )
    expect(powers(log)).toEqual(POWERS)
    expect(log.skipped).toEqual([{ line: 2, reason: 'ruling line' }])
  })

  it.each([';', '\t', '|'])('decimal commas are understood where "%s" delimits', (d) => {
    const log = parseLog(
      logOf(`Zeit [s]${d}Leistung [W]`, (i, p) => `${i},0${d}${String(p).replace('.', ',')}`),
    )
    expect(powers(log)).toEqual(POWERS)
  })

  it('decimal commas with three digits are decimals, not thousands, where the comma does not delimit', () => {
    const log = parseLog(logOf('t [s];P [W]', (i, p) => `${i},000;${p.toFixed(3).replace('.', ',')}`))
    expect(powers(log)).toEqual(POWERS)
    expect(times(log)).toEqual([0, 1, 2, 3, 4])
  })

  it('thousands separators of every kind are read through', () => {
    for (const value of ['"1,234.5"', "1'234.5", '1 234.5', '1\u00a0234.5', '1\u202f234.5']) {
      expect(powers(parseLog(`time_s,power_mw\n0,${value}\n1,${value}\n2,900.0`))).toEqual([
        1.2345, 1.2345, 0.9,
      ])
    }
    expect(powers(parseLog('t [s];P [mW]\n0;1.234,5\n1;900,0'))).toEqual([1.2345, 0.9])
    expect(powers(parseLog('time_s,power_mw\n0,"45,200"\n1,"44,900"'))).toEqual([45.2, 44.9])
  })

  it('quoted fields may hold delimiters, quotes and line breaks', () => {
    const log = parseLog(
      '"time, ""wall"" [s]","power\n[W]","note"\n"0","5","a,b"\n"1","45","c\nd"\n"2","44","e"\n',
    )
    expect(powers(log)).toEqual([5, 45, 44])
  })

  it('a quote that is never closed spoils its own row at most', () => {
    const rows = logOf('time_s,power_w,note', (i, p) => `${i},${p},${i === 1 ? '"open' : 'x'}`)
    expect(powers(parseLog(rows))).toEqual(POWERS)
    const many = Array.from({ length: 50 }, (_, i) => `${i},${40 + i},${i === 3 || i === 40 ? '"' : 'x'}`)
    expect(parseLog(`time_s,power_w,note\n${many.join('\n')}`).trace.powerW).toHaveLength(50)
  })

  it('a preamble in another dialect, blank lines, repeated headers and statistics are passed over with their reasons', () => {
    const log = parseLog(
      '"Power log, balanced"\n"Serial";"none"\n\nDate,Time,Power [mW]\n' +
        '26.09.2026,20:03:38.000,6400\n26.09.2026,20:03:39.000,6100\nDate,Time,Power [mW]\n' +
        '26.09.2026,20:03:40.100,6900\n--- second run ---\n26.09.2026,20:03:41.150,5600\n\nAverage,,6250\nMaximum,,6900\nThe end\n',
    )
    expect(powers(log)).toEqual([6.4, 6.1, 6.9, 5.6])
    expect(times(log)).toEqual([0, 1, 2.1, 3.15])
    expect(log.skipped).toEqual([
      { line: 1, reason: 'before the header' },
      { line: 2, reason: 'before the header' },
      { line: 3, reason: 'blank line' },
      { line: 7, reason: 'header repeated' },
      { line: 9, reason: 'text between the samples' },
      { line: 11, reason: 'blank line' },
      { line: 12, reason: 'row of statistics' },
      { line: 13, reason: 'row of statistics' },
      { line: 14, reason: 'text after the samples' },
    ])
  })

  it('a row of units below the header counts as part of it', () => {
    const log = parseLog('Time;Power;Temp\n[ms];[mW];[°F]\n0;5000;122\n1000;45000;212\n')
    expect(powers(log)).toEqual([5, 45])
    expect(times(log)).toEqual([0, 1])
    expect(Array.from(log.trace.temperatureC!, Math.round)).toEqual([50, 100])
    expect(log.skipped).toEqual([{ line: 2, reason: 'row of units' }])
  })

  it('rows that are cut off or too long do no harm', () => {
    const log = parseLog('time_s,power_w,temp_c\n0,5,50\n1,45\n2\n3,44,50,extra,more\n4,43,5')
    expect(powers(log)).toEqual([5, 45, 44, 43])
    expect(log.skipped).toEqual([{ line: 4, reason: 'incomplete row' }])
  })
})

describe('encodings', () => {
  const text = logOf('Zeit (ms)\tPaket (W)\tTemp (°C)', (i, p) => `${i * 1000}\t${p}\t50`)
  const utf16 = (bigEndian: boolean): Uint8Array => {
    const bytes = Buffer.from(`\ufeff${text}`, 'utf16le')
    return bigEndian ? bytes.swap16() : bytes
  }
  it.each([
    ['UTF-8', Buffer.from(text, 'utf8')],
    ['UTF-8 with a mark', Buffer.from(`\ufeff${text}`, 'utf8')],
    ['UTF-16 LE', utf16(false)],
    ['UTF-16 BE', utf16(true)],
    ['UTF-16 LE without a mark', utf16(false).subarray(2)],
    ['Windows-1252', Buffer.from(text, 'latin1')],
  ])('%s is read', (_, bytes) => {
    const log = parseLog(bytes)
    expect(powers(log)).toEqual(POWERS)
    expect(log.columns.temperature).toBe('Temp (°C)')
  })

  it('a UTF-8 file that ends inside a character is still UTF-8', () => {
    const bytes = Buffer.from(`${text}4\t5\t°`, 'utf8')
    expect(parseLog(bytes.subarray(0, bytes.length - 1)).columns.temperature).toBe('Temp (°C)')
  })

  it('text with a byte order mark may come as a string', () => {
    expect(powers(parseLog(`\ufeff${text}`))).toEqual(POWERS)
  })
})

describe('columns by name and unit', () => {
  it.each([
    ['Power [W]', 1],
    ['Power (W)', 1],
    ['power_w', 1],
    ['powerW', 1],
    ['Package power, W', 1],
    ['Package Power W', 1],
    ['Watts', 1],
    ['power_mw', 1e-3],
    ['powerMw', 1e-3],
    ['powermW', 1e-3],
    ['POWER_MW', 1e-3],
    ['Power {mW}', 1e-3],
    ['Power/kW', 1e3],
    ['消費電力 (W)', 1],
    ['Aufnahme <mW>', 1e-3],
  ])('a power named "%s" is read', (header, scale) => {
    const log = parseLog(logOf(`time_s;fan;${header};mode`, (i, p) => `${i};3000;${p / scale};turbo`))
    expect(powers(log)).toEqual(POWERS)
  })

  it.each([
    ['Energy [J]', 1],
    ['energy_mj', 1e-3],
    ['energy_uj', 1e-6],
    ['Energy (µJ)', 1e-6],
    ['Energy [Wh]', 3600],
    ['Energie (mWh)', 3.6],
  ])('an energy counter named "%s" is differenced', (header, unitJ) => {
    let energyJ = 1000
    const log = parseLog(
      logOf(`time_s;${header}`, (i, p) => {
        energyJ += i === 0 ? 0 : p
        return `${i};${energyJ / unitJ}`
      }),
    )
    expect(powers(log)).toEqual([45.5, 45.5, 96.2, 58, 44.2])
    expect(kinds(log)).toEqual(['counter-start 1'])
  })

  it.each([
    ['Temp [°C]', 50],
    ['temp_c', 50],
    ['CPU degC', 50],
    ['temperature (°F)', 122],
    ['temp_k', 323.15],
    ['temp_millidegC', 50000],
    ['Temp (m°C)', 50000],
    ['tempC', 50],
  ])('a temperature named "%s" is read', (header, value) => {
    const log = parseLog(logOf(`time_s;power_w;${header}`, (i, p) => `${i};${p};${value}`))
    expect(log.trace.temperatureC![2]).toBeCloseTo(50, 9)
  })

  it.each([
    ['Clock [Hz]', 3.2e9],
    ['clock_khz', 3.2e6],
    ['Core clock (MHz)', 3200],
    ['clockGHz', 3.2],
  ])('a clock named "%s" is read', (header, value) => {
    const log = parseLog(logOf(`time_s;power_w;${header}`, (i, p) => `${i};${p};${value}`))
    expect(log.trace.clockHz![2]).toBeCloseTo(3.2e9, 0)
  })

  it('package comes before cores, graphics and memory, in any order of columns', () => {
    const log = parseLog(
      'Graphics [W],Cores [W],Time [s],Processor package [W],Memory [W],Long-term power limit [W]\n' +
        '1,20,0,45,3,60\n1,21,1,46,3,60\n',
    )
    expect(log.columns).toMatchObject({ power: 'Processor package [W]', time: 'Time [s]' })
  })

  it('total comes before parts, and processor temperatures and clocks before those of other parts', () => {
    const log = parseLog(
      'Time [s],Total power [W],CPU power [W],GPU power [W],GPU [°C],SSD [°C],CPU [°C],Memory clock [MHz],CPU clock [MHz]\n' +
        '0,45,30,5,40,41,70,800,3000\n1,46,31,5,40,41,71,800,3000\n',
    )
    expect(log.columns).toMatchObject({
      time: 'Time [s]',
      power: 'Total power [W]',
      temperature: 'CPU [°C]',
      clock: 'CPU clock [MHz]',
    })
  })

  it('a disk temperature is never taken for the processor', () => {
    expect(parseLog('time_s,power_w,SSD [°C]\n0,5,40\n1,6,40').columns.temperature).toBeNull()
  })

  it('powers of several like parts are an error that says how to add them up', () => {
    const rows = 't [s],CPU 0 power [W],CPU 1 power [W]\n0,20,18\n1,21,19\n2,20,18\n'
    const remedy = '--power \'"#2" + "#3"\''
    expect(() => parseLog(rows)).toThrow(
      expect.objectContaining({
        details: expect.objectContaining({ remedy: expect.stringContaining(remedy) }),
      }),
    )
  })

  it('several columns that fit equally are an error that lists them and the option that picks one', () => {
    const text = 'time_s,Power A [W],Power B [W]\n0,5,6\n1,7,8\n'
    expect(codeOf(text)).toBe('column-ambiguous')
    expect(() => parseLog(text)).toThrow(/"Power A \[W\]" \(#2\), "Power B \[W\]" \(#3\)/)
    try {
      parseLog(text)
    } catch (error) {
      expect((error as InputError).details.remedy).toBe('pick one with --power "Power A [W]"')
    }
    for (const power of ['Power B [W]', 'power b', 'b [w', '#3'])
      expect(powers(parseLog(text, { power }))).toEqual([6, 8])
  })

  it('two columns of one name are told apart by number', () => {
    const text = 'time_s,power_w,power_w\n0,5,6\n1,7,8\n'
    expect(codeOf(text)).toBe('column-ambiguous')
    expect(powers(parseLog(text, { power: '#3' }))).toEqual([6, 8])
  })

  it('an unknown name, or a column in the wrong unit, is an error that lists what there is', () => {
    const text = 'time_s,power_w,fan_rpm\n0,5,6\n1,7,8\n'
    expect(codeOf(text, { power: 'watts' })).toBe('column-unknown')
    expect(codeOf(text, { power: 'time_s' })).toBe('column-unit')
    expect(codeOf(text, { clock: 'fan_rpm' })).toBe('column-unit')
    expect(codeOf(text, { time: 'power_w' })).toBe('time-unreadable')
  })

  it('units inside the cells are read, each by its own', () => {
    const log = parseLog(
      'Time,Power,Temperature\n0.0 s,800 mW,50 °C\n1.0 s,45.2 W,122 °F\n1500 ms,44 W,50 °C\n',
    )
    expect(powers(log)).toEqual([0.8, 45.2, 44])
    expect(times(log)).toEqual([0, 1, 1.5])
    expect(Array.from(log.trace.temperatureC!, Math.round)).toEqual([50, 50, 50])
  })

  it('a power and a time without any unit are W and s, and the log says so', () => {
    const log = parseLog('Time,Power\n0,5\n1,45\n')
    expect(powers(log)).toEqual([5, 45])
    expect(kinds(log)).toEqual(['unit-assumed 1', 'unit-assumed 1'])
  })

  it('names of object properties are ordinary names', () => {
    const log = parseLog('__proto__,constructor [W],toString [s]\n1,5,0\n2,45,1\n')
    expect(log.columns).toMatchObject({ power: 'constructor [W]', time: 'toString [s]' })
  })

  it('a log of one column needs the sampling interval', () => {
    expect(codeOf('power_w\n5\n45\n')).toBe('time-missing')
    const log = parseLog('Power (W)\n5,5\n45,0\nn/a\n44,0\nAverage\n', { everyS: 0.5 })
    expect(powers(log)).toEqual([5.5, 45, 44])
    expect(times(log)).toEqual([0, 0.5, 1.5])
  })
})

describe('missing and impossible values', () => {
  it('empty cells, NaN and N/A are set aside, counted, and the first line named', () => {
    const log = parseLog('time_s,power_w,temp_c\n0,5,50\n1,,50\n2,NaN,50\n3,N/A,50\n4,44,-\n5,43,N/A\n')
    expect(powers(log)).toEqual([5, 44, 43])
    expect(log.repairs[0]).toMatchObject({ kind: 'no-power', count: 3, firstLine: 3 })
    expect(Array.from(log.trace.temperatureC!)).toEqual([50, Number.NaN, Number.NaN])
  })

  it('powers below zero and above anything a machine draws are set aside', () => {
    const log = parseLog('time_s,power_w\n0,5\n1,-3\n2,4294967295\n3,44\n')
    expect(powers(log)).toEqual([5, 44])
    expect(kinds(log)).toContain('impossible-power 2')
  })

  it('a discharge that is logged as negative power changes its sign, and the log says so', () => {
    const log = parseLog('time_s,Battery power [W]\n0,-5\n1,-45\n2,-44\n')
    expect(powers(log)).toEqual([5, 45, 44])
    expect(kinds(log)).toContain('sign-reversed 1')
  })

  it('temperatures outside what silicon can read are left out', () => {
    const log = parseLog('time_s,power_w,temp_c\n0,5,50\n1,6,255\n2,7,-273\n')
    expect(Array.from(log.trace.temperatureC!)).toEqual([50, Number.NaN, Number.NaN])
    expect(kinds(log)).toContain('impossible-temperature 2')
  })
})

describe('columns of many cores', () => {
  const text =
    'Time [s];Core 0 [°C];Core 1 [°C];Core 0 clock [MHz];Core 1 clock [MHz];Package [W]\n0;40;45;3000;3200;5\n1;50;;3000;3200;6\n'

  it('the hottest core is the temperature, and the mean of the clocks the clock', () => {
    const { columns, trace } = parseLog(text)
    expect(columns).toMatchObject({
      temperature: 'Core 0 [°C] and 1 more (hottest)',
      clock: 'Core 0 clock [MHz] and 1 more (mean)',
    })
    expect(Array.from(trace.temperatureC!)).toEqual([45, 50])
    expect(Array.from(trace.clockHz!)).toEqual([3.1e9, 3.1e9])
  })

  it('one core is taken when it is asked for', () => {
    expect(Array.from(parseLog(text, { temperature: 'Core 0' }).trace.temperatureC!)).toEqual([40, 50])
  })

  it('temperatures that differ in more than a number are unclear', () => {
    expect(codeOf('time_s;power_w;Sensor A [°C];Sensor B [°C]\n0;5;40;41\n1;5;40;41')).toBe(
      'column-ambiguous',
    )
  })
})

describe('where the table begins', () => {
  it('a note in the preamble that speaks of power is not taken for the header', () => {
    const rows = Array.from({ length: 30 }, (_, i) => `${i},${40 + (i % 3)}`).join('\n')
    const log = parseLog(
      `Session notes: window open, mains power\nMachine in the quiet room\n\ntime_s,Package [W]\n${rows}\n`,
    )
    expect(log.columns).toMatchObject({ time: 'time_s', power: 'Package [W]' })
    expect(log.skipped.map(({ line }) => line)).toEqual([1, 2, 3])
  })

  it('a preamble of hundreds of lines is passed over', () => {
    const preamble = Array.from({ length: 900 }, (_, i) => `Setting ${i}: value ${i}`).join('\n')
    const log = parseLog(`${preamble}\n${logOf('Time [s],Package [W]', (i, p) => `${i},${p}`)}`)
    expect(powers(log)).toEqual(POWERS)
    expect(log.skipped).toHaveLength(900)
  })

  it('a sensor that answers only after a while still makes its header known', () => {
    const rows = Array.from({ length: 40 }, (_, i) => `${i},${i < 20 ? 'N/A' : 40 + i}`)
    expect(parseLog(`Time [s],Package [W]\n${rows.join('\n')}`).trace.powerW[0]).toBe(60)
  })
})
