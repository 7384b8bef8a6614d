import { chmodSync, existsSync, mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { dirname, join } from 'node:path'
import { afterAll, describe, expect, it } from 'vitest'
import { runCommandLine } from '../../src/cli/runCommandLine.js'
import { InputError } from '../../src/errors.js'
import { parseLog } from '../../src/log/parseLog.js'
import { findCounters } from '../../src/record/findCounters.js'
import { findSensors } from '../../src/record/findSensors.js'
import { formatHeader } from '../../src/record/formatRecording.js'
import { readSysfs } from '../../src/record/readSysfs.js'
import { recordLog } from '../../src/record/recordLog.js'
import { sampleRow } from '../../src/record/sampleRow.js'
import type { SysfsTree } from '../../src/record/sysfsTree.js'
import { writeRecording } from '../../src/record/writeRecording.js'
import { powercapRanges } from '../certified/logFormats.js'

const [{ rangeUj: WIDE_UJ }, { rangeUj: NARROW_UJ }] = powercapRanges
type Files = Map<string, string | 'DENIED'>

/** A tree in memory that a test may change between samples. */
const treeOf = (files: Files): SysfsTree => ({
  root: '/fake',
  list: (folder) => {
    const below = [...files.keys()].filter((path) => path.startsWith(`${folder}/`))
    return [...new Set(below.map((path) => path.slice(folder.length + 1).split('/')[0]!))].sort()
  },
  read: (path) => {
    const text = files.get(path)
    if (text === undefined) return { problem: 'missing' }
    return text === 'DENIED' ? { problem: 'denied' } : { text: `${text}\n` }
  },
})
const zone = (
  path: string,
  name: string,
  energyUj: string,
  rangeUj: number = WIDE_UJ,
): [string, string][] => [
  [`class/powercap/${path}/name`, name],
  [`class/powercap/${path}/energy_uj`, energyUj],
  [`class/powercap/${path}/max_energy_range_uj`, String(rangeUj)],
]
const machine = (energyUj = 1000): Files =>
  new Map([
    ...zone('zone:0', 'package-0', String(energyUj)),
    ...zone('zone:0:0', 'core', '10'),
    ['class/hwmon/hwmon0/name', 'disk'],
    ['class/hwmon/hwmon0/temp1_input', '41000'],
    ['class/hwmon/hwmon1/name', 'cpusensors'],
    ['class/hwmon/hwmon1/temp1_label', 'Package id 0'],
    ['class/hwmon/hwmon1/temp1_input', '61000'],
    ['class/hwmon/hwmon1/temp2_label', 'Core 0'],
    ['class/hwmon/hwmon1/temp2_input', '60000'],
    ['class/thermal/thermal_zone0/type', 'ambient'],
    ['class/thermal/thermal_zone0/temp', '25000'],
    ['devices/system/cpu/cpufreq/policy0/scaling_cur_freq', '3200000'],
    ['devices/system/cpu/cpufreq/policy1/scaling_cur_freq', '2800000'],
  ])
const codeOf = (act: () => unknown): string => {
  try {
    act()
    return 'none'
  } catch (error) {
    if (error instanceof InputError) return error.code
    throw error
  }
}

describe('finding counters and sensors', () => {
  it('counters are found flat and nested, with names that tell a part from its package', () => {
    const flat = findCounters(treeOf(machine())).counters
    expect(flat.map(({ name }) => name)).toEqual(['package', 'core'])
    const nested = new Map([
      ...zone('kind/zone:0', 'package-0', '1'),
      ...zone('kind/zone:0/zone:0:0', 'dram', '2'),
    ])
    expect(findCounters(treeOf(nested)).counters.map(({ name }) => name)).toEqual(['package', 'dram'])
  })

  it('a counter offered twice under one name is recorded once', () => {
    const files = new Map([...zone('a:0', 'package-0', '1'), ...zone('b:0', 'package-0', '1')])
    expect(findCounters(treeOf(files)).counters).toHaveLength(1)
  })

  it('the processor temperature is told from those of disks and rooms, and all clocks are found', () => {
    const sensors = findSensors(treeOf(machine()))
    expect(sensors.temperature).toEqual({
      name: 'cpusensors Package id 0',
      path: 'class/hwmon/hwmon1/temp1_input',
    })
    expect(sensors.clocks).toHaveLength(2)
  })

  it('a tree without counters, or with counters that may not be read, is an error that says what to do', () => {
    expect(codeOf(() => findCounters(treeOf(new Map())))).toBe('counter-missing')
    const files: Files = new Map(zone('zone:0', 'package-0', 'DENIED'))
    expect(codeOf(() => findCounters(treeOf(files)))).toBe('counter-denied')
    try {
      findCounters(treeOf(files))
    } catch (error) {
      expect((error as InputError).details.remedy).toContain(
        'chmod a+r /fake/class/powercap/zone:0/energy_uj',
      )
    }
  })

  it('a counter that may not be read is left out when others can be', () => {
    const files: Files = new Map([...zone('zone:0', 'package-0', '5'), ...zone('zone:1', 'psys', 'DENIED')])
    const found = findCounters(treeOf(files))
    expect(found.counters.map(({ name }) => name)).toEqual(['package'])
    expect(found.denied).toEqual(['class/powercap/zone:1/energy_uj'])
  })

  it('two packages are summed under the name of the package', () => {
    const files = new Map([
      ...zone('a:0', 'package-0', '100'),
      ...zone('a:1', 'package-1', '200'),
      ...zone('a:1:0', 'core', '3'),
    ])
    const sensors = findSensors(treeOf(files))
    expect(formatHeader(sensors)).toBe(
      'elapsed_s,time,phase,package energy [uJ],processor 0 energy [uJ],processor 1 energy [uJ],core of package-1 energy [uJ]',
    )
  })
})

describe('sampling', () => {
  it.each([WIDE_UJ, NARROW_UJ])(
    'a counter that wraps at its published range of %i uJ goes on counting',
    (rangeUj) => {
      const files = new Map(zone('zone:0', 'package-0', String(rangeUj - 1_000_000), rangeUj))
      const tree = treeOf(files)
      const sensors = findSensors(tree)
      const first = sampleRow(tree, sensors, undefined)
      files.set('class/powercap/zone:0/energy_uj', '44000000')
      expect(sampleRow(tree, sensors, first.state).row.energiesUj).toEqual([45_000_000])
    },
  )

  it('a counter that does not answer leaves its cell empty and goes on after', () => {
    const files = machine(1000)
    const tree = treeOf(files)
    const sensors = findSensors(tree)
    const first = sampleRow(tree, sensors, undefined)
    files.set('class/powercap/zone:0/energy_uj', 'DENIED')
    const second = sampleRow(tree, sensors, first.state)
    files.set('class/powercap/zone:0/energy_uj', '91000')
    const third = sampleRow(tree, sensors, second.state)
    expect(second.row.energiesUj[0]).toBeUndefined()
    expect(third.row.energiesUj[0]).toBe(90_000)
    expect(third.row.clockKhz).toBe(3_000_000)
  })
})

/** A recording in simulated time: each step of the clock adds energy at the power of that moment. */
async function simulate(
  powerAt: (s: number) => number,
  plan: { everyS: number; beforeS: number; runS: number; afterS: number },
) {
  const files = machine(WIDE_UJ - 150_000_000)
  const tree = treeOf(files)
  let timeS = 100
  let energyUj = WIDE_UJ - 150_000_000
  const lines: string[] = []
  const advance = (seconds: number) => {
    energyUj = Math.round(energyUj + powerAt(timeS - 100) * seconds * 1e6) % WIDE_UJ
    timeS += seconds
    files.set('class/powercap/zone:0/energy_uj', String(energyUj))
  }
  let finish = () => {}
  let endS = Number.POSITIVE_INFINITY
  const recording = await recordLog(
    {
      sensors: findSensors(tree),
      ...plan,
      run: () => {
        endS = timeS + plan.runS
        return new Promise<void>((resolve) => {
          finish = resolve
        })
      },
      stop: new Promise(() => {}),
      preamble: ['# a recording'],
    },
    {
      tree,
      now: () => timeS,
      epochMs: () => Date.UTC(2026, 8, 23, 23, 59, 0) + timeS * 1000,
      wait: async (seconds) => {
        const step = Math.min(seconds, endS - timeS)
        advance(step)
        if (timeS >= endS) {
          endS = Number.POSITIVE_INFINITY
          finish()
          await Promise.resolve()
        }
      },
      writeLine: (line) => lines.push(line),
    },
  )
  return { recording, text: `${lines.join('\n')}\n` }
}

describe('a recording', () => {
  it('is read back by parseLog as what happened, through a wrap', async () => {
    const powerAt = (s: number) => (s < 5 ? 6 : s < 25 ? 96 : s < 45 ? 45 : 6)
    const { recording, text } = await simulate(powerAt, { everyS: 1, beforeS: 5, runS: 40, afterS: 5 })
    const { trace, columns, mendings } = parseLog(text)
    expect(columns).toEqual({
      time: 'elapsed_s',
      power: 'package energy [uJ]',
      temperature: 'cpusensors Package id 0 temperature [m°C]',
      clock: 'processor clock [kHz]',
    })
    expect(mendings.map(({ kind }) => kind)).toEqual(['counter-start'])
    expect(recording).toMatchObject({
      samples: 51,
      durationS: 50,
      commandStartS: 5,
      commandEndS: 45,
      incomplete: 0,
    })
    expect(trace.timesS).toHaveLength(51)
    trace.timesS.forEach((t, i) => {
      if (i > 0) expect(trace.powerW[i]).toBeCloseTo(powerAt(t - 0.5), 4)
    })
    expect(trace.temperatureC![0]).toBe(61)
    expect(trace.clockHz![0]).toBe(3e9)
    expect(trace.startOfDayS).toBe(86340 + 100 - 86400)
  })

  it('keeps its pace without drift, whatever the length of the command', async () => {
    const { text } = await simulate(() => 20, { everyS: 0.3, beforeS: 0, runS: 7.77, afterS: 0 })
    const times = Array.from(parseLog(text).trace.timesS)
    times.slice(0, -1).forEach((t, i) => {
      expect(t).toBeCloseTo(0.3 * i, 3)
    })
    expect(times.at(-1)).toBeCloseTo(7.77, 3)
  })
})

describe('the file of a recording', () => {
  const folder = mkdtempSync(join(tmpdir(), 'holdwatt-record-'))
  afterAll(() => rmSync(folder, { recursive: true }))

  it('appears under its name when it is whole, and never replaces another unasked', () => {
    const path = join(folder, 'a.csv')
    const file = writeRecording(path, false)
    file.writeLine('one')
    expect(existsSync(path)).toBe(false)
    expect(readFileSync(`${path}.partial`, 'utf8')).toBe('one\n')
    file.keep()
    expect(readFileSync(path, 'utf8')).toBe('one\n')
    expect(codeOf(() => writeRecording(path, false))).toBe('file-exists')
    const second = writeRecording(path, true)
    second.discard()
    expect(readFileSync(path, 'utf8')).toBe('one\n')
    expect(existsSync(`${path}.partial`)).toBe(false)
    expect(codeOf(() => writeRecording(join(folder, 'none', 'b.csv'), false))).toBe('file-not-writable')
  })

  const sysfs = join(folder, 'sys')
  const write = (path: string, text: string) => {
    mkdirSync(dirname(join(sysfs, path)), { recursive: true })
    writeFileSync(join(sysfs, path), text)
  }
  for (const [path, text] of machine(5_000_000)) write(path, `${text}\n`)

  it('the tree on disk reads like the one in memory', () => {
    expect(findSensors(readSysfs(sysfs))).toEqual(findSensors(treeOf(machine())))
    expect(readSysfs(sysfs).list('no/such/folder')).toEqual([])
    if (process.getuid?.() !== 0) {
      write('locked', '5')
      chmodSync(join(sysfs, 'locked'), 0)
      expect(readSysfs(sysfs).read('locked')).toEqual({ problem: 'denied' })
    }
  })

  const run = async (...words: string[]) => {
    const [out, err]: string[][] = [[], []]
    const status = await runCommandLine(['record', '--sysfs', sysfs, ...words], {
      version: '0.0.0',
      env: { NO_COLOR: '1' },
      stdoutIsTerminal: false,
      stderrIsTerminal: false,
      columns: undefined,
      writeOut: (text) => out!.push(text),
      writeErr: (text) => err!.push(text),
    })
    return { status, out: out!.join(''), err: err!.join('') }
  }

  it('the command records while another runs, and tells how that ended', async () => {
    const path = join(folder, 'run.csv')
    const advance = `const fs = require('node:fs'); const f = ${JSON.stringify(join(sysfs, 'class/powercap/zone:0/energy_uj'))};
      let n = 0; const t = setInterval(() => { fs.writeFileSync(f + '.n', String(5e6 + ++n * 2e6)); fs.renameSync(f + '.n', f); if (n === 8) { clearInterval(t); process.exitCode = 4 } }, 100)`
    const { status, out } = await run(
      '--every',
      '100ms',
      '--before',
      '0.3s',
      '--after',
      '0.2s',
      '--json',
      '--out',
      path,
      '--',
      process.execPath,
      '-e',
      advance,
    )
    expect(status).toBe(0)
    const document = JSON.parse(out)
    expect(document).toMatchObject({ command: 'record', child: { status: 4, signal: null }, log: { path } })
    expect(document.warnings.map(({ code }: { code: string }) => code)).toEqual(['record-command-failed'])
    const { trace } = parseLog(readFileSync(path))
    let energyJ = 0
    for (let i = 1; i < trace.timesS.length; i++)
      energyJ += trace.powerW[i]! * (trace.timesS[i]! - trace.timesS[i - 1]!)
    expect(energyJ).toBeCloseTo(16, 6)
    expect(existsSync(`${path}.partial`)).toBe(false)
  })

  it('bad input ends with status 2 and a remedy, and leaves no file behind', async () => {
    const path = join(folder, 'bad.csv')
    const missing = await run('--out', path, '--before', '0s', '--', join(folder, 'no-such-command'))
    expect(missing).toMatchObject({ status: 2, out: '' })
    expect(missing.err).toContain('no such command')
    expect(existsSync(path) || existsSync(`${path}.partial`)).toBe(false)
    const empty = await run('--sysfs', join(folder, 'nothing'), '--out', path, '--', 'true')
    expect(empty.status).toBe(2)
    expect(empty.err).toContain('--sysfs')
    expect((await run('--every', '1ms', '--out', path, '--', 'true')).status).toBe(2)
    expect((await run()).status).toBe(2)
  })
})
