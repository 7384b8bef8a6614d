import { mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, describe, expect, it } from 'vitest'
import type { Workload } from '../../src/physics/chip/chip.js'
import { formatSheet, whyLeftOut } from '../../src/record/session/formatSheet.js'
import { watchScore } from '../../src/record/session/watchScore.js'
import { parseSheet } from '../../src/sheet/parseSheet.js'
import { runInside } from '../cli/commandLine.js'
import { machine, simulate, WIDE_UJ } from './fakeMachine.js'

const folder = mkdtempSync(join(tmpdir(), 'holdwatt-sheet-'))
afterAll(() => rmSync(folder, { recursive: true, force: true }))

const workload: Workload = { name: 'mosaic: tiles # 2', score: 'points', better: 'higher' }
const head = { machine: '07', chip: "Kestrel '16'", chassis: '- slim', ambientC: 22.5, workload }
const run = (number: number, more: object = {}) => ({
  number,
  startS: 60 * number,
  endS: 60 * number + 50,
  status: 0,
  signal: null,
  score: 1000 + number,
  ...more,
})

describe('the sheet of a recording', () => {
  it('is read back as it was meant, whatever the names are', () => {
    const trial = { log: 'some/where/a b.csv', power: null, runs: [run(1), run(2)], sleeps: [] }
    const sheet = parseSheet(formatSheet(head, trial), 'a.yaml')
    expect(sheet).toMatchObject({
      machine: '07',
      chip: "Kestrel '16'",
      chassis: '- slim',
      ambientC: 22.5,
      workload,
    })
    expect(sheet.trials).toMatchObject([
      {
        kind: 'logged',
        log: 'a b.csv',
        runs: [
          { start: { elapsedS: 60 }, end: { elapsedS: 110 }, score: 1001 },
          { start: { elapsedS: 120 }, end: { elapsedS: 170 }, score: 1002 },
        ],
      },
    ])
  })

  it('leaves out runs that failed, slept or printed no score, and says so where they would stand', () => {
    const sleeps = [{ atS: 200, forS: 30 }]
    const runs = [
      run(1, { status: 3 }),
      run(2),
      run(3),
      run(4, { status: null, signal: 'SIGKILL' }),
      run(5, { score: null }),
    ]
    expect(runs.map((each) => whyLeftOut(each, sleeps))).toEqual([
      'failed',
      undefined,
      'slept',
      'failed',
      'no-score',
    ])
    const text = formatSheet(head, { log: 'a.csv', power: 'soc energy [uJ]', runs, sleeps })
    const [trial] = parseSheet(text, 'a.yaml').trials
    expect(trial).toMatchObject({ runs: [{ score: 1002 }], options: { power: 'soc energy [uJ]' } })
    expect(text).toContain('# run 1 (start: 60.000 s, end: 110.000 s): left out, it ended with status 3')
    expect(text).toContain('left out, it ended with SIGKILL')
    expect(text).toContain('left out, the machine slept')
    const filled = text.replace(/# (- \{ start: 300.*score:) }.*/, '$1 77 }')
    expect(parseSheet(filled, 'a.yaml').trials[0]!.runs).toMatchObject([{ score: 1002 }, { score: 77 }])
  })

  it('is a sheet too while it has no run to count', () => {
    expect(() =>
      parseSheet(formatSheet(head, { log: 'a.csv', power: null, runs: [], sleeps: [] }), 'a.yaml'),
    ).not.toThrow()
  })
})

describe('the score in the output of a command', () => {
  const bytes = (text: string) => new TextEncoder().encode(text)
  const scoreIn = (pieces: readonly Uint8Array[], pattern = /Score: ([\d.,]+)/, unit = workload) => {
    const watch = watchScore(pattern, unit)
    for (const piece of pieces) watch.read(piece, 'out')
    return watch.end()
  }

  it('is the first group in the last line that fits, however the output is cut into pieces', () => {
    const text = bytes('Score: 1\nµ…Score: 20.5 points\r\nbye')
    for (let cut = 0; cut <= text.length; cut++) {
      expect(scoreIn([text.slice(0, cut), text.slice(cut)])).toEqual({ score: 20.5 })
    }
    expect(scoreIn([bytes('Score: 7')])).toEqual({ score: 7 })
    expect(scoreIn([bytes('10 %\rScore: 8\r90 %')])).toEqual({ score: 8 })
  })

  it('is found in colour and in the error stream too, and not across streams', () => {
    expect(scoreIn([bytes('\u001b[1mScore:\u001b[0m 9\n')])).toEqual({ score: 9 })
    const watch = watchScore(/Score: (\d+)/, workload)
    watch.read(bytes('Sco'), 'out')
    watch.read(bytes('Score: 4'), 'err')
    watch.read(bytes('re: 5\n'), 'out')
    expect(watch.end()).toEqual({ score: 4 })
  })

  it('is none where no line fits, and told where what fits is no score', () => {
    expect(scoreIn([bytes('no points\n')])).toBeNull()
    expect(scoreIn([bytes('Score: 15,210\n')])).toEqual({ unreadable: '15,210' })
    expect(scoreIn([bytes('Score: 0\n')])).toEqual({ unreadable: '0' })
    const time = { name: 'w', score: 's', better: 'lower' as const }
    expect(scoreIn([bytes('took 2:05.5\n')], /took (\S+)/, time)).toEqual({ score: 125.5 })
  })

  it('is found behind a line that never ends, in memory that does not grow', () => {
    const watch = watchScore(/Score: (\d+)/, workload)
    for (let i = 0; i < 2000; i++) watch.read(bytes('.'.repeat(1000)), 'out')
    watch.read(bytes(' Score: 6\n'), 'out')
    expect(watch.end()).toEqual({ score: 6 })
  })
})

describe('a recorded loop of half an hour', () => {
  it('gives stages, check and fit what they need, and they find the machine that made it', async () => {
    // A budget of 45 W with a time constant of 30 s holds bursts of 90 W: 19.2 s from idle, some 4 s after a pause. A
    // run is work of 600 at a rate of (P - 5)^0.6; its score is the rate.
    let average = 5
    const powerAt = (_s: number, running: boolean) => {
      const powerW = running ? (average < 45 ? 90 : 45) : 5
      average += (powerW - average) * (0.05 / 30)
      return powerW
    }
    const { recording, text } = await simulate({
      everyS: 0.5,
      powerAt,
      run: () => {
        const burstS = 30 * Math.log((90 - average) / (90 - 45))
        const lengthS = burstS + (600 - burstS * 85 ** 0.6) / 40 ** 0.6
        return { lengthS, end: { status: 0, signal: null, score: Number((60_000 / lengthS).toFixed(2)) } }
      },
      work: { last: 26, gapS: 4, beforeS: 30, afterS: 30 },
      files: machine(WIDE_UJ - 20_000_000_000),
    })
    expect(recording.durationS).toBeGreaterThan(1700)
    writeFileSync(join(folder, 'loop.csv'), `# recorded by holdwatt\n${text}`)
    const trial = { log: 'loop.csv', power: null, runs: recording.runs, sleeps: recording.sleeps }
    writeFileSync(join(folder, 'loop.yaml'), formatSheet({ ...head, ambientC: 22 }, trial))
    const stages = await runInside(['stages', join(folder, 'loop.csv'), '--json'])
    const [load] = (JSON.parse(stages.stdout) as StagesAnswer).loads
    expect(load!.runs).toHaveLength(26)
    expect(load!.sustained.levelW.value).toBeGreaterThan(44)
    expect(load!.sustained.levelW.value).toBeLessThan(50)
    const check = await runInside(['check', join(folder, 'loop.yaml')])
    expect(check.status, check.stdout).toBe(0)
    const fit = await runInside(['fit', join(folder, 'loop.yaml'), '--json'])
    expect(fit.status, fit.stderr).toBe(0)
    const { runs } = JSON.parse(fit.stdout) as { runs: { score: number; fittedScore: number }[] }
    expect(runs).toHaveLength(26)
    for (const each of runs) expect(Math.abs(each.fittedScore / each.score - 1)).toBeLessThan(0.03)
  }, 60_000)
})

interface StagesAnswer {
  readonly loads: readonly {
    readonly runs: readonly unknown[]
    readonly sustained: { readonly reached: boolean; readonly levelW: { readonly value: number } }
  }[]
}
