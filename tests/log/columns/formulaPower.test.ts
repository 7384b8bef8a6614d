import { describe, expect, it } from 'vitest'
import { withFormulas } from '../../../src/log/formula/withFormulas.js'
import { parseLog } from '../../../src/log/parseLog.js'

const read = async (text: string, power: string) => parseLog(text, await withFormulas({ power }))
const powerOf = async (text: string, power: string) => [...(await read(text, power)).trace.powerW]

describe('a power by formula', () => {
  it('is worked out row by row, in a log that has no power of its own', async () => {
    const log = await read('time_s,volts,amps\n0,12,1\n1,12,2.5\n2,12.4,2.5\n', 'volts * amps')
    expect([...log.trace.powerW]).toEqual([12, 30, 31])
    expect(log.columns.power).toBe('volts * amps')
    expect(log.repairs.map(({ kind, detail }) => [kind, detail])).toEqual([
      ['formula', 'power is worked out: "volts * amps", from "volts" in V, "amps" in A, gives W'],
    ])
  })

  it('carries the units of headers and cells', async () => {
    expect(
      await powerOf('t [s];Rail [mV];Current (mA)\n0;12000;1000\n1;12000;2500\n', 'Rail * Current'),
    ).toEqual([12, 30])
    expect(await powerOf('time_s,supply,draw\n0,12.0 V,900 mA\n1,12.0 V,2.5 A\n', 'supply * draw')).toEqual([
      expect.closeTo(10.8, 9),
      30,
    ])
    const parts = 'time_s,CPU [mW],GPU [W]\n0,4000,10\n1,4500,12\n'
    expect(await powerOf(parts, 'cpu + gpu')).toEqual([14, 16.5])
    expect(await powerOf(parts, '"CPU [mW]" + 0.5 * "#3" - 500 mW')).toEqual([8.5, 10])
  })

  it('takes columns without a unit as watts where a watt is added or subtracted, and says so', async () => {
    const log = await read('time_s,wall\n0,50\n1,100\n', 'wall * 0.88 - 6 W')
    expect([...log.trace.powerW]).toEqual([38, 82])
    expect(log.repairs.map(({ kind }) => kind)).toContain('unit-assumed')
  })

  it('gives way to a column of that very name', async () => {
    const log = await read('time_s,cpu + gpu [W],cpu [W],gpu [W]\n0,1,2,3\n1,1,2,3\n', 'cpu + gpu')
    expect(log.columns.power).toBe('cpu + gpu [W]')
    const hyphen = await read('time_s,CPU-Power [W]\n0,1\n1,1\n', 'CPU-Power')
    expect(hyphen.columns.power).toBe('CPU-Power [W]')
  })

  it('sets a sample aside in which one of its columns has no value', async () => {
    const log = await read('time_s,cpu_w,gpu_w\n0,1,2\n1,,2\n2,N/A,2\n3,2,2\n', 'cpu_w + gpu_w')
    expect([...log.trace.powerW]).toEqual([3, 4])
    expect(log.repairs.find(({ kind }) => kind === 'no-power')?.count).toBe(2)
  })

  it('sums two counters; where one wraps, the sample is right or set aside', async () => {
    const rangeUj = 2 ** 32
    const rows = Array.from({ length: 40 }, (_, i) => {
      const at = (watts: number, offset: number) => Math.round((offset + watts * 1e6 * i) % rangeUj)
      return `${i},${at(40, rangeUj - 3e8)},${at(60, rangeUj - 1.5e9)}`
    })
    const power = await powerOf(
      `time_s,socket0_uj,socket1_uj\n${rows.join('\n')}\n`,
      'socket0_uj + socket1_uj',
    )
    expect(power.length).toBeGreaterThanOrEqual(38)
    for (const watts of power) expect(watts).toBeCloseTo(100, 3)
  })

  it.each([
    [
      'volts * amp5',
      'column-unknown',
      'no column "amp5" in the log, in "volts * amp5", at character 9: "amp5"',
    ],
    ['volts + amps', 'formula-units', 'in "volts + amps" "volts" is in V, and "amps" is in A'],
    [
      'volts / amps',
      'formula-units',
      'expected a power in W, got "volts / amps", from "volts" in V, "amps" in A, gives W^-1 V^2',
    ],
    [
      'volts *',
      'formula-unreadable',
      'expected a formula like volts * amps, got "volts *", which ends too early',
    ],
    ['import(volts) * amps', 'formula-not-allowed', expect.stringContaining('"import(volts)"')],
  ])('%s is refused with its place', async (formula, code, message) => {
    const log = 'time_s,volts,amps\n0,12,1\n1,12,2.5\n'
    await expect(read(log, formula)).rejects.toMatchObject({ code, message })
  })
})
