import {
  appendFileSync,
  mkdtempSync,
  readFileSync,
  rmSync,
  truncateSync,
  utimesSync,
  writeFileSync,
} from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import fc from 'fast-check'
import { afterAll, describe, expect, it } from 'vitest'
import { parseLog } from '../../src/log/parseLog.js'
import { findSensors } from '../../src/record/sensors/findSensors.js'
import { resumedCounters } from '../../src/record/sensors/sampleRow.js'
import { findResumePoint } from '../../src/record/session/findResumePoint.js'
import { readResumePoint } from '../../src/record/session/readResumePoint.js'
import { writeRecording } from '../../src/record/session/writeRecording.js'
import { machine, simulate, treeOf, WIDE_UJ, zone } from './fakeMachine.js'

const HEAD = ['# recorded by holdwatt 0.0.0 every 1 s', '# command: ./render']
const folder = mkdtempSync(join(tmpdir(), 'holdwatt-resume-'))
afterAll(() => rmSync(folder, { recursive: true, force: true }))

const runs = { last: 4, gapS: 5, beforeS: 3, afterS: 2 }
const run = (number: number) => ({ lengthS: 20, end: { status: 0, signal: null, score: 1000 + number } })
const power = (_s: number, running: boolean) => (running ? 50 : 5)
const begun = await simulate({ everyS: 1, powerAt: power, run, work: runs })
const whole = `${HEAD.join('\n')}\n${begun.text}`

describe('going on with a recording that was cut', () => {
  it('finds the last whole line wherever the cut fell, and loses at most one sample', () => {
    const headLength = whole.indexOf('\n', whole.indexOf('elapsed_s')) + 1
    fc.assert(
      fc.property(
        fc.integer({ min: headLength, max: whole.length }),
        fc.integer({ min: 0, max: 3 }),
        (cut, zeros) => {
          const text = whole.slice(0, cut) + '\0'.repeat(zeros)
          const point = findResumePoint(Buffer.from(text), begun.sensors, HEAD)
          expect(point.wholeBytes).toBe(
            Buffer.byteLength(whole.slice(0, whole.lastIndexOf('\n', cut - 1) + 1)),
          )
          const rows = whole.slice(headLength, cut).split('\n').slice(0, -1)
          const samples = rows.filter((row) => !row.startsWith('#'))
          expect(point.last?.elapsedS).toBe(
            samples.length === 0 ? undefined : Number(samples.at(-1)!.split(',')[0]),
          )
          expect(point.runs).toHaveLength(rows.length - samples.length)
        },
      ),
      { numRuns: 300, seed: 6 },
    )
  })

  it('counts the bytes of a torn line and not the marks that stand for them', () => {
    const odd = Buffer.concat([
      Buffer.from(whole.slice(0, whole.indexOf('# run 2'))),
      Buffer.from([0xe2, 0x82, 0x0a]),
      Buffer.from(whole.slice(whole.indexOf('# run 2'), whole.indexOf('# run 3'))),
    ])
    const point = findResumePoint(
      Buffer.concat([odd, Buffer.from('12.0,20\u20ac').subarray(0, 8)]),
      begun.sensors,
      HEAD,
    )
    expect(point.wholeBytes).toBe(odd.length)
  })

  it('goes on with time, totals and runs where they were, and a reader takes both parts as one log', async () => {
    const cut = whole.slice(0, whole.indexOf('# run 3') - 500)
    const point = findResumePoint(Buffer.from(cut), begun.sensors, HEAD)
    expect(point.runs.map(({ number, score }) => [number, score])).toEqual([
      [1, 1001],
      [2, 1002],
    ])
    const place = { elapsedS: point.last!.elapsedS + 90, counters: resumedCounters(point.totalUj) }
    const more = await simulate({
      everyS: 1,
      powerAt: power,
      run,
      work: { ...runs, first: 3 },
      files: machine(77),
      resumed: place,
    })
    const kept = Buffer.from(whole).subarray(0, point.wholeBytes).toString()
    const log = parseLog(`${kept}${more.lines.join('\n')}\n`)
    expect(log.repairs.map(({ kind }) => kind).sort()).toEqual(['counter-reset', 'counter-start', 'gap'])
    const { timesS, powerW } = log.trace
    expect(timesS.every((t, i) => i === 0 || t > timesS[i - 1]!)).toBe(true)
    expect(Math.max(...powerW)).toBeCloseTo(50, 2)
    expect(Math.min(...powerW)).toBeCloseTo(5, 2)
    expect(more.recording.runs.map(({ number }) => number)).toEqual([3, 4])
  })

  it('counts only time that was recorded', () => {
    const row = (s: number) => `${s.toFixed(3)},2026-01-01T00:00:00.000Z,recording,5,5,61000,3000000`
    const header = whole.split('\n').find((line) => line.startsWith('elapsed'))!
    const times = [0, 1, 2, 3, 4, 5, 605, 606, 607]
    const point = findResumePoint(
      Buffer.from(`${[...HEAD, header, ...times.map(row)].join('\n')}\n`),
      begun.sensors,
      HEAD,
    )
    expect(point).toMatchObject({ recordedS: 7, gaps: [{ atS: 5, forS: 600 }] })
  })

  it.each([
    ['another log', 'time,power\n1,2\n', 'resume-not-recording'],
    ['a header that was cut', `${HEAD.join('\n')}\nelapsed_s,ti`, 'resume-not-recording'],
    ['nothing', '', 'resume-not-recording'],
    ['another machine', whole.replace('core energy', 'dram energy'), 'resume-differs'],
    ['another command', whole.replace('./render', './compile'), 'resume-differs'],
  ])('refuses %s', (_case, text, code) => {
    expect(() => findResumePoint(Buffer.from(text), begun.sensors, HEAD)).toThrow(
      expect.objectContaining({ code }),
    )
  })

  it('refuses a log that is still growing, and one that is not there', async () => {
    const path = join(folder, 'growing.csv')
    writeFileSync(path, whole)
    const resuming = { sensors: begun.sensors, head: HEAD, everyS: 1 }
    const grow = async () => appendFileSync(path, '1,2\n')
    await expect(readResumePoint(path, { ...resuming, wait: grow })).rejects.toMatchObject({
      code: 'still-recording',
    })
    utimesSync(path, 1, 1)
    const never = async () => expect.unreachable('an old file is not waited for')
    expect((await readResumePoint(path, { ...resuming, wait: never })).runs).toHaveLength(4)
    await expect(
      readResumePoint(join(folder, 'none.csv'), { ...resuming, wait: async () => {} }),
    ).rejects.toMatchObject({ code: 'file-missing', message: expect.stringContaining('no such recording') })
  })

  it('goes on behind the last whole line of the file itself', async () => {
    const path = join(folder, 'cut.csv')
    writeFileSync(path, whole)
    truncateSync(path, whole.length - 7)
    const point = findResumePoint(readFileSync(path), begun.sensors, HEAD)
    const file = await writeRecording(path, point)
    file.writeLine('the next row')
    await file.close()
    const lines = whole.split('\n')
    expect(readFileSync(path, 'utf8')).toBe([...lines.slice(0, -2), 'the next row', ''].join('\n'))
  })

  it('reads several packages back, and counters that had not answered', () => {
    const files = new Map([...zone('a:0', 'package-0', '1'), ...zone('a:1', 'package-1', '2', WIDE_UJ)])
    const sensors = findSensors(treeOf(files))
    const text = `${HEAD.join('\n')}\nelapsed_s,time,phase,package energy [uJ],processor 0 energy [uJ],processor 1 energy [uJ]
0.000,2026-01-01T00:00:00.000Z,before,0,0,0
1.000,2026-01-01T00:00:01.000Z,before,30,10,20
2.000,2026-01-01T00:00:02.000Z,before,,15,
`
    expect(findResumePoint(Buffer.from(text), sensors, HEAD).totalUj).toEqual([15, 20])
  })
})
