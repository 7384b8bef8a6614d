import { readFileSync } from 'node:fs'
import { describe, expect, it } from 'vitest'
import { profileOfRuns } from '../../src/fit/chip/profileRun.js'
import { scoreScatter } from '../../src/fit/chip/scoreScatter.js'
import { fitMachine } from '../../src/machine/fitMachine.js'
import { fitReview } from '../../src/machine/review/fitReview.js'
import type { TestedMachine } from '../../src/machine/testedMachine.js'
import { chipAt } from '../../src/physics/chip/chipAt.js'
import { drawReview } from '../../src/predict/review/reviewDraws.js'
import { reviewResults } from '../../src/predict/review/reviewResults.js'
import { parseReview } from '../../src/sheet/parseReview.js'
import { parseSheet } from '../../src/sheet/parseSheet.js'

interface Row {
  readonly start: string
  readonly end: string
  readonly score: number
}

/** A sample's sheet (simulated loops) with its first runs alone, or with their mean. */
function sheetsOf(name: string, count: number) {
  const text = readFileSync(`samples/${name}.yaml`, 'utf8')
  const head = text.slice(0, text.indexOf('    runs:'))
  const rows = [...text.matchAll(/start: ([\d.]+) s, end: ([\d.]+) s, score: ([\d.]+)/g)]
    .slice(0, count)
    .map(([, start, end, score]): Row => ({ start: start!, end: end!, score: Number(score) }))
  const mean = rows.reduce((sum, { score }) => sum + score, 0) / rows.length
  const sheet = (runs: string) => parseSheet(`${head}    runs: [ ${runs} ]\n`, `samples/${name}.yaml`)
  return {
    single: sheet(
      rows.map((row) => `{ start: ${row.start} s, end: ${row.end} s, score: ${row.score} }`).join(', '),
    ),
    mean: sheet(`{ start: ${rows[0]!.start} s, end: ${rows.at(-1)!.end} s, score: ${mean}, of: ${count} }`),
  }
}

/** How far the curve of the mean is from that of the runs, at the mean power, over half the interval of the mean's. */
function distance(single: TestedMachine, mean: TestedMachine): number {
  const powerW = mean.runs[0]!.meanW
  const [a, b] = [single, mean].map(({ chip }) => chipAt(chip, powerW)!.score)
  return Math.abs(a!.value - b!.value) / ((b!.high - b!.low) / 2)
}

describe('a sheet with the mean of its runs', () => {
  it.each([
    ['points', 'heron', 10],
    ['seconds', 'heron-compile', 8],
  ])('in %s gives the curve that a sheet with the runs themselves gives', async (_, name, count) => {
    const sheets = sheetsOf(name, count)
    const [single, mean] = [await fitMachine(sheets.single), await fitMachine(sheets.mean)]
    expect(mean.runs).toHaveLength(1)
    expect(mean.runs[0]).toMatchObject({ of: count, spread: expect.closeTo(1, 9) })
    expect(distance(single, mean)).toBeLessThan(0.25)
    // Time of one run, not of all of them.
    const works = [single, mean].map(({ chip }) => chip.workPerRun!.value)
    expect(works[1]! / works[0]!).toBeCloseTo(1, 2.3)
    expect([mean.asTested.firstScore, mean.asTested.steadyScore]).toEqual([null, null])
    expect(mean.loop.runs).toBe(count)
  })
})

describe('the power of a mean', () => {
  const profile = (powerW: number, seconds: number) => {
    return { powersW: [powerW], secondsS: [seconds], meanW: powerW }
  }
  const runs = [profile(90, 50), profile(45, 100)]

  it('counts each run alike for a mean score, and each second alike for a mean time', () => {
    expect(profileOfRuns(runs, false)!.meanW).toBeCloseTo((90 + 45) / 2, 9)
    expect(profileOfRuns(runs, true)!.meanW).toBeCloseTo((90 * 50 + 45 * 100) / 150, 9)
    // Both last as long as the runs did.
    for (const isTime of [true, false]) {
      expect(profileOfRuns(runs, isTime)!.secondsS.reduce((sum, s) => sum + s, 0)).toBeCloseTo(150, 9)
    }
    expect(profileOfRuns([], true)).toBeUndefined()
  })

  it('is what gives a mean score and a mean time of fixed work exactly', () => {
    // Rate in proportion to power: work 4500 takes 50 s at 90 W and 100 s at 45 W.
    const meanRate = (90 + 45) / 2
    const meanTimeS = (50 + 100) / 2
    expect(profileOfRuns(runs, false)!.meanW).toBeCloseTo(meanRate, 9)
    expect(4500 / profileOfRuns(runs, true)!.meanW).toBeCloseTo(meanTimeS, 9)
  })
})

describe('a mean in a review', () => {
  const reviewed = (runs: string) => {
    const text = `machine: Wren\nchip: A\nchassis: B\nworkloads: [ { name: copy, score: MB/s, better: higher } ]\ntrials:\n  - workload: copy\n    runs: [ ${runs} ]\n`
    const sheet = parseReview(text, 'wren.yaml')
    const machines = fitReview([{ sheet, tests: sheet.tests.map((of) => ({ of, read: null })) }])
    return reviewResults(machines, drawReview(machines), undefined)[0]!.result.machines[0]!
  }

  it('has the interval of a mean of as many runs', () => {
    const [one, mean, both] = [
      reviewed('{ score: 900 }'),
      reviewed('{ score: 900, of: 4 }'),
      reviewed('{ score: 900, of: 4 }, { score: 910 }'),
    ]
    expect([one.runs, mean.runs, both.runs]).toEqual([1, 4, 5])
    const widthOf = ({ score }: typeof one) => score.high - score.low
    expect(widthOf(mean) / widthOf(one)).toBeCloseTo(1 / Math.sqrt(4), 2)
    expect(both.score.value).toBeCloseTo((4 * 900 + 910) / 5, 9)
  })

  it('shows as much scatter as means of as many runs can: more than single scores that differ as much', () => {
    expect(scoreScatter([900, 903], [9, 9]).value).toBeGreaterThan(1.5 * scoreScatter([900, 903]).value)
    expect(scoreScatter([900], [9])).toEqual(scoreScatter([900]))
  })
})

describe('a mean in a noted trial', () => {
  it('covers the levels of as many runs from where it began, and has no steady score where nothing else was noted', async () => {
    const text = `machine: M
chip: K
chassis: C
workload: { name: w, score: points, better: higher }
trials:
  - noted: [ { power: 60 W, for: 120 s }, { power: 40 W } ]
    runs: [ { score: 100, after: 0 s, for: 60 s, of: 4 } ]
`
    const { runs, asTested } = await fitMachine(parseSheet(text, 'x.yaml'))
    expect(runs).toMatchObject([{ of: 4, endS: 240, meanW: 50 }])
    expect(asTested).toEqual({ firstScore: null, steadyScore: null })
  })
})
