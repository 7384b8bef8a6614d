import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { InputError } from '../src/errors.js'
import { type Dimension, formatQuantity, parseQuantity, parseUnit } from '../src/units.js'

const codeOf = (text: string, dimension: Dimension): string => {
  try {
    return String(parseQuantity(text, dimension))
  } catch (error) {
    if (error instanceof InputError) return error.code
    throw error
  }
}

describe('parseQuantity', () => {
  it.each([
    ['1.2 kW', 'power', 1200],
    ['500 mW', 'power', 0.5],
    ['71W', 'power', 71],
    ['45', 'power', 45],
    [' 9.5e1 watts ', 'power', 95],
    ['90 s', 'time', 90],
    ['4 min', 'time', 240],
    ['1.5 h', 'time', 5400],
    ['250 ms', 'time', 0.25],
    ['50 µs', 'time', 5e-5],
    ['1:30', 'time', 90],
    ['01:02:03.5', 'time', 3723.5],
    ['2 min 30 s', 'time', 150],
    ['1h 5min', 'time', 3900],
    ['22 degC', 'temperature', 22],
    ['22 °C', 'temperature', 22],
    ['-5', 'temperature', -5],
    ['72 degF', 'temperature', 22.2222222],
    ['295.15 K', 'temperature', 22],
    ['45000 millidegC', 'temperature', 45],
    ['1 Wh', 'energy', 3600],
    ['2 kJ', 'energy', 2000],
    ['3.2 GHz', 'frequency', 3.2e9],
  ] as const)('reads "%s" as a %s', (text, dimension, value) => {
    expect(parseQuantity(text, dimension)).toBeCloseTo(value, 6)
  })

  it('gives a plain number the unit of its dimension', () => {
    expect(parseQuantity(44.5, 'power')).toBe(44.5)
    expect(parseQuantity(12, 'time')).toBe(12)
  })

  it.each([
    ['', 'power', 'quantity-unreadable'],
    ['fast', 'power', 'quantity-unreadable'],
    ['12 Nm', 'power', 'unit-unknown'],
    ['12 MW', 'power', 'unit-unknown'],
    ['12 s', 'power', 'unit-wrong'],
    ['12 J', 'power', 'unit-wrong'],
    ['4 m', 'time', 'unit-unknown'],
    ['-3 W', 'power', 'quantity-negative'],
    ['1,2 kW', 'power', 'unit-unknown'],
    ['1:75', 'time', 'quantity-unreadable'],
    ['1:02:03:04', 'time', 'quantity-unreadable'],
    ['1:99:00', 'time', 'quantity-unreadable'],
    ['1e999 W', 'power', 'quantity-unreadable'],
    ['NaN', 'power', 'quantity-unreadable'],
    ['Infinity', 'time', 'quantity-unreadable'],
    ['0x10 W', 'power', 'unit-unknown'],
    ['-300 degC', 'temperature', 'temperature-impossible'],
    ['-1 K', 'temperature', 'temperature-impossible'],
    ['40 W 20', 'power', 'quantity-unreadable'],
  ] as const)('refuses "%s" as a %s', (text, dimension, code) => {
    expect(codeOf(text, dimension)).toBe(code)
  })

  it('refuses a number that is not finite', () => {
    expect(() => parseQuantity(Number.NaN, 'power')).toThrow(InputError)
    expect(() => parseQuantity(Number.POSITIVE_INFINITY, 'time')).toThrow(InputError)
  })

  it('never repeats control characters in its message', () => {
    expect(() => parseQuantity('5 \u001b[31mW', 'power')).toThrow(/^\P{Cc}*$/u)
  })

  it('throws nothing but InputError, whatever the text', () => {
    const dimensions = fc.constantFrom<Dimension[]>('power', 'energy', 'time', 'temperature', 'frequency')
    fc.assert(
      fc.property(fc.string({ unit: 'binary' }), dimensions, (text, dimension) =>
        /^\S*$/.test(codeOf(text, dimension)),
      ),
    )
  })
})

describe('parseUnit', () => {
  it('takes any case where that cannot change the meaning, and never M for m', () => {
    expect(parseUnit('MHZ')?.scale).toBe(1e6)
    expect(parseUnit('mw')?.scale).toBe(1e-3)
    expect(parseUnit('MW')).toBeUndefined()
    expect(parseUnit('MJ')).toBeUndefined()
  })

  it('takes both micro signs and u', () => {
    for (const text of ['uJ', '\u00b5J', '\u03bcJ']) expect(parseUnit(text)?.scale).toBe(1e-6)
  })

  it('knows names of objects for what they are: no units', () => {
    for (const text of ['constructor', '__proto__', 'toString', 'hasOwnProperty'])
      expect(parseUnit(text)).toBeUndefined()
  })
})

describe('formatQuantity', () => {
  it('names the unit and drops trailing zeros', () => {
    expect(formatQuantity(44.2, 'power')).toBe('44.2 W')
    expect(formatQuantity(95, 'temperature')).toBe('95 °C')
    expect(formatQuantity(28.123456, 'time')).toBe('28.12 s')
  })
})
