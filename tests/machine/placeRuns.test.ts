import { describe, expect, it } from 'vitest'
import { InputError } from '../../src/errors.js'
import { parseLog } from '../../src/log/parseLog.js'
import { placeRuns } from '../../src/machine/runs/placeRuns.js'
import type { Workload } from '../../src/physics/chip/chip.js'
import { findLoads } from '../../src/segment/findLoads.js'
import { parseSheet } from '../../src/sheet/parseSheet.js'
import type { LoggedTrial } from '../../src/sheet/testSheet.js'
import { randomStream } from '../worlds/randomStream.js'

const POINTS: Workload = { name: 'tile render', score: 'points', better: 'higher' }

/** A trial as a sheet writes it. */
function trialOf(runs: readonly string[], better = 'higher', score = 'points'): LoggedTrial {
  const text = `machine: Heron
chip: K
chassis: H
workload: { name: tile render, score: ${score}, better: ${better} }
trials:
  - log: x.csv
    runs:
${runs.map((run) => `      - { ${run} }`).join('\n')}
`
  return parseSheet(text, 'x.yaml').trials[0] as LoggedTrial
}

interface Loop {
  readonly runsS: readonly number[]
  readonly gapS: number
  readonly stamp?: (timeS: number) => string
}

/** A log of a loop: 20 s of idle, then runs at 60 W with pauses at 5 W, then idle. */
function logOf({ runsS, gapS, stamp }: Loop) {
  const random = randomStream(7)
  const edges: number[] = []
  for (const runS of runsS) {
    const startS = (edges.at(-1) ?? 20 - gapS) + gapS
    edges.push(startS, startS + runS)
  }
  const rows = [stamp === undefined ? 'time_s,power_w' : 'Time,power_w']
  for (let timeS = 0; timeS <= edges.at(-1)! + 20; timeS++) {
    const working = edges.some((edge, i) => i % 2 === 0 && timeS > edge && timeS <= edges[i + 1]!)
    const powerW = (working ? 60 : 5) + 0.3 * random.normal()
    rows.push(`${stamp === undefined ? timeS : stamp(timeS)},${powerW.toFixed(2)}`)
  }
  return parseLog(rows.join('\n'))
}

/** Seconds of the day as HH:MM:SS. */
function clock(ofDayS: number): string {
  const s = ((ofDayS % 86_400) + 86_400) % 86_400
  return [Math.floor(s / 3600), Math.floor(s / 60) % 60, s % 60]
    .map((part) => String(part).padStart(2, '0'))
    .join(':')
}

const placed = (trial: LoggedTrial, loop: Loop, workload = POINTS, fixed: 'work' | 'time' = 'work') => {
  const log = logOf(loop)
  return placeRuns(trial, log, findLoads(log.trace), { workload, fixed })
}

describe('run times', () => {
  it('count from the log’s first sample as seconds, MM:SS or HH:MM:SS', () => {
    const trial = trialOf(['start: 20 s, end: 80 s, score: 100', 'start: 01:25, end: 00:02:25, score: 99'])
    const { runs } = placed(trial, { runsS: [60, 60], gapS: 5 })
    expect(runs.map(({ startS, endS }) => [startS, endS])).toEqual([
      [20, 80],
      [85, 145],
    ])
  })

  it('are times of day where they lie outside the log as elapsed times, over midnight too', () => {
    const loop = { runsS: [60, 60], gapS: 5, stamp: (timeS: number) => clock(23 * 3600 + 59 * 60 + timeS) }
    const trial = trialOf([
      'start: 23:59:20, end: 00:00:20, score: 100',
      'start: 00:00:25, end: 00:01:25, score: 99',
    ])
    expect(placed(trial, loop).runs.map(({ startS, endS }) => [startS, endS])).toEqual([
      [20, 80],
      [85, 145],
    ])
  })

  it('outside the log are refused with the line of the sheet, and with what can be given', () => {
    const trial = trialOf(['start: 20 s, end: 80 s, score: 100', 'start: 1 h, end: 3660 s, score: 99'])
    const act = () => placed(trial, { runsS: [60, 60], gapS: 5 })
    expect(act).toThrow(InputError)
    expect(act).toThrow(/lies outside the log, which lasts 165/)
  })

  it('that run backwards are refused', () => {
    expect(() => placed(trialOf(['start: 80 s, end: 20 s, score: 100']), { runsS: [60], gapS: 0 })).toThrow(
      /ends after it starts/,
    )
  })

  it('that begin before the log leave the run out, and say so', () => {
    const trial = trialOf(['start: -10 s, end: 30 s, score: 100', 'start: 30 s, end: 80 s, score: 99'])
    const { runs, warnings } = placed(trial, { runsS: [60], gapS: 0 })
    expect(runs).toHaveLength(1)
    expect(warnings).toEqual([{ code: 'run-cut-off', file: 'x.csv', atS: 0 }])
  })

  it('as times of day need a log that has them', () => {
    expect(() =>
      placed(trialOf(['start: 2:05:33 pm, end: 2:06:33 pm, score: 9']), { runsS: [60], gapS: 0 }),
    ).toThrow(/elapsed times only/)
  })
})

describe('scores without times', () => {
  it('fall on the runs between pauses, in order', () => {
    const { runs, warnings } = placed(trialOf(['score: 100', 'score: 99', 'score: 98']), {
      runsS: [50, 60, 70],
      gapS: 6,
    })
    expect(warnings).toEqual([])
    expect(runs.map((run) => run.score)).toEqual([100, 99, 98])
    const edges = runs.flatMap(({ startS, endS }) => [startS, endS])
    ;[20, 70, 76, 136, 142, 212].forEach((edge, i) => {
      expect(Math.abs(edges[i]! - edge)).toBeLessThanOrEqual(1.01)
    })
  })

  it('divide a load without pauses so that score times duration is the same for all', () => {
    const scores = [120, 100, 80]
    const { runs, warnings } = placed(trialOf(scores.map((score) => `score: ${score}`)), {
      runsS: scores.map((score) => 6000 / score),
      gapS: 0,
    })
    expect(warnings).toEqual([{ code: 'runs-placed-by-scores', file: 'x.csv', scored: 3, found: 1 }])
    expect(runs.map((run) => (run.endS - run.startS) / (6000 / run.score))).toEqual([
      expect.closeTo(1, 1),
      expect.closeTo(1, 1),
      expect.closeTo(1, 1),
    ])
  })

  it('of fixed time divide it into equal parts, whatever they scored', () => {
    const trial = trialOf(['score: 100', 'score: 80', 'score: 90'])
    const { runs } = placed(trial, { runsS: [180], gapS: 0 }, POINTS, 'time')
    const lengths = runs.map((run) => run.endS - run.startS)
    expect(Math.max(...lengths) - Math.min(...lengths)).toBeLessThan(1e-6)
    expect(runs[0]!.placedBy).toBe('scores')
  })

  it('that are times divide it in proportion to themselves', () => {
    const workload: Workload = { name: 'build', score: 's', better: 'lower' }
    const { runs } = placed(
      trialOf(['score: 50', 'score: 60', 'score: 75'], 'lower', 's'),
      { runsS: [50, 60, 75], gapS: 0 },
      workload,
    )
    expect(runs.map((run) => Math.round(run.endS - run.startS))).toEqual([50, 60, 75])
  })

  it('that are fewer than the runs seen are paired in order, and said to be a guess', () => {
    const { runs, warnings } = placed(trialOf(['score: 100', 'score: 99']), {
      runsS: [60, 60, 60, 60, 60, 60],
      gapS: 8,
    })
    expect(runs).toHaveLength(2)
    expect(warnings).toEqual([{ code: 'runs-differ-from-scores', file: 'x.csv', scored: 2, found: 6 }])
  })

  it('take the runs that those with times leave free', () => {
    const trial = trialOf(['start: 86 s, end: 146 s, score: 99', 'score: 100', 'score: 98'])
    const { runs, warnings } = placed(trial, { runsS: [60, 60, 60], gapS: 6 })
    expect(warnings).toEqual([])
    expect(runs.map((run) => [run.score, run.placedBy])).toEqual([
      [100, 'pauses'],
      [99, 'times'],
      [98, 'pauses'],
    ])
  })
})

describe('a mean of several runs', () => {
  const loop = { runsS: [60, 60, 60, 60, 60, 60], gapS: 8 }

  it('without times takes the next runs of the log, in order, as many as it is of', () => {
    const { runs, warnings } = placed(trialOf(['score: 100', 'score: 98, of: 3', 'score: 97, of: 2']), loop)
    expect(warnings).toEqual([])
    expect(runs.map(({ score, of, parts }) => [score, of, parts?.length])).toEqual([
      [100, undefined, undefined],
      [98, 3, 3],
      [97, 2, 2],
    ])
    const [first, mean] = runs
    expect(mean!.startS).toBeGreaterThan(first!.endS)
    expect([mean!.startS, mean!.endS]).toEqual([mean!.parts![0]!.startS, mean!.parts![2]!.endS])
  })

  it('with times covers the runs between them, without their pauses; another number of them is told', () => {
    const right = placed(trialOf(['start: 20 s, end: 216 s, score: 98, of: 3']), loop)
    expect([right.runs[0]!.parts!.length, right.warnings]).toEqual([3, []])
    const workedS = right.runs[0]!.parts!.reduce((sum, { startS, endS }) => sum + endS - startS, 0)
    expect(workedS).toBeGreaterThan(174)
    expect(workedS).toBeLessThan(184)
    const wrong = placed(trialOf(['start: 20 s, end: 216 s, score: 98, of: 5']), loop)
    expect(wrong.warnings).toEqual([
      expect.objectContaining({ code: 'mean-of-other-runs', runs: 5, found: 3 }),
    ])
  })

  it('of a loop without pauses divides the load', () => {
    const { runs } = placed(trialOf(['score: 100', 'score: 100, of: 5']), { runsS: [360], gapS: 0 })
    expect(runs.map((run) => Math.round((run.endS - run.startS) / 6))).toEqual([10, 50])
  })

  it('without pauses is divided into runs of the same work: those at higher power are done sooner', () => {
    const trial = trialOf(['start: 20 s, end: 380 s, score: 98, of: 6'])
    const log = logOf({ runsS: [360], gapS: 0 })
    const powerW = log.trace.powerW.map((value, i) => (log.trace.timesS[i]! <= 140 ? 4 : 1) * value)
    const fast = { ...log, trace: { ...log.trace, powerW } }
    const lengthsS = (fixed: 'work' | 'time') =>
      placeRuns(trial, fast, findLoads(log.trace), { workload: POINTS, fixed }).runs[0]!.parts?.map((part) =>
        Math.round(part.endS - part.startS),
      )
    // 120 s at four times the power do as much as 240 s at the rest.
    expect(lengthsS('work')).toEqual([40, 40, 40, 80, 80, 80])
    expect(lengthsS('time')).toBeUndefined()
  })

  it('is left out and told where the log has fewer runs left', () => {
    const { runs, warnings } = placed(trialOf(['score: 100', 'score: 98, of: 9000']), loop)
    expect(runs.map(({ score }) => score)).toEqual([100])
    expect(warnings).toEqual([expect.objectContaining({ code: 'runs-differ-from-scores', scored: 9001 })])
  })
})
