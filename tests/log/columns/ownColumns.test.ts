import { describe, expect, it } from 'vitest'
import { parseLog } from '../../../src/log/parseLog.js'
import type { LogOptions } from '../../../src/log/trace.js'

/** Columns that are read of a table of numbers, by its headings. */
function columnsOf(headings: readonly string[], options: LogOptions = {}) {
  const row = (i: number) => [i, ...headings.map((_, k) => 40 + k + (i % 2))].join(',')
  return parseLog([`time [s],${headings.join(',')}`, row(0), row(1), row(2)].join('\n'), options).columns
}

describe('columns of several machines in one row', () => {
  const two = ['card 0', 'card 1'].flatMap((card) => [
    `${card} power [W]`,
    `${card} limit [W]`,
    `${card} temp [C]`,
    `${card} clock [MHz]`,
    `${card} use [%]`,
  ])

  it.each(['card 0', 'card 1'])('are those of the machine whose power was picked: %s', (card) => {
    expect(columnsOf(two, { power: `${card} power` })).toMatchObject({
      power: `${card} power [W]`,
      limit: `${card} limit [W]`,
      temperature: `${card} temp [C]`,
      clock: `${card} clock [MHz]`,
      use: `${card} use [%]`,
      temperatures: [`${card} temp [C]`],
    })
  })

  it('are told apart by words, by numbers that touch a word, and by numbers at the end', () => {
    const left = columnsOf(['left power [W]', 'left temp [C]', 'right power [W]', 'right temp [C]'], {
      power: 'right power',
    })
    expect(left).toMatchObject({ temperatures: ['right temp [C]'] })
    const touching = columnsOf(['gpu0_power_w', 'gpu1_power_w', 'gpu0_temp_c', 'gpu1_temp_c'], {
      power: 'gpu1_power_w',
    })
    expect(touching).toMatchObject({ temperature: 'gpu1_temp_c', temperatures: ['gpu1_temp_c'] })
    const unitless = columnsOf(['card 0 power', 'card 0 temp', 'card 1 power', 'card 1 temp'], {
      power: 'card 1 power',
    })
    expect(unitless).toMatchObject({ temperature: 'card 1 temp' })
    const ending = columnsOf(['power 1 [W]', 'power 2 [W]', 'temp 1 [C]', 'temp 2 [C]'], { power: 'power 2' })
    expect(ending).toMatchObject({ temperatures: ['temp 2 [C]'] })
  })

  it('are everybody’s without a label, and where labels are more than the machines', () => {
    const shared = columnsOf([...two, 'room temp [C]'], { power: 'card 1 power' })
    expect(shared.temperatures).toContain('room temp [C]')
    const cores = [0, 1, 2, 3].map((core) => `core ${core} temp [C]`)
    const sockets = columnsOf(['socket 0 power [W]', 'socket 1 power [W]', ...cores], {
      power: 'socket 0 power',
    })
    expect(sockets.temperature).toContain('and 3 more')
  })

  it('keep both parts of one machine, and all of a formula over several', () => {
    const parts = columnsOf(['package power [W]', 'gpu power [W]', 'package temp [C]', 'gpu temp [C]'])
    expect(parts).toMatchObject({ power: 'package power [W]', temperature: 'package temp [C]' })
    expect(parts.temperatures).toContain('gpu temp [C]')
  })

  it('may be another machine’s when the user says so', () => {
    expect(columnsOf(two, { power: 'card 0 power', temperature: 'card 1 temp' })).toMatchObject({
      temperature: 'card 1 temp [C]',
    })
  })
})
