import { describe, expect, it } from 'vitest'
import { parseLog } from '../../../src/log/parseLog.js'
import { findReasonBits } from '../../../src/log/reasons/reasonBits.js'
import { reasonFlags } from '../../../src/log/reasons/reasonFlags.js'
import { type LogOptions, REASON } from '../../../src/log/trace.js'

const table = (header: string, cells: readonly string[], options?: LogOptions) =>
  parseLog([header, ...cells.map((cell, i) => `${i},${40 + i},${cell}`)].join('\n'), options)
const reasonsOf = (header: string, cells: readonly string[], options?: LogOptions) =>
  Array.from(table(`time_s,power_w,${header}`, cells, options).trace.reasons ?? [])

describe('what a log says held the machine', () => {
  it('is read from words', () => {
    const { powerLimit, heat, idle } = REASON
    expect(reasonsOf('held.why', ['none', 'limit', 'heat', 'idle', 'Thermal; PL1'])).toEqual([
      0,
      powerLimit,
      heat,
      idle,
      heat | powerLimit,
    ])
    expect(reasonFlags('temperature limit')).toBe(heat)
    expect(reasonFlags('moon phase')).toBe(REASON.other)
  })

  it('is read from a mask whose bits the header names', () => {
    expect(reasonsOf('held.bits (1 limit 2 heat)', ['0x0', '0x1', '0x2', '0x3', '0x4'])).toEqual([
      0,
      REASON.powerLimit,
      REASON.heat,
      REASON.powerLimit | REASON.heat,
      REASON.other,
    ])
    expect(findReasonBits('why [bit 0: idle, bit 3: thermal]')).toEqual(
      new Map([
        [1n, REASON.idle],
        [8n, REASON.heat],
      ]),
    )
  })

  it('is left alone in a mask without names, and read with those that the user gives', () => {
    const cells = ['0x0000000000000001', '0x0000000000000004', '0x0000000000000024']
    const log = table('time_s,power_w,throttle reasons', cells)
    expect(log.trace.reasons).toBeNull()
    expect(log.repairs).toContainEqual(expect.objectContaining({ kind: 'reason-bits-unnamed' }))
    expect(reasonsOf('throttle reasons', cells, { reasonBits: '1=idle 4=power 0x20=heat' })).toEqual([
      REASON.idle,
      REASON.powerLimit,
      REASON.powerLimit | REASON.heat,
    ])
    expect(() => reasonsOf('throttle reasons', cells, { reasonBits: 'nonsense' })).toThrow(/names of bits/)
  })

  it('is found by the names of limits in its cells, whatever its header says', () => {
    const { powerLimit, heat } = REASON
    expect(reasonsOf('state', ['none', 'power limit', 'thermal slowdown'])).toEqual([0, powerLimit, heat])
    expect(reasonsOf('slowed by', ['none', 'power', 'heat'])).toEqual([0, powerLimit, heat])
    expect(reasonsOf('mode', ['power saver', 'cool', 'normal'])).toEqual([])
    expect(reasonsOf('slowed by', ['none', '', 'limit'])).toEqual([0, REASON.other, powerLimit])
  })

  it('is read from yes and no under the name of a reason', () => {
    const log = parseLog(
      'time_s,power_w,Thermal throttling,Power limit exceeded\n0,40,No,Yes\n1,41,No,No\n2,42,Yes,Yes',
    )
    const { powerLimit, heat } = REASON
    expect(Array.from(log.trace.reasons!)).toEqual([powerLimit, 0, heat | powerLimit])
  })
})

describe('limit, use and temperatures', () => {
  it('are found by name, and the limit is never the power', () => {
    const log = parseLog(
      'time_s,board limit [W],board power [W],chip use [%],memory use [%],temperature.chip,temperature.memory,core clock [MHz]\n' +
        '0,700.00 W,650 W,99 %,40 %,70,81,1980 MHz\n1,700.00 W,651 W,98 %,41 %,71,82,1980 MHz\n',
    )
    expect(log.columns).toMatchObject({
      power: 'board power [W]',
      limit: 'board limit [W]',
      use: 'chip use [%]',
      temperature: 'temperature.chip',
      temperatures: ['temperature.chip', 'temperature.memory'],
    })
    expect(Array.from(log.trace.limitW!)).toEqual([700, 700])
    expect(Array.from(log.trace.usePct!)).toEqual([99, 98])
    expect(log.trace.temperatures!.map(({ celsius }) => celsius[1])).toEqual([71, 82])
  })

  it('beside a power of the processor, the graphics are another part', () => {
    const log = parseLog('time_s,CPU power [W],GPU temp [°C],GPU use [%]\n0,40,70,5\n1,41,71,6')
    expect(log.trace.temperatureC).toBeNull()
    expect(log.trace.usePct).toBeNull()
  })

  it('a limit of zero is none', () => {
    const log = table('time_s,power_w,limit [W]', ['0', '45', '45'])
    expect(Array.from(log.trace.limitW!)).toEqual([Number.NaN, 45, 45])
  })

  it.each([
    ['61', 61],
    ['61000', 61],
    ['334.15', 61],
  ])('a temperature without a unit is read in the one that its values fit: %s', (cell, celsius) => {
    const log = table('time_s,power_w,temp', [cell, cell])
    expect(log.trace.temperatureC![0]).toBeCloseTo(celsius, 6)
    expect(log.repairs).toContainEqual(expect.objectContaining({ kind: 'unit-assumed' }))
  })

  it('of an instant and a mean of one power the mean is read, and that is told', () => {
    for (const mean of ['draw', 'draw average']) {
      const log = parseLog(`time_s,draw instant [W],${mean} [W]\n0,40,50\n1,41,51`)
      expect(log.columns.power).toBe(`${mean} [W]`)
      expect(log.repairs.map(({ kind }) => kind)).toContain('mean-preferred')
    }
  })
})
