import { describe, expect, it } from 'vitest'
import { compileFormula } from '../../../src/log/formula/compileFormula.js'

describe('a formula', () => {
  it('names its columns in the order of their first use, and is worked out with a number for each', async () => {
    const formula = await compileFormula('volts * amps - 0.5 * (amps + "Board power [W]")')
    expect(formula.names).toEqual(['volts', 'amps', 'Board power [W]'])
    expect(formula.evaluate([12, 2, 4])).toBe(21)
  })

  it('takes names joined by dots, and a number with a unit as a product', async () => {
    const formula = await compileFormula('power.chip * 0.88 - 6 W')
    expect(formula.names).toEqual(['power.chip', 'W'])
    expect(formula.evaluate([100, 1])).toBe(82)
  })

  it('knows min, max, abs and sqrt', async () => {
    const formula = await compileFormula('max(cpu, 0) + min(gpu, 5) + abs(-1) + sqrt(16)')
    expect(formula.evaluate([3, 9])).toBe(13)
  })

  it('carries units: volts times amperes are watts', async () => {
    const formula = await compileFormula('volts * amps')
    const power = formula.evaluate([formula.quantity(12, 'V'), formula.quantity(2, 'A')])
    expect(String(power)).toBe('24 W')
  })

  it.each([
    ['volts = 3', 'formula-not-allowed'],
    ['f(x) = x', 'formula-not-allowed'],
    ['import({})', 'formula-not-allowed'],
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
    ['{a: volts}', 'formula-not-allowed'],
    ['1:volts', 'formula-not-allowed'],
    ['volts +', 'formula-unreadable'],
    ['volts * (amps', 'formula-unreadable'],
    ['3 + 4', 'formula-empty'],
    ['', 'formula-empty'],
    [`volts${' + volts'.repeat(60)}`, 'formula-too-long'],
    [`${'('.repeat(140)}volts${')'.repeat(140)}`, undefined],
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
