import { describe, expect, it } from 'vitest'
import { compileFormula, type Formula } from '../../../src/log/formula/compileFormula.js'
import { exponentsOf, unitOfExponents } from '../../../src/log/formula/exponentsOf.js'
import { parseElectricUnit } from '../../../src/log/table/electricUnit.js'
import { parseUnit } from '../../../src/units.js'

const [WATT, JOULE, VOLT, AMPERE] = ['W', 'J', 'V', 'A']

describe('a formula', () => {
  const namesOf = ({ names }: Formula) => names.map(({ name }) => name)

  it('names its columns in the order of their first use, and is worked out with a number for each', async () => {
    const formula = await compileFormula('volts * amps - 0.5 * (amps + "Board power [W]")')
    expect(namesOf(formula)).toEqual(['volts', 'amps', 'Board power [W]'])
    expect(formula.evaluate([12, 2, 4])).toBe(21)
  })

  it('takes names joined by dots and columns by number, and a number with its unit', async () => {
    const formula = await compileFormula('power.chip * 88 % - 6000 mW + #3')
    expect(namesOf(formula)).toEqual(['power.chip', '#3'])
    expect(formula.evaluate([100, 1])).toBeCloseTo(83, 12)
  })

  it('is no number where there is none', async () => {
    const formula = await compileFormula('sqrt(volts) / amps')
    expect([formula.evaluate([-1, 1]), formula.evaluate([1, 0]), formula.evaluate([Number.NaN, 1])]).toEqual([
      Number.NaN,
      Number.NaN,
      Number.NaN,
    ])
  })

  it('gives no number for a row that has none, whatever it is nested in', async () => {
    const formula = await compileFormula('max(sqrt(volts), amps)')
    expect(formula.evaluate([4, 1])).toBe(2)
    expect(formula.evaluate([-4, 1])).toBeNaN()
  })

  it('knows min, max, abs and sqrt', async () => {
    const formula = await compileFormula('max(cpu, 0) + min(gpu, 5) + abs(-1) + sqrt(16)')
    expect(formula.evaluate([3, 9])).toBe(13)
  })

  it.each([
    ['volts * amps', [VOLT, AMPERE], WATT],
    ['(volts * amps) / 2 + 3 W', [VOLT, AMPERE], WATT],
    ['max(watts, 0) * 88 %', [WATT], WATT],
    ['volts ^ 2 / (volts / amps)', [VOLT, AMPERE], WATT],
    ['sqrt(watts ^ 2 + (volts * amps) ^ 2)', [WATT, VOLT, AMPERE], WATT],
    ['joules / 2 s', [JOULE], WATT],
    ['-watts * 1 h', [WATT], JOULE],
  ])('%s carries units', async (text, units, expected) => {
    const of = units.map((symbol) => exponentsOf(parseUnit(symbol) ?? parseElectricUnit(symbol)!))
    const unit = unitOfExponents((await compileFormula(text)).dimension(of))
    expect(unit).toBe(expected)
  })

  it('tells which parts have no sum', async () => {
    const formula = await compileFormula('volts * amps - volts')
    const of = ['V', 'A'].map((symbol) => exponentsOf(parseElectricUnit(symbol)!))
    expect(() => formula.dimension(of)).toThrow('"volts * amps" is in W, and "volts" is in V')
  })

  it.each([
    ['volts = 3', 'formula-not-allowed'],
    ['f(x) = x', 'formula-not-allowed'],
    ['import({})', 'formula-empty'],
    ['import(volts)', 'formula-not-allowed'],
    ['volts amps', 'formula-not-allowed'],
    ['2 (volts)', 'formula-not-allowed'],
    ['2 volts * amps', 'formula-unit'],
    ['2 K + volts', 'formula-unit'],
    ['0.88 wall + gpu', 'formula-unit'],
    ['volts mod 2', 'formula-not-allowed'],
    ['volts % 2', 'formula-not-allowed'],
    ['createUnit(volts)', 'formula-not-allowed'],
    ['evaluate("1+1")', 'formula-not-allowed'],
    ['volts.constructor', undefined],
    ['cos.constructor("return process")()', 'formula-unreadable'],
    ['[volts, 1]', 'formula-not-allowed'],
    ['volts[1]', 'formula-not-allowed'],
    ['volts; amps', 'formula-not-allowed'],
    ['volts ? 1 : 2', 'formula-not-allowed'],
    ['volts == 2', 'formula-not-allowed'],
    ['volts!', 'formula-not-allowed'],
    ['volts + min()', 'formula-not-allowed'],
    ['abs(volts, amps)', 'formula-not-allowed'],
    ['sqrt()', 'formula-empty'],
    ['{a: volts}', 'formula-not-allowed'],
    ['1:volts', 'formula-not-allowed'],
    ['volts +', 'formula-unreadable'],
    ['volts * (amps', 'formula-unreadable'],
    ['3 + 4', 'formula-empty'],
    ['', 'formula-empty'],
    [`volts${' + volts'.repeat(60)}`, 'formula-too-long'],
    [`${'('.repeat(140)}volts${')'.repeat(140)}`, 'formula-too-long'],
  ])('%s is met', async (text, code) => {
    if (code === undefined) {
      expect((await compileFormula(text)).names).toHaveLength(1)
      return
    }
    await expect(compileFormula(text)).rejects.toMatchObject({ code })
  })

  it('points at the place where it can not be read', async () => {
    await expect(compileFormula('volts * * amps')).rejects.toThrow(/at character 9: "\* amps"/)
  })
})
