import { findSensors, type Sensors } from '../../src/record/sensors/findSensors.js'
import type { SysfsTree } from '../../src/record/sensors/sysfsTree.js'
import { formatHeader } from '../../src/record/session/formatRecording.js'
import type { RunEnd } from '../../src/record/session/recordedRun.js'
import type { LiveSample } from '../../src/record/session/recordingWorld.js'
import { type RecordedWork, type Recording, recordLog } from '../../src/record/session/recordLog.js'
import type { SamplerPlan } from '../../src/record/session/startSampler.js'
import { powercapRanges } from '../certified/logFormats.js'

// A made-up machine: its counter files in memory, and a clock that moves only when the recorder waits.

export const [{ rangeUj: WIDE_UJ }, { rangeUj: NARROW_UJ }] = powercapRanges

/** Text of each file; `DENIED` for one that may not be read. */
export type Files = Map<string, string>

export function treeOf(files: Files): SysfsTree {
  return {
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
  }
}

/** Files of an energy counter. */
export function zone(
  path: string,
  name: string,
  energyUj: string,
  rangeUj: number | null = WIDE_UJ,
): [string, string][] {
  return [
    [`class/powercap/${path}/name`, name],
    [`class/powercap/${path}/energy_uj`, energyUj],
    ...(rangeUj === null
      ? []
      : [[`class/powercap/${path}/max_energy_range_uj`, String(rangeUj)] as [string, string]]),
  ]
}

/** One package with a part, a disk's and the processor's temperatures, two groups of cores. */
export function machine(energyUj = 1000): Files {
  return new Map([
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
}

/** What a simulated recording does; times count from its first sample. */
export interface Simulation {
  readonly everyS: number
  /** Power of each package at a time, W; `running` tells whether the command runs. */
  readonly powerAt: (s: number, running: boolean) => number
  /** Length and end of each run; undefined: only `forS` is recorded. */
  readonly run?: (number: number, startS: number) => { readonly lengthS: number; readonly end: RunEnd }
  readonly work?: Partial<Extract<RecordedWork, { kind: 'runs' }>>
  readonly forS?: number
  readonly files?: Files
  /** Called whenever the clock has moved, with the files to change; returns seconds that the machine sleeps now, after which its counters begin anew. */
  readonly onTime?: (s: number, files: Files) => number | undefined
  readonly stopAtS?: number
  readonly resumed?: SamplerPlan['resumed']
  /** Lateness of timers, s. */
  readonly lateS?: (s: number) => number
}

export interface Simulated {
  readonly recording: Recording
  readonly sensors: Sensors
  readonly lines: readonly string[]
  /** Header and lines. */
  readonly text: string
  readonly samples: readonly LiveSample[]
}

const STEP_S = 0.05
const ENDED_WELL: RunEnd = { status: 0, signal: null, score: null }

/** Records in simulated time: energy flows in steps of 50 ms at the power of that moment. */
export async function simulate(simulation: Simulation): Promise<Simulated> {
  const files = simulation.files ?? machine(WIDE_UJ - 150_000_000)
  const tree = treeOf(files)
  const sensors = findSensors(tree)
  const clock = machineClock(files, sensors, simulation)
  const lines: string[] = []
  const samples: LiveSample[] = []
  const { everyS, forS, resumed = null } = simulation
  const start = (number: number) => clock.startRun(number)
  const runs = {
    kind: 'runs',
    first: 1,
    last: 1,
    gapS: 0,
    beforeS: 0,
    afterS: 0,
    start,
    ...simulation.work,
  } as const
  const recording = await recordLog(
    { sensors, everyS, resumed, work: forS === undefined ? runs : { kind: 'time', forS }, stop: clock.stop },
    {
      tree,
      now: () => 100 + clock.awakeS(),
      bootS: () => 5000 + clock.awakeS() + clock.asleepS(),
      epochMs: () => EPOCH_MS + 1000 * (clock.awakeS() + clock.asleepS()),
      wait: (seconds, cut) => clock.wait(seconds, cut),
      writeLine: (line) => lines.push(line),
      onSample: (sample) => samples.push(sample),
    },
  )
  return { recording, sensors, lines, samples, text: `${[formatHeader(sensors), ...lines].join('\n')}\n` }
}

/** 23:59:00 UTC, so that every recording of more than a minute passes midnight. */
export const EPOCH_MS = Date.UTC(2026, 8, 23, 23, 59, 0)

function machineClock(files: Files, sensors: Sensors, simulation: Simulation) {
  let [awakeS, asleepS, endRunAtS] = [0, 0, Number.POSITIVE_INFINITY]
  let endRun = (): void => {}
  let stopNow = (): void => {}
  const stop = new Promise<void>((resolve) => {
    stopNow = resolve
  })
  const energies = new Map(sensors.counters.map(({ path }) => [path, Number(files.get(path))]))
  const flow = (stepS: number): void => {
    const powerW = simulation.powerAt(awakeS + stepS / 2, endRunAtS < Number.POSITIVE_INFINITY)
    for (const { path, rangeUj, isPackage } of sensors.counters) {
      const energy = energies.get(path)! + powerW * stepS * 1e6 * (isPackage ? 1 : 0.5)
      energies.set(path, rangeUj === null ? energy : energy % rangeUj)
      if (files.has(path) && files.get(path) !== 'DENIED')
        files.set(path, String(Math.round(energies.get(path)!)))
    }
    awakeS += stepS
    const sleptS = simulation.onTime?.(awakeS, files) ?? 0
    asleepS += sleptS
    // Counters begin anew after a deep sleep.
    if (sleptS > 0) {
      for (const path of energies.keys()) {
        energies.set(path, 1000)
        files.set(path, '1000')
      }
    }
  }
  const wait = async (seconds: number, cut: AbortSignal): Promise<void> => {
    const untilS = awakeS + Math.max(seconds, 1e-6) + (simulation.lateS?.(awakeS) ?? 0)
    while (awakeS < untilS - 1e-9 && !cut.aborted) {
      flow(Math.min(STEP_S, untilS - awakeS, Math.max(1e-6, endRunAtS - awakeS)))
      if (awakeS >= endRunAtS - 1e-9) endRun()
      if (awakeS >= (simulation.stopAtS ?? Number.POSITIVE_INFINITY)) {
        stopNow()
        endRun()
      }
      // Promises that hang on the end of a run settle before the clock goes on.
      for (let i = 0; i < 8; i++) await Promise.resolve()
    }
  }
  const startRun = (number: number): Promise<RunEnd> => {
    const { lengthS, end } = simulation.run?.(number, awakeS) ?? { lengthS: 0, end: ENDED_WELL }
    endRunAtS = awakeS + lengthS
    return new Promise((resolve) => {
      endRun = () => {
        endRunAtS = Number.POSITIVE_INFINITY
        resolve(end)
      }
    })
  }
  return { awakeS: () => awakeS, asleepS: () => asleepS, stop, wait, startRun }
}
