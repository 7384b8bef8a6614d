import { readdirSync, readFileSync } from 'node:fs'
import { join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { parseLog } from '../../src/log/parseLog.js'
import { findLoads } from '../../src/segment/findLoads.js'
import type { Load } from '../../src/segment/load.js'
import { makeSession } from '../worlds/session/makeSession.js'

// What changes the writing of a log and not what it says changes no answer: other units, another clock, columns in another order, columns
// that say nothing. Over generated sessions and the recordings of a real card.

type Table = readonly (readonly string[])[]

const RECORDINGS = 'tests/recordings'

function recordingTable(name: string): Table {
  return readFileSync(join(RECORDINGS, name), 'utf8')
    .trimEnd()
    .split('\n')
    .map((line) => line.split(',').map((cell) => cell.trim()))
}

function sessionTable(seed: number): Table {
  const { timesS, powerW, temperatureC, clockHz } = makeSession(seed).trace
  const cell = (value: number | undefined, digits: number) =>
    value === undefined || Number.isNaN(value) ? '' : value.toFixed(digits)
  return [
    ['elapsed [s]', 'Package power [W]', 'Package temperature [°C]', 'Core clock [MHz]'],
    ...Array.from(timesS, (t, i) => [
      t.toFixed(3),
      cell(powerW[i], 3),
      cell(temperatureC?.[i], 2),
      cell(clockHz === null ? undefined : clockHz[i]! / 1e6, 1),
    ]),
  ]
}

const TABLES: readonly (readonly [string, () => Table])[] = [
  ...readdirSync(RECORDINGS)
    .filter((name) => name.endsWith('.csv'))
    .map((name) => [name, () => recordingTable(name)] as const),
  ...[17_000_001, 17_000_002, 17_000_003].map(
    (seed) => [`session ${seed}`, () => sessionTable(seed)] as const,
  ),
]

type Change = (table: Table) => Table

/** The table with every cell of the columns whose header fits changed, and the header. */
function scaled(
  header: RegExp,
  rename: (header: string) => string,
  change: (value: number) => string,
): Change {
  return (table) => {
    const at = table[0]!.map((name) => header.test(name))
    return table.map((row, r) =>
      row.map((cell, c) => {
        if (!at[c]) return cell
        if (r === 0) return rename(cell)
        const number = /^-?[\d.]+/.exec(cell)?.[0]
        // A cell's own unit is left out: the header has the new one.
        return number === undefined ? cell : change(Number(number))
      }),
    )
  }
}

const inUnit = (from: RegExp, to: string) => (header: string) => header.replace(from, to)

const CHANGES: { readonly [what: string]: Change } = {
  'milliwatts for watts': scaled(/\[W\]/, inUnit(/\[W\]/, '[mW]'), (value) => (1000 * value).toFixed(3)),
  'Fahrenheit for Celsius': scaled(/\[°?C\]/, inUnit(/\[°?C\]/, '[°F]'), (value) =>
    (1.8 * value + 32).toFixed(4),
  ),
  'gigahertz for megahertz': scaled(/\[MHz\]/, inUnit(/\[MHz\]/, '[GHz]'), (value) =>
    (value / 1000).toFixed(7),
  ),
  'milliseconds for seconds': scaled(/^elapsed.*\[s\]/, inUnit(/\[s\]/, '[ms]'), (value) =>
    (1000 * value).toFixed(0),
  ),
  'another day': (table) =>
    scaled(
      /^elapsed/,
      (header) => header,
      (value) => (value + 86_400).toFixed(3),
    )(table).map((row) => row.map((cell) => cell.replace(/^(\d{4}[-/]\d\d[-/])28 /, '$129 '))),
  'columns in reverse': (table) => table.map((row) => [...row].reverse()),
  'columns that say nothing': (table) =>
    table.map((row, r) =>
      r === 0
        ? ['note', ...row, 'fan [rpm]', 'free disk']
        : ['', ...row, String(2000 + (r % 7)), String(9e9 - r)],
    ),
}

function loadsOf(table: Table): readonly Load[] {
  // Of a table with two cards the first.
  const power = table[0]!.some((header) => header.startsWith('card 0')) ? { power: 'card 0 power' } : {}
  return findLoads(parseLog(`${table.map((row) => row.join(',')).join('\n')}\n`, power).trace)
}

/** What an answer says, to so many digits that the rounding of a changed unit does not show. */
function saidOf(loads: readonly Load[]): unknown {
  return loads.map(({ startS, endS, stages, sustained, runs }) => ({
    at: [startS.toFixed(1), endS.toFixed(1)],
    runs: runs.length,
    stages: stages.map(({ label, shape, startS: from, levelW, heldBy }) => ({
      label,
      shape,
      from: from.toFixed(1),
      levelW: levelW.value.toPrecision(4),
      heldBy: heldBy.label,
    })),
    sustained: [sustained.reached, sustained.levelW.value.toPrecision(3)],
  }))
}

describe.each(TABLES)('what is said of %s', (_name, make) => {
  const table = make()
  const whole = loadsOf(table)
  const said = saidOf(whole)

  const changes = Object.entries(CHANGES)
    .map(([what, change]) => [what, change(table)] as const)
    .filter(([, changed]) => JSON.stringify(changed) !== JSON.stringify(table))

  it.each(changes)('stays with %s', (_what, changed) => {
    expect(saidOf(loadsOf(changed))).toEqual(said)
  })

  it('stays with every second sample, within what the missing ones could tell', () => {
    const thin = loadsOf(table.filter((_, r) => r === 0 || r % 2 === 1))
    // Shorter loads are a few samples then.
    const long = whole.filter(({ startS, endS }) => endS - startS >= 60)
    expect(long.length).toBeGreaterThan(0)
    for (const { startS, endS, sustained } of long) {
      const same = thin.find((load) => Math.abs(load.startS - startS) < 5 && Math.abs(load.endS - endS) < 5)
      expect(same, `load from ${startS} s to ${endS} s`).toBeDefined()
      const [whole, thinned] = [sustained.levelW, same!.sustained.levelW]
      // Their intervals meet, where they are not the same to 3 %.
      const apartW = Math.max(whole.low, thinned.low) - Math.min(whole.high, thinned.high)
      if (Math.abs(thinned.value - whole.value) > 0.03 * whole.value) expect(apartW).toBeLessThanOrEqual(0)
    }
  })
})
