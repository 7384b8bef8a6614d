import { describe, expect, it } from 'vitest'
import { parseLog } from '../../../src/log/parseLog.js'
import { REASON } from '../../../src/log/trace.js'
import { findSensors } from '../../../src/record/sensors/findSensors.js'
import { sampleRow } from '../../../src/record/sensors/sampleRow.js'
import { formatHeader } from '../../../src/record/session/formatRecording.js'
import { powerColumn } from '../../../src/record/session/powerColumn.js'
import { findLoads } from '../../../src/segment/findLoads.js'
import { type Files, machine, simulate, treeOf, WIDE_UJ, zone } from '../fakeMachine.js'

// Trees as the kernel's documentation describes them: Linux 6.1, the pages named beside each finder.

function limitsOf(path: string, longUw: number, shortUw: number): [string, string][] {
  const at = `class/powercap/${path}`
  return [
    [`${at}/enabled`, '1'],
    [`${at}/constraint_0_name`, 'long_term'],
    [`${at}/constraint_0_power_limit_uw`, String(longUw)],
    [`${at}/constraint_0_time_window_us`, '27983872'],
    [`${at}/constraint_1_name`, 'short_term'],
    [`${at}/constraint_1_power_limit_uw`, String(shortUw)],
    [`${at}/constraint_1_time_window_us`, '2440'],
  ]
}

function card(number: number, files: { readonly [name: string]: string }): [string, string][] {
  const at = `class/hwmon/hwmon${number + 4}`
  return [
    [`${at}/name`, 'cardsensors'],
    [`${at}/device/drm/card${number}/dev`, '226:0'],
    ...Object.entries(files).map(([name, text]): [string, string] => [`${at}/${name}`, text]),
  ]
}

function battery(name: string, files: { readonly [name: string]: string }): [string, string][] {
  return Object.entries({ type: 'Battery', ...files }).map(([file, text]) => [
    `class/power_supply/${name}/${file}`,
    text,
  ])
}

/** Values of a tree's further columns, by header. */
function gaugesOf(files: Files): { readonly [header: string]: number | undefined } {
  const tree = treeOf(files)
  const sensors = findSensors(tree)
  const { row } = sampleRow(tree, sensors, undefined, { atS: 0, broken: false })
  return Object.fromEntries(sensors.gauges.map(({ header }, i) => [header, row.gauges[i]]))
}

const CARD = {
  power1_average: '151000000',
  power1_input: '149000000',
  power1_cap: '220000000',
  temp1_input: '61000',
  temp1_label: 'edge',
}

describe('powers of hardware monitors', () => {
  it('are columns for each card and board, the mean where there is a mean and an instant', () => {
    const files = new Map([
      ...machine(),
      ...card(0, CARD),
      ...card(1, { power1_input: '30000000', power1_label: 'board' }),
    ])
    expect(gaugesOf(files)).toEqual({
      'graphics card0 power [uW]': 151_000_000,
      'graphics card1 board power [uW]': 30_000_000,
      'graphics card0 power limit [uW]': 220_000_000,
      'graphics card0 edge temperature [m°C]': 61_000,
    })
    expect(powerColumn(findSensors(treeOf(files))).chosen).toBe('package energy [uJ]')
  })

  it('stand for the machine where nothing counts its energy, and a card then has its own limit and temperature', async () => {
    const files: Files = new Map(card(0, CARD))
    const power = 'class/hwmon/hwmon4/power1_average'
    const { text, samples, recording } = await simulate({
      everyS: 1,
      powerAt: () => 0,
      files,
      forS: 120,
      onTime: (s, changed) => {
        changed.set(power, s > 10 && s < 110 ? '219500000' : '20000000')
        return undefined
      },
    })
    const { trace, columns } = parseLog(text)
    expect(columns).toMatchObject({
      power: 'graphics card0 power [uW]',
      limit: 'graphics card0 power limit [uW]',
      temperature: 'graphics card0 edge temperature [m°C]',
    })
    expect(trace.powerW[50]).toBe(219.5)
    expect(samples[50]!.powerW).toBe(219.5)
    expect(recording).toMatchObject({ incomplete: 0, unknown: 0 })
    expect(findLoads(trace)[0]!.stages[0]!.heldBy).toMatchObject({
      label: 'power-limit',
      evidence: [expect.stringContaining('logged limit of 220.0 W')],
    })
  })

  it('leave an empty cell when a card is gone, and the sample counts as incomplete', async () => {
    const files: Files = new Map(card(0, { power1_average: '40000000' }))
    const { text, recording } = await simulate({
      everyS: 1,
      powerAt: () => 0,
      files,
      forS: 20,
      onTime: (s, changed) => {
        if (s > 5.5 && s < 8.5) changed.delete('class/hwmon/hwmon4/power1_average')
        else changed.set('class/hwmon/hwmon4/power1_average', '40000000')
        return undefined
      },
    })
    expect(recording.incomplete).toBe(3)
    expect(text.split('\n').filter((line) => line.endsWith(','))).toHaveLength(3)
  })

  it('count energy too: without a range, one that falls was reset, and its interval is set aside', () => {
    const files: Files = new Map([
      ['class/hwmon/hwmon0/name', 'socketenergy'],
      ['class/hwmon/hwmon0/energy1_label', 'socket 0'],
      ['class/hwmon/hwmon0/energy1_input', '5000000'],
      ['class/hwmon/hwmon0/energy2_label', 'core 0'],
      ['class/hwmon/hwmon0/energy2_input', '5000000'],
    ])
    const tree = treeOf(files)
    const sensors = findSensors(tree)
    expect(powerColumn(sensors).chosen).toBe('socketenergy socket 0 energy [uJ]')
    const first = sampleRow(tree, sensors, undefined, { atS: 0, broken: false })
    files.set('class/hwmon/hwmon0/energy1_input', '45000000')
    const second = sampleRow(tree, sensors, first.state, { atS: 1, broken: false })
    files.set('class/hwmon/hwmon0/energy1_input', '1000')
    const third = sampleRow(tree, sensors, second.state, { atS: 2, broken: false })
    expect([second, third].map(({ row }) => row.energiesUj[0])).toEqual([40_000_000, 39_999_999])
  })

  it('that may not be read are told, and are no reason to refuse those that may', () => {
    const files: Files = new Map([
      ...machine(),
      ['class/hwmon/hwmon7/name', 'socketenergy'],
      ['class/hwmon/hwmon7/energy1_input', 'DENIED'],
    ])
    expect(findSensors(treeOf(files)).denied).toEqual(['class/hwmon/hwmon7/energy1_input'])
  })

  it('of one name get numbers, as two columns of one name could not be told apart', () => {
    const files: Files = new Map(
      [0, 1].flatMap((chip): [string, string][] => [
        [`class/hwmon/hwmon${chip}/name`, 'board'],
        [`class/hwmon/hwmon${chip}/power1_input`, '7000000'],
      ]),
    )
    expect(Object.keys(gaugesOf(files))).toEqual(['board 0 power [uW]', 'board 1 power [uW]'])
  })
})

describe('a battery', () => {
  const flows = { current_now: '-2000000', voltage_now: '11500000' }
  const onBattery = (files: { readonly [name: string]: string }) =>
    gaugesOf(new Map([...machine(), ...battery('BAT0', files)]))['battery power [uW]']

  it.each([
    ['gives what its power says', { power_now: '21000000', status: 'Discharging' }, 21_000_000],
    [
      'gives current times voltage, whatever the sign of its driver',
      { ...flows, status: 'Discharging' },
      23_000_000,
    ],
    ['takes power while it is charged', { power_now: '30000000', status: 'Charging' }, -30_000_000],
    ['gives nothing when it is full', { power_now: '0', status: 'Full' }, 0],
    [
      'leaves it open when something flows and nobody says where to',
      { ...flows, status: 'Unknown' },
      undefined,
    ],
  ])('%s', (_case, files, powerUw) => {
    expect(onBattery(files)).toBe(powerUw)
  })

  it('is summed with the others of the machine, without those of mice', () => {
    const files = new Map([
      ...machine(),
      ...battery('BAT0', { power_now: '9000000', status: 'Discharging' }),
      ...battery('BAT1', { power_now: '2000000', status: 'Discharging' }),
      ...battery('mouse', { power_now: '100000', status: 'Discharging', scope: 'Device' }),
      ...battery('AC', { type: 'Mains', online: '1' }),
    ])
    expect(gaugesOf(files)['battery power [uW]']).toBe(11_000_000)
  })

  it('stands for the machine while it is used; on mains it says to pull the plug', () => {
    const files: Files = new Map(battery('BAT0', { ...flows, status: 'Discharging' }))
    expect(powerColumn(findSensors(treeOf(files))).chosen).toBe('battery power [uW]')
    files.set('class/power_supply/BAT0/status', 'Charging')
    expect(() => findSensors(treeOf(files))).toThrow(/pull the plug/)
  })
})

describe('limits of power capping', () => {
  it('are columns, summed over packages as the energy is, and are told with their windows', () => {
    const files = new Map([
      ...zone('a:0', 'package-0', '1'),
      ...limitsOf('a:0', 28e6, 64e6),
      ...zone('a:1', 'package-1', '1'),
      ...limitsOf('a:1', 30e6, 64e6),
    ])
    expect(gaugesOf(files)).toEqual({
      'package long term power limit [uW]': 58e6,
      'package short term power limit [uW]': 128e6,
    })
    expect(findSensors(treeOf(files)).limits).toEqual([
      'package long term 58 W over 27.98 s',
      'package short term 128 W over 0.00244 s',
    ])
  })

  it('that are switched off, or zero, are none', () => {
    const off = new Map([...machine(), ...limitsOf('zone:0', 28e6, 0)])
    expect(Object.keys(gaugesOf(off))).toEqual(['package long term power limit [uW]'])
    off.set('class/powercap/zone:0/enabled', '0')
    expect(gaugesOf(off)).toEqual({})
  })

  it('hold a stage in the recording as a reader sees it, also when the limit changes on the way', async () => {
    const files: Files = new Map([
      ...zone('zone:0', 'package-0', '1000', WIDE_UJ),
      ...limitsOf('zone:0', 28e6, 64e6),
    ])
    const limit = 'class/powercap/zone:0/constraint_0_power_limit_uw'
    const { text } = await simulate({
      everyS: 1,
      files,
      powerAt: (s, running) => (!running ? 3 : s < 30 ? 64 : s < 300 ? 28 : 22),
      run: () => ({ lengthS: 600, end: { status: 0, signal: null, score: null } }),
      work: { beforeS: 10, afterS: 10 },
      onTime: (s, changed) => {
        changed.set(limit, s < 300 ? '28000000' : '22000000')
        return undefined
      },
    })
    const { trace, columns } = parseLog(text)
    expect(columns.limit).toBe('package long term power limit [uW]')
    const [load] = findLoads(trace)
    expect(load!.stages.map(({ heldBy }) => heldBy)).toMatchObject([
      {},
      {
        label: 'power-limit',
        evidence: expect.arrayContaining([expect.stringContaining('logged limit of 28.0 W')]),
      },
      {
        label: 'power-limit',
        evidence: expect.arrayContaining([expect.stringContaining('logged limit of 22.0 W')]),
      },
    ])
  })
})

describe('throttling', () => {
  const cpu = (
    number: number,
    pack: number,
    counts: { readonly [name: string]: number },
  ): [string, string][] => [
    [`devices/system/cpu/cpu${number}/topology/physical_package_id`, String(pack)],
    ...Object.entries(counts).map(([name, count]): [string, string] => [
      `devices/system/cpu/cpu${number}/thermal_throttle/${name}`,
      String(count),
    ]),
  ]
  const events = { package_throttle_count: 7, core_throttle_count: 2 }

  it('is counted once for each package, and for every core', () => {
    const files = new Map([...machine(), ...cpu(0, 0, events), ...cpu(1, 0, events), ...cpu(2, 1, events)])
    expect(gaugesOf(files)).toEqual({ 'processor heat events': 7 + 7 + 2 + 2 + 2 })
  })

  it('is a reason where a count rose, none where it stood, and unknown at first, after sleep and after a reset', () => {
    const files = new Map([
      ...machine(),
      ...cpu(0, 0, { package_throttle_count: 7, package_power_limit_count: 0 }),
    ])
    const tree = treeOf(files)
    const sensors = findSensors(tree)
    const heat = 'devices/system/cpu/cpu0/thermal_throttle/package_throttle_count'
    const limit = 'devices/system/cpu/cpu0/thermal_throttle/package_power_limit_count'
    let sampled = sampleRow(tree, sensors, undefined, { atS: 0, broken: false })
    const reasons = [sampled.row.throttledBy]
    for (const [counts, broken] of [
      [[7, 0], false],
      [[9, 0], false],
      [[10, 4], false],
      [[11, 4], true],
      [[0, 0], false],
    ] as const) {
      files.set(heat, String(counts[0]))
      files.set(limit, String(counts[1]))
      sampled = sampleRow(tree, sensors, sampled.state, { atS: 1, broken })
      reasons.push(sampled.row.throttledBy)
    }
    expect(reasons).toEqual([undefined, 'none', 'heat', 'heat + power limit', undefined, undefined])
  })

  it('holds a stage in the recording as a reader sees it; counts alone are taken for nothing else', async () => {
    const files: Files = new Map([
      ...zone('zone:0', 'package-0', '1000', WIDE_UJ),
      ...cpu(0, 0, { package_throttle_count: 0 }),
    ])
    const count = 'devices/system/cpu/cpu0/thermal_throttle/package_throttle_count'
    const { text } = await simulate({
      everyS: 1,
      files,
      powerAt: (_s, running) => (running ? 40 : 3),
      run: () => ({ lengthS: 200, end: { status: 0, signal: null, score: null } }),
      work: { beforeS: 10, afterS: 10 },
      onTime: (s, changed) => {
        if (s > 12 && s < 205) changed.set(count, String(Math.floor(s)))
        return undefined
      },
    })
    const { trace, columns } = parseLog(text)
    expect(columns).toMatchObject({ reasons: 'processor throttle reason', limit: null, use: null })
    expect([trace.reasons![5], trace.reasons![100]]).toEqual([0, REASON.heat])
    expect(findLoads(trace)[0]!.stages[0]!.heldBy.label).toBe('heat')
  })
})

describe('the limit of the clock', () => {
  it('is a column that no reader takes for the clock, and its share of the highest is told', () => {
    const policy = (number: number): [string, string][] => [
      [`devices/system/cpu/cpufreq/policy${number}/scaling_max_freq`, '2400000'],
      [`devices/system/cpu/cpufreq/policy${number}/cpuinfo_max_freq`, '4800000'],
    ]
    const files = new Map([...machine(), ...policy(0), ...policy(1)])
    const sensors = findSensors(treeOf(files))
    expect(gaugesOf(files)).toEqual({ 'processor clock limit [kHz]': 2_400_000 })
    expect(sensors.clockShare).toBe(0.5)
    const rows = [0, 1, 2].map((i) => `${i},2026-01-01T00:00:0${i}Z,before,${i},0,61000,2000000,2400000`)
    expect(parseLog(`${[formatHeader(sensors), ...rows].join('\n')}\n`).columns.clock).toBe(
      'processor clock [kHz]',
    )
    expect(findSensors(treeOf(machine())).clockShare).toBeNull()
  })
})

describe('everything at once', () => {
  it('goes through sleep: the log has a gap, energy before it is unknown, the other columns go on', async () => {
    const files: Files = new Map([
      ...machine(),
      ...limitsOf('zone:0', 28e6, 64e6),
      ...card(0, CARD),
      ...battery('BAT0', { power_now: '9000000', status: 'Discharging' }),
    ])
    let slept = false
    const { text, recording } = await simulate({
      everyS: 1,
      powerAt: () => 20,
      files,
      forS: 420,
      onTime: (s) => {
        if (s < 50 || slept) return undefined
        slept = true
        return 300
      },
    })
    expect(recording.sleeps).toMatchObject([{ forS: 300 }])
    const { trace, columns, repairs } = parseLog(text)
    expect(columns.power).toBe('package energy [uJ]')
    expect(repairs.map(({ kind }) => kind)).toEqual(expect.arrayContaining(['gap', 'counter-reset']))
    expect([...trace.powerW].every((powerW) => Math.abs(powerW - 20) < 0.01)).toBe(true)
    expect([...trace.limitW!].every((limitW) => limitW === 28)).toBe(true)
  })
})
