import { type ChildProcess, execFileSync, spawn } from 'node:child_process'
import {
  appendFileSync,
  existsSync,
  mkdirSync,
  mkdtempSync,
  readFileSync,
  renameSync,
  rmSync,
  writeFileSync,
} from 'node:fs'
import { tmpdir } from 'node:os'
import { dirname, join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { parseLog } from '../../../src/log/parseLog.js'
import { parseSheet } from '../../../src/sheet/parseSheet.js'
import type { LoggedRun } from '../../../src/sheet/testSheet.js'
import { NARROW_UJ } from '../../record/fakeMachine.js'
import { type Ended, runBuilt, runInside, runInsideAt } from '../commandLine.js'

// The built command records a made-up machine: counter files in a folder, kept going by this process, and a chip that is a
// command: it does work at a rate that hangs on the power of the moment, and prints a score.

const folder = mkdtempSync(join(tmpdir(), 'holdwatt-cli-record-'))
const sysfs = join(folder, 'sys')
const main = fileURLToPath(new URL('../../../dist/cli/main.cjs', import.meta.url))
const at = (name: string) => join(folder, name)

/** Written beside and renamed: a counter is never seen half written. */
function put(path: string, text: string): void {
  const file = join(sysfs, path)
  mkdirSync(dirname(file), { recursive: true })
  writeFileSync(`${file}.new`, `${text}\n`)
  renameSync(`${file}.new`, file)
}

const machine = {
  energyUj: NARROW_UJ - 60e6,
  lastMs: performance.now(),
  timer: undefined as NodeJS.Timeout | undefined,
}

function step(): void {
  const now = performance.now()
  const powerW = existsSync(at('load')) ? 40 : 4
  machine.energyUj = (machine.energyUj + powerW * (now - machine.lastMs) * 1000) % NARROW_UJ
  machine.lastMs = now
  for (const path of ['class/powercap/zone:0/energy_uj', 'class/powercap/zone:1/energy_uj']) {
    put(path, machine.energyUj.toFixed(0))
  }
}

const CHIP = `const fs = require('node:fs')
const [load, runs] = [${JSON.stringify(at('load'))}, ${JSON.stringify(at('runs'))}]
const run = fs.existsSync(runs) ? Number(fs.readFileSync(runs)) + 1 : 1
fs.writeFileSync(runs, String(run))
fs.writeFileSync(load, '')
process.stdout.write('working\\r')
setTimeout(() => {
  fs.rmSync(load, { force: true })
  console.log('warm-up score: 1')
  console.log('final score: ' + (2000 + run))
  process.exitCode = run === 2 ? 7 : 0
}, 700)`

/** Prints more than a recorder should hold, with a score at its end, and notes how much memory the recorder has. */
const CHATTY = `const fs = require("node:fs")
const text = ("x".repeat(1023) + "\\n").repeat(16)
let left = 6250
const more = () => {
  while (left-- > 0) if (!process.stdout.write(text)) return process.stdout.once("drain", more)
  process.stdout.write("score: 77\\n", () => {
    const status = fs.readFileSync("/proc/" + process.ppid + "/status", "utf8")
    fs.writeFileSync(${JSON.stringify(at('memory'))}, /VmHWM:\\s*(\\d+)/.exec(status)[1])
  })
}
more()`

beforeAll(() => {
  writeFileSync(at('chip.cjs'), CHIP)
  for (const zone of [0, 1]) {
    put(`class/powercap/zone:${zone}/name`, `package-${zone}`)
    put(`class/powercap/zone:${zone}/max_energy_range_uj`, String(NARROW_UJ))
    put(`class/powercap/zone:${zone}/constraint_0_name`, 'long_term')
    put(`class/powercap/zone:${zone}/constraint_0_power_limit_uw`, '40000000')
    put(`class/powercap/zone:${zone}/constraint_0_time_window_us`, '27983872')
  }
  put('class/hwmon/hwmon0/name', 'cpusensors')
  put('class/hwmon/hwmon0/temp1_label', 'Package id 0')
  put('class/hwmon/hwmon0/temp1_input', '55000')
  put('devices/system/cpu/cpufreq/policy0/scaling_cur_freq', '2500000')
  put('devices/system/cpu/cpufreq/policy0/scaling_max_freq', '2500000')
  put('devices/system/cpu/cpufreq/policy0/cpuinfo_max_freq', '5000000')
  put('devices/system/cpu/cpu0/thermal_throttle/package_throttle_count', '3')
  put('class/power_supply/BAT0/type', 'Battery')
  put('class/power_supply/BAT0/status', 'Discharging')
  put('class/power_supply/BAT0/power_now', '95000000')
  put('class/dmi/id/product_name', 'Heron 14')
  step()
  machine.timer = setInterval(step, 10)
})

afterAll(() => {
  clearInterval(machine.timer)
  rmSync(folder, { recursive: true, force: true })
})

const record = (...words: string[]) => ['log', '--sysfs', sysfs, '--every', '50ms', ...words]
const LOOP = [
  '--before',
  '0.5s',
  '--after',
  '0.3s',
  '--gap',
  '0.3s',
  '--score',
  'final score: (\\d+)',
  '--ambient',
  '22',
]
const CHIP_COMMAND = [process.execPath, at('chip.cjs')]

/** Starts the command and ends it with a signal once its log holds a text so many times. */
async function recordUntil(
  words: readonly string[],
  log: string,
  sign: { readonly text: string; readonly times: number },
  signal: NodeJS.Signals,
): Promise<Ended> {
  const child: ChildProcess = spawn(process.execPath, [main, ...words], { stdio: ['ignore', 'pipe', 'pipe'] })
  const [out, err]: [string[], string[]] = [[], []]
  child.stdout!.on('data', (data) => out.push(String(data)))
  child.stderr!.on('data', (data) => err.push(String(data)))
  const timer = setInterval(() => {
    if (existsSync(log) && readFileSync(log, 'utf8').split(sign.text).length > sign.times) {
      clearInterval(timer)
      child.kill(signal)
    }
  }, 20)
  const status = await new Promise<number>((resolve) => child.on('close', (code) => resolve(code ?? -1)))
  clearInterval(timer)
  return { status, stdout: out.join(''), stderr: err.join('') }
}

describe('log --loop', () => {
  it('writes a log and a sheet that stages, check and fit read, through a wrap of the counters', async () => {
    const log = at('loop.csv')
    rmSync(at('runs'), { force: true })
    const { status, stdout, stderr } = await runBuilt(
      record('--loop', '4', ...LOOP, '--out', log, '--', ...CHIP_COMMAND),
    )
    expect(status, stderr).toBe(0)
    expect(stdout.match(/final score: 200\d\n/g), 'the output passes through').toHaveLength(4)
    expect(stdout).toMatch(/4 runs, .*; 3 scored, 2001 to 2004 points:\s+\S*loop\.yaml/)
    expect(stdout).toMatch(/took [\d.]+ ms of processor time a sample/)
    expect(stdout.replace(/\s+/g, ' ')).toContain(
      'Run 2 of 4 failed (the first ended with status 7) and is left out of the sheet',
    )
    expect(stderr).toMatch(/can burn.*\n?.*maker's limits/s)
    const sheet = parseSheet(readFileSync(at('loop.yaml'), 'utf8'), 'loop.yaml')
    expect(sheet).toMatchObject({ machine: 'Heron 14', ambientC: 22 })
    expect(sheet.trials[0]!.runs.map(({ score }) => score)).toEqual([2001, 2003, 2004])
    const { trace, columns } = parseLog(readFileSync(log))
    expect(columns.power).toBe('package energy [uJ]')
    let energyJ = 0
    trace.powerW.forEach((powerW, i) => {
      if (i > 0) energyJ += powerW * (trace.timesS[i]! - trace.timesS[i - 1]!)
    })
    // Two packages of 40 W for four runs of 0.7 s and a start each, 4 W between; a wrap that was missed would cost 65 kJ.
    expect(energyJ).toBeGreaterThan(4 * 0.7 * 80)
    expect(energyJ).toBeLessThan(trace.timesS.at(-1)! * 80)
    const stages = await runInside(['stages', log, '--json'])
    expect((JSON.parse(stages.stdout) as { loads: unknown[] }).loads).toHaveLength(1)
    // Ten seconds are too short a test, and check says so; it reads both without a fault.
    expect([0, 3]).toContain((await runInside(['check', at('loop.yaml'), log])).status)
    const fit = await runInside(['fit', at('loop.yaml'), '--json'])
    expect(fit.status, fit.stderr).toBe(0)
    expect((JSON.parse(fit.stdout) as { runs: unknown[] }).runs).toHaveLength(3)
  }, 60_000)

  it('keeps everything when it is ended, and goes on with --resume behind a torn row', async () => {
    const log = at('cut.csv')
    rmSync(at('runs'), { force: true })
    const words = record('--loop', '4', ...LOOP, '--out', log)
    const ended = await recordUntil(
      [...words, '--', ...CHIP_COMMAND],
      log,
      { text: ',run 3,', times: 3 },
      'SIGINT',
    )
    expect(ended.status, ended.stderr).toBe(0)
    expect(ended.stdout).toMatch(/Interrupted at 0:0\d; everything until then is kept/)
    const before = readFileSync(log, 'utf8')
    expect(before).toMatch(/^# run 3 .*: signal SIGINT$/m)
    expect(before.endsWith('\n')).toBe(true)
    appendFileSync(log, '9.999,2026-11-25T1')
    const more = await runBuilt([...words, '--resume', '--json', '--', ...CHIP_COMMAND])
    expect(more.status, more.stderr).toBe(0)
    const document = JSON.parse(more.stdout) as RecordDocument
    expect(document.log).toMatchObject({ path: log, resumed: true })
    expect(document.runs.map(({ number, score }) => [number, score !== null])).toEqual([
      [1, true],
      [2, true],
      [3, false],
      [4, true],
      [5, true],
    ])
    const after = readFileSync(log, 'utf8')
    expect(after.startsWith(before)).toBe(true)
    // The torn row itself: a time of day may hold the same figures.
    expect(after).not.toMatch(/^9\.999,/m)
    const { trace } = parseLog(after)
    expect(trace.timesS.every((t, i) => i === 0 || t > trace.timesS[i - 1]!)).toBe(true)
    const sheet = parseSheet(readFileSync(at('cut.yaml'), 'utf8'), 'cut.yaml')
    expect(sheet.trials[0]!.runs).toHaveLength(3)
    const none = await runBuilt([...words, '--resume', '--', ...CHIP_COMMAND])
    expect(none).toMatchObject({
      status: 2,
      stderr: expect.stringContaining('nothing is left to record: all 4 runs'),
    })
  }, 60_000)

  it('goes on when nobody reads what the command prints, and with a reader that has gone', async () => {
    const chatty = [process.execPath, '-e', CHATTY]
    for (const [name, reader] of [
      ['gone', 'head -c 1 > /dev/null'],
      ['stalled', 'sleep 6'],
    ] as const) {
      const log = at(`${name}.csv`)
      const words = record('--before', '0s', '--after', '0s', '--score', 'score: (\\d+)', '--out', log)
      const line = [process.execPath, main, ...words, '--', ...chatty].map((word) => `'${word}'`).join(' ')
      execFileSync('bash', ['-c', `${line} 2> /dev/null | ${reader}`], { maxBuffer: 1 << 20 })
      // The reader's end is not the recorder's.
      for (let waited = 0; waited < 100 && !/# run 1 /.test(readFileSync(log, 'utf8')); waited++)
        await new Promise((resolve) => setTimeout(resolve, 100))
      expect(readFileSync(log, 'utf8')).toMatch(/^# run 1 .*: status 0; score 77$/m)
      expect(parseSheet(readFileSync(at(`${name}.yaml`), 'utf8'), '').trials[0]!.runs).toHaveLength(1)
      expect(Number(readFileSync(at('memory'), 'utf8')), 'memory of the recorder, KB').toBeLessThan(130_000)
    }
  }, 60_000)

  it('makes a sheet whole that was cut behind a whole log, and spoils no log that is being written', async () => {
    const log = at('whole.csv')
    const words = record('--loop', '2', '--before', '0s', '--after', '0s', '--out', log)
    expect((await runBuilt([...words, '--', 'true'])).status).toBe(0)
    const sheet = readFileSync(at('whole.yaml'), 'utf8')
    writeFileSync(at('whole.yaml'), sheet.split('\n').slice(0, -2).join('\n'))
    const { status, stdout } = await runBuilt([...words, '--resume', '--', 'true'])
    expect({ status, stdout }).toEqual({
      status: 0,
      stdout: expect.stringMatching(/lacked runs of the log and is whole now/),
    })
    expect(readFileSync(at('whole.yaml'), 'utf8')).toBe(sheet)
    expect((await runBuilt([...words, '--resume', '--', 'true'])).status).toBe(2)

    const busy = at('busy.csv')
    const recorder = spawn(process.execPath, [main, ...record('--for', '20s', '--out', busy)], {
      stdio: 'ignore',
    })
    while (!existsSync(busy) || readFileSync(busy, 'utf8').split('\n').length < 8)
      await new Promise((resolve) => setTimeout(resolve, 50))
    const other = await runBuilt(record('--for', '1s', '--force', '--out', busy))
    recorder.kill('SIGTERM')
    expect(other).toMatchObject({
      status: 2,
      stderr: expect.stringContaining('another recording is writing'),
    })
    expect(parseLog(readFileSync(busy)).trace.timesS.length).toBeGreaterThan(5)
  }, 60_000)

  it('leaves all but the last sample when it is killed outright', async () => {
    const log = at('killed.csv')
    const words = record('--for', '1min', '--out', log)
    await recordUntil(words, log, { text: ',recording,', times: 12 }, 'SIGKILL')
    expect(parseLog(readFileSync(log)).trace.timesS.length).toBeGreaterThanOrEqual(12)
    const more = await recordUntil([...words, '--resume'], log, { text: ',recording,', times: 24 }, 'SIGTERM')
    expect(more.status, more.stderr).toBe(0)
    expect(more.stdout).toContain('Interrupted')
  }, 30_000)
})

describe('log', () => {
  // On a busy machine the made-up counters themselves may come a tenth of a second late, 2 % of this load: then it is recorded again.
  let attempts = 0
  const again = { retry: 2, timeout: 30_000 }
  it(
    'writes limits and counts of throttling beside the power, and stages names the limit as what held it',
    again,
    async () => {
      const log = at(`limit-${attempts++}.csv`)
      const [load] = [at('load')]
      const command = ['sh', '-c', `touch ${load}; sleep 6; rm ${load}`]
      const { status, stdout, stderr } = await runBuilt(
        // Samples long enough that the counters of a busy machine, which are late by some tens of milliseconds, tell the power all the same.
        record('--every', '250ms', '--before', '1s', '--after', '1s', '--out', log, '--', ...command),
      )
      expect(status, stderr).toBe(0)
      expect(stderr.replace(/\s+/g, ' ')).toContain(
        'limits (package long term 80 W over 27.98 s); throttling',
      )
      expect(stdout.replace(/\s+/g, ' ')).toContain('up to 50 % of its highest clock only')
      const lines = readFileSync(log, 'utf8').split('\n')
      expect(lines).toContain('# limit: package long term 80 W over 27.98 s')
      expect(lines.find((line) => line.startsWith('elapsed_s'))).toMatch(
        /battery power \[uW\],package long term power limit \[uW\],processor clock limit \[kHz\],processor heat events,processor throttle reason$/,
      )
      expect(lines.at(-2)).toMatch(/,95000000,80000000,2500000,3,none$/)
      const stages = await runInside(['stages', log, '--json'])
      const document = JSON.parse(stages.stdout) as { loads: { stages: { heldBy: HeldBy }[] }[] }
      expect(document.loads[0]!.stages.at(-1)!.heldBy).toMatchObject({
        label: 'power-limit',
        evidence: expect.arrayContaining(['power sticks to the logged limit of 80.0 W']),
      })
    },
  )

  it('without a pattern takes the time of a run for its score', async () => {
    const log = at('time.csv')
    const { status } = await runBuilt(
      record('--before', '0s', '--after', '0s', '--out', log, '--', 'sleep', '0.4'),
    )
    expect(status).toBe(0)
    const sheet = parseSheet(readFileSync(at('time.yaml'), 'utf8'), 'time.yaml')
    expect(sheet.workload).toMatchObject({ score: 's', better: 'lower', name: 'sleep 0.4' })
    const [run] = sheet.trials[0]!.runs as readonly LoggedRun[]
    // A busy machine starts and ends a command late; never early.
    expect(run!.score).toBeGreaterThan(0.39)
    expect(run!.score).toBeLessThan(run!.end!.elapsedS! - run!.start!.elapsedS! + 0.05)
  })

  it('records for a time without a command, and writes no sheet then', async () => {
    const { status, stdout } = await runBuilt(record('--for', '0.5s', '--json', '--out', at('for.csv')))
    expect(status).toBe(0)
    const document = JSON.parse(stdout) as RecordDocument
    expect(document).toMatchObject({
      sheet: null,
      runs: [],
      cautions: [],
      log: { powerColumn: 'package energy [uJ]' },
    })
    expect(document.log.samples).toBeGreaterThan(8)
    expect(document.log.samples).toBeLessThan(13)
    expect(document.cost.perSampleMs).toBeGreaterThan(0)
    expect(existsSync(at('for.yaml'))).toBe(false)
  })

  it('tells of runs without a score, and what fitted that is none', async () => {
    const words = [
      '--before',
      '0s',
      '--after',
      '0s',
      '--loop',
      '2',
      '--score',
      'score (\\S+)',
      '--out',
      at('odd.csv'),
    ]
    const { stdout } = await runBuilt(record(...words, '--', 'echo', 'score 15,210'))
    expect(stdout).toMatch(/All 2 runs gave no score: "15,210" is no score/)
  })

  it.each([
    [
      'a command that is not there',
      ['--', 'no-such-command'],
      'could not start "no-such-command": no such command',
    ],
    ['neither command nor time', [], 'expected a command after --, or --for TIME'],
    ['both command and time', ['--for', '1s', '--', 'true'], '--for records without a command'],
    ['a pattern without a group', ['--score', 'score', '--', 'true'], 'Expected a group around the number'],
    ['a pattern that is none', ['--score', '(', '--', 'true'], 'Unterminated group'],
    ['a pause without a loop', ['--gap', '1s', '--', 'true'], '--gap needs --loop'],
    ['too short an interval', ['--every', '1ms', '--', 'true'], 'counters are not renewed any faster'],
    ['too long an interval', ['--every', '5min', '--', 'true'], 'wrap around unseen'],
    ['another place without counters', ['--sysfs', '/none', '--', 'true'], '/none/class/powercap'],
    ['a log that is there', ['--out', 'there.csv', '--', 'true'], 'this file exists already'],
    ['a sheet that is there', ['--out', 'sheet.csv', '--', 'true'], 'the sheet of this recording'],
    ['a device', ['--out', '/dev/full', '--', 'true'], 'a device or a pipe'],
    ['nothing to resume', ['--resume', '--out', 'none.csv', '--', 'true'], 'no such recording to go on with'],
    [
      'resuming what is no recording',
      ['--resume', '--out', 'there.csv', '--', 'true'],
      'no recording that can go on',
    ],
  ])('ends with 2 and a sentence on %s, and leaves nothing behind', async (_case, words, sentence) => {
    const place = mkdtempSync(join(folder, 'bad-'))
    writeFileSync(join(place, 'there.csv'), 'mine')
    writeFileSync(join(place, 'sheet.yaml'), 'mine')
    const { status, stdout, stderr } = await runInsideAt(place, record('--before', '0s', ...words))
    expect({ status, stdout }).toEqual({ status: 2, stdout: '' })
    expect(stderr).toContain(sentence)
    expect(execFileSync('ls', ['-A', place], { encoding: 'utf8' })).toBe('sheet.yaml\nthere.csv\n')
    expect(readFileSync(join(place, 'there.csv'), 'utf8')).toBe('mine')
  })
})

interface RecordDocument {
  readonly log: { readonly path: string; readonly samples: number; readonly resumed: boolean }
  readonly sheet: string | null
  readonly runs: readonly { readonly number: number; readonly score: number | null }[]
  readonly cost: { readonly perSampleMs: number }
  readonly cautions: readonly unknown[]
}

interface HeldBy {
  readonly label: string
  readonly evidence: readonly string[]
}
