import { readFileSync } from 'node:fs'
import { describe, expect, it } from 'vitest'
import { type Desk, readAsSheetsSay, sheetsOfLoad, withOptions } from '../../src/desk/state/desk.js'
import {
  addLoad,
  givenTimes,
  joinNext,
  moveEdge,
  placesAfter,
  setByHand,
  splitLoad,
} from '../../src/desk/state/loadSpans.js'
import { withTrialOptions } from '../../src/desk/state/trialOptions.js'
import { parseSheet } from '../../src/sheet/parseSheet.js'

const LOG = { startS: 0, endS: 1000, intervalS: 1 }
const TWO = [
  { startS: 10, endS: 400 },
  { startS: 500, endS: 900 },
]

describe('corrected loads', () => {
  it('move an edge as far as the neighbour and the end of the log', () => {
    expect(moveEdge(TWO, 0, 'endS', 450.5, LOG)[0]!.endS).toBe(450.5)
    expect(moveEdge(TWO, 0, 'endS', 600, LOG)[0]!.endS).toBe(500)
    expect(moveEdge(TWO, 1, 'endS', 5000, LOG)[1]!.endS).toBe(1000)
    expect(moveEdge(TWO, 0, 'startS', 399, LOG)[0]!.startS).toBe(395)
  })

  it('are joined, and split where they were joined', () => {
    const joined = joinNext(TWO, 0)
    expect(joined).toEqual([{ startS: 10, endS: 900 }])
    const runs = TWO.map((run) => ({ ...run, meanW: 50, energyWh: 1 }))
    expect(splitLoad(joined, 0, 450, { runs, log: LOG })).toEqual(TWO)
    expect(splitLoad(joined, 0, 200, { runs, log: LOG })).toEqual([
      { startS: 10, endS: 200 },
      { startS: 200, endS: 900 },
    ])
    expect(splitLoad(joined, 0, 12, { runs, log: LOG })).toBe(joined)
  })

  it('take a further one in the longest free stretch that is shown', () => {
    expect(addLoad(TWO, [0, 1000], LOG)).toEqual([TWO[0], { startS: 400, endS: 500 }, TWO[1]])
    expect(addLoad(TWO, [880, 1000], LOG).at(-1)).toEqual({ startS: 900, endS: 1000 })
    expect(addLoad(TWO, [100, 300], LOG)).toBe(TWO)
  })

  it('are told from those that were found', () => {
    expect(setByHand(moveEdge(TWO, 0, 'endS', 450, LOG), TWO, LOG)).toEqual([true, false])
    expect(placesAfter(TWO, [{ startS: 500, endS: 950 }])).toEqual([undefined, 0])
  })
})

const SHEET = `machine: a # mine
chip: b
chassis: c
workload: { name: d, score: points, better: higher }
trials:
  - log: loop.csv
    load: 2
    power: W
    runs: [ { score: 5 } ]
  - log: loop.csv
    power: other
`

describe('a log that is read in another way', () => {
  const desk: Desk = {
    logs: [{ id: 'l', name: 'loop.csv', options: { power: 'W' } }],
    sheets: [{ id: 's', file: 'loop.yaml', text: SHEET }],
  }

  it('is read so by the sheets that read it as it was read; what they say of their own stays', () => {
    const [sheet] = withOptions(desk, 'l', { power: 'Package', clock: 'MHz' }).sheets
    const [first, second] = parseSheet(sheet!.text, 'loop.yaml').trials
    expect(first).toMatchObject({ load: 2, options: { power: 'Package', clock: 'MHz' } })
    expect(second).toMatchObject({ options: { power: 'other', clock: 'MHz' } })
    expect(sheet!.text).toContain('machine: a # mine')
  })

  it('keeps corrected loads in the sheet, marked, and the load that a trial is about', () => {
    const next = joinNext([{ startS: 1, endS: 5 }, ...TWO], 0)
    const loads = givenTimes(next)
    const places = placesAfter([{ startS: 1, endS: 5 }, ...TWO], next)
    const { logs, sheets } = withOptions(desk, 'l', { power: 'W', loads }, places)
    expect(logs[0]!.options.loads).toEqual(loads)
    const text = sheets[0]!.text
    expect(text).toContain('# set by hand')
    expect(parseSheet(text, 'loop.yaml').trials[0]).toMatchObject({ load: 1, options: { loads } })
    const back = withTrialOptions(text, 'loop.csv', {
      before: { power: 'W', loads },
      after: { power: 'W' },
      places: [0, 2],
    })
    expect(back).not.toContain('set by hand')
    expect(parseSheet(back, 'loop.yaml').trials[0]).toMatchObject({ load: 1 })
  })

  it('knows which sheets are about a load', () => {
    expect(sheetsOfLoad(desk, desk.logs[0]!, 2).map(({ file }) => file)).toEqual(['loop.yaml'])
    expect(sheetsOfLoad(desk, desk.logs[0]!, 1)).toEqual([])
  })

  it('is read as the sheet on the desk says when nothing was chosen', () => {
    const bare = { ...desk, logs: [{ id: 'l', name: 'folder/loop.csv', options: {} }] }
    expect(readAsSheetsSay(bare).logs[0]!.options).toEqual({ power: 'W' })
    const heron = readFileSync('samples/heron.yaml', 'utf8')
    const other = { ...bare, sheets: [{ id: 's', file: 'heron.yaml', text: heron }] }
    expect(readAsSheetsSay(other)).toEqual(other)
  })
})
