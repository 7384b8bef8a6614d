import { describe, expect, it } from 'vitest'
import { InputError } from '../../../src/errors.js'
import { parseLog } from '../../../src/log/parseLog.js'
import { findCounters } from '../../../src/record/sensors/findCounters.js'
import { findSensors } from '../../../src/record/sensors/findSensors.js'
import { formatHeader } from '../../../src/record/session/formatRecording.js'
import { powerColumn } from '../../../src/record/session/powerColumn.js'
import { type Files, machine, treeOf, zone } from '../fakeMachine.js'

function errorOf(files: Files): InputError {
  try {
    findSensors(treeOf(files))
  } catch (error) {
    if (error instanceof InputError) return error
    throw error
  }
  throw new Error('no error came')
}

describe('finding counters', () => {
  it('finds them flat and nested, with names that tell a part from its package', () => {
    const flat = findCounters(treeOf(machine())).counters
    expect(flat.map(({ name }) => name)).toEqual(['package', 'core'])
    const nested = new Map([
      ...zone('kind/zone:0', 'package-0', '1'),
      ...zone('kind/zone:0/zone:0:0', 'dram', '2'),
    ])
    expect(findCounters(treeOf(nested)).counters.map(({ name }) => name)).toEqual(['package', 'dram'])
  })

  it('takes a counter that is offered twice under one name once', () => {
    const files = new Map([...zone('a:0', 'package-0', '1'), ...zone('b:0', 'package-0', '1')])
    expect(findCounters(treeOf(files)).counters).toHaveLength(1)
  })

  it('says of a tree without counters where it looked and what helps', () => {
    const error = errorOf(new Map())
    expect(error.code).toBe('counter-missing')
    expect(error.message).toContain('/fake/class/powercap: the folder is missing or empty')
    expect(error.details.remedy).toContain('virtual machine')
    expect(errorOf(new Map([['class/powercap/other/enabled', '1']])).message).toContain('it holds other')
  })

  it('names every file that may not be read, why that is, and what helps, which is not to run as root', () => {
    const files: Files = new Map([
      ...zone('zone:0', 'package-0', 'DENIED'),
      ...zone('zone:1', 'package-1', 'DENIED'),
    ])
    const error = errorOf(files)
    expect(error.code).toBe('counter-denied')
    expect(error.message).toContain(
      '/fake/class/powercap/zone:0/energy_uj /fake/class/powercap/zone:1/energy_uj',
    )
    expect(error.details.remedy).toMatch(/can tell a program what others do.*No need to run holdwatt as root/)
    expect(error.details.remedy).toMatch(
      /sudo chmod a\+r \/fake\S+zone:0\/energy_uj \/fake\S+zone:1\/energy_uj$/,
    )
    const folder = errorOf(new Map([['class/powercap', 'DENIED']]))
    expect(folder).toMatchObject({
      code: 'counter-denied',
      message: 'no permission to look for energy counters in /fake/class/powercap',
    })
    expect(folder.details.remedy).toMatch(/sudo chmod a\+rx \/fake\/class\/powercap$/)
  })

  it('leaves out a counter that may not be read when others can be', () => {
    const files: Files = new Map([...zone('zone:0', 'package-0', '5'), ...zone('zone:1', 'psys', 'DENIED')])
    const found = findCounters(treeOf(files))
    expect(found.counters.map(({ name }) => name)).toEqual(['package'])
    expect(found.denied).toEqual(['class/powercap/zone:1/energy_uj'])
  })
})

describe('finding sensors', () => {
  it('tells the processor’s temperature from those of disks and rooms, and finds all clocks', () => {
    const sensors = findSensors(treeOf(machine()))
    expect(sensors.temperatures).toEqual([
      { name: 'cpusensors Package id 0', path: 'class/hwmon/hwmon1/temp1_input' },
    ])
    expect(sensors.clocks).toHaveLength(2)
  })

  it('takes the temperature of every package, of which a reader takes the hottest', () => {
    const files = machine()
    for (const [chip, degrees] of [
      [2, 71000],
      [3, 83000],
    ]) {
      files.set(`class/hwmon/hwmon${chip}/name`, 'cpusensors')
      files.set(`class/hwmon/hwmon${chip}/temp1_label`, 'Package')
      files.set(`class/hwmon/hwmon${chip}/temp1_input`, String(degrees))
    }
    for (const name of [...files.keys()]) if (name.includes('hwmon1')) files.delete(name)
    const sensors = findSensors(treeOf(files))
    expect(sensors.temperatures.map(({ name }) => name)).toEqual([
      'cpusensors Package 0',
      'cpusensors Package 1',
    ])
    const rows = [0, 1, 2].map((i) => `${i},2026-01-01T00:00:0${i}Z,before,${i},0,71000,83000,0`)
    expect(parseLog(`${[formatHeader(sensors), ...rows].join('\n')}\n`).trace.temperatureC![1]).toBe(83)
  })

  it('falls back to a thermal zone', () => {
    const files = new Map([
      ...zone('zone:0', 'package-0', '5'),
      ['class/thermal/thermal_zone1/type', 'cpu-thermal'],
      ['class/thermal/thermal_zone1/temp', '50000'],
    ] as [string, string][])
    expect(findSensors(treeOf(files)).temperatures[0]!.path).toBe('class/thermal/thermal_zone1/temp')
  })
})

describe('the column that stands for the power', () => {
  const names = (zones: [string, string][][]) => powerColumn(findSensors(treeOf(new Map(zones.flat()))))

  it('is the sum of all packages, which a reader picks by itself', () => {
    const files = [
      zone('a:0', 'package-0', '100'),
      zone('a:1', 'package-1', '200'),
      zone('a:1:0', 'core', '3'),
      zone('b:0', 'psys', '4'),
    ]
    expect(formatHeader(findSensors(treeOf(new Map(files.flat()))))).toBe(
      'elapsed_s,time,phase,package energy [uJ],processor 0 energy [uJ],processor 1 energy [uJ],core of package-1 energy [uJ],psys energy [uJ]',
    )
    expect(names(files).chosen).toBe('package energy [uJ]')
  })

  it.each([
    [
      'dies of one package',
      [zone('a:0', 'package-0-die-0', '1'), zone('a:1', 'package-0-die-1', '1')],
      'package',
    ],
    [
      'a whole system beside its package',
      [zone('a:0', 'package-0', '1'), zone('a:1', 'psys', '1')],
      'package',
    ],
    ['memory beside its package', [zone('a:0', 'package-0', '1'), zone('a:0:0', 'dram', '1')], 'package'],
    ['one counter of any name', [zone('a:0', 'soc', '1')], 'soc'],
    ['a name with delimiters', [zone('a:0', 'so,c; x|y', '1')], 'so c x y'],
  ])('of %s is found without a choice', (_case, zones, name) => {
    expect(names(zones).chosen).toBe(`${name} energy [uJ]`)
  })

  it('is open where several counters could be it, and all are named', () => {
    expect(names([zone('a:0', 'cluster0', '1'), zone('a:1', 'cluster1', '1')])).toEqual({
      chosen: null,
      columns: ['cluster0 energy [uJ]', 'cluster1 energy [uJ]'],
    })
  })
})
