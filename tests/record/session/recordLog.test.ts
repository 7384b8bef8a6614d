import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { parseLog } from '../../../src/log/parseLog.js'
import { findSensors } from '../../../src/record/sensors/findSensors.js'
import { resumedCounters, sampleRow } from '../../../src/record/sensors/sampleRow.js'
import { formatRun, parseRun, wasCut } from '../../../src/record/session/recordedRun.js'
import { evenDoubles } from '../../evenDoubles.js'
import { type Files, machine, NARROW_UJ, simulate, treeOf, WIDE_UJ, zone } from '../fakeMachine.js'

const at = (atS: number, broken = false) => ({ atS, broken })
const COUNTER = 'class/powercap/zone:0/energy_uj'

describe('sampling a counter', () => {
  it.each([WIDE_UJ, NARROW_UJ])(
    'goes on counting when it wraps at its published range of %i uJ',
    (rangeUj) => {
      const files = new Map(zone('zone:0', 'package-0', String(rangeUj - 1_000_000), rangeUj))
      const tree = treeOf(files)
      const sensors = findSensors(tree)
      const first = sampleRow(tree, sensors, undefined, at(0))
      files.set(COUNTER, '44000000')
      expect(sampleRow(tree, sensors, first.state, at(1)).row.energiesUj).toEqual([45_000_000])
    },
  )

  it('equals the true energy through any number of wraps, whatever the power and the interval', () => {
    fc.assert(
      fc.property(
        fc.array(fc.tuple(evenDoubles(0, 400), fc.double({ min: 0.05, max: 60, noNaN: true })), {
          minLength: 1,
          maxLength: 60,
        }),
        (steps) => {
          const files: Files = new Map(zone('zone:0', 'package-0', '65000000000', NARROW_UJ))
          const tree = treeOf(files)
          const sensors = findSensors(tree)
          let [raw, total, timeS] = [65_000_000_000, 0, 0]
          let sampled = sampleRow(tree, sensors, undefined, at(0))
          for (const [powerW, stepS] of steps) {
            const gain = Math.round(powerW * stepS * 1e6)
            raw = (raw + gain) % NARROW_UJ
            total += gain
            timeS += stepS
            files.set(COUNTER, String(raw))
            sampled = sampleRow(tree, sensors, sampled.state, at(timeS))
          }
          expect(sampled.row.energiesUj).toEqual([total])
        },
      ),
      { numRuns: 200, seed: 6 },
    )
  })

  it('leaves its cell empty when it does not answer and goes on after', () => {
    const files = machine(1000)
    const tree = treeOf(files)
    const sensors = findSensors(tree)
    const first = sampleRow(tree, sensors, undefined, at(0))
    files.delete(COUNTER)
    const second = sampleRow(tree, sensors, first.state, at(1))
    files.set(COUNTER, '91000')
    const third = sampleRow(tree, sensors, second.state, at(2))
    expect(second.row.energiesUj[0]).toBeUndefined()
    expect(third.row.energiesUj[0]).toBe(90_000)
    expect(third.row.clockKhz).toBe(3_000_000)
  })

  it.each([
    ['it fell and has no range', null, '500', 1, false],
    ['so long passed that it may have wrapped twice', NARROW_UJ, '2000000', 70, false],
    ['the machine slept', WIDE_UJ, '2000000', 1, true],
  ])(
    'steps back by a microjoule when %s: a reader takes that for a reset',
    (_case, range, now, afterS, broken) => {
      const files = new Map(zone('zone:0', 'package-0', '1000000', range))
      const tree = treeOf(files)
      const sensors = findSensors(tree)
      const first = sampleRow(tree, sensors, undefined, at(0))
      files.set(COUNTER, now)
      const second = sampleRow(tree, sensors, first.state, at(afterS, broken))
      expect(second.row).toMatchObject({ energiesUj: [-1], packagesGainUj: undefined })
      files.set(COUNTER, String(Number(now) + 700))
      expect(sampleRow(tree, sensors, second.state, at(afterS + 1)).row.energiesUj).toEqual([699])
    },
  )

  it('steps back in all packages when one is not known, so that their sum does too', () => {
    const files = new Map([...zone('a:0', 'package-0', '900', null), ...zone('a:1', 'package-1', '900')])
    const tree = treeOf(files)
    const sensors = findSensors(tree)
    const resumed = resumedCounters([5_000_000, 7_000_000])
    const first = sampleRow(tree, sensors, resumed, at(0))
    expect(first.row.energiesUj).toEqual([4_999_999, 6_999_999])
    files.set('class/powercap/a:0/energy_uj', '100')
    files.set('class/powercap/a:1/energy_uj', '2000')
    expect(sampleRow(tree, sensors, first.state, at(1)).row.energiesUj).toEqual([4_999_998, 6_999_998])
  })
})

describe('a recording', () => {
  const steps = (s: number, running: boolean) => (running ? (s < 25 ? 96 : 45) : 6)
  const once = (lengthS: number) => () => ({ lengthS, end: { status: 0, signal: null, score: null } })

  it('is read back by parseLog as what happened, through a wrap', async () => {
    const { recording, text } = await simulate({
      everyS: 1,
      powerAt: steps,
      run: once(40),
      work: { beforeS: 5, afterS: 5 },
    })
    const { trace, columns, repairs } = parseLog(text)
    expect(columns).toMatchObject({
      time: 'elapsed_s',
      power: 'package energy [uJ]',
      temperature: 'cpusensors Package id 0 temperature [m°C]',
      clock: 'processor clock [kHz]',
    })
    expect(repairs.map(({ kind }) => kind)).toEqual(['counter-start'])
    expect(recording).toMatchObject({ samples: 51, incomplete: 0, unknown: 0, sleeps: [] })
    expect(recording.durationS).toBeCloseTo(50, 6)
    expect(recording.runs).toMatchObject([
      { number: 1, startS: expect.closeTo(5, 3), endS: expect.closeTo(45, 3), status: 0 },
    ])
    expect(trace.timesS).toHaveLength(51)
    trace.timesS.forEach((t, i) => {
      if (i > 0) expect(trace.powerW[i]).toBeCloseTo(steps(t - 0.5, t > 5 && t < 45.5), 3)
    })
    expect([trace.temperatureC![0], trace.clockHz![0]]).toEqual([61, 3e9])
    expect(trace.startOfDayS).toBe(86340)
  })

  it('keeps its pace without drift for hours, however late the timers are', async () => {
    const { samples } = await simulate({
      everyS: 0.5,
      powerAt: () => 20,
      forS: 7200,
      lateS: (s) => 0.012 * ((s * 7919) % 1),
    })
    expect(samples.length).toBe(14_401)
    const lateness = samples.map(({ elapsedS }, i) => elapsedS - 0.5 * i)
    expect(Math.max(...lateness.slice(0, -1))).toBeLessThan(0.0125)
    expect(Math.min(...lateness)).toBeGreaterThan(-1e-6)
  })

  it('leaves out samples that it was too late for rather than squeezing them in', async () => {
    const { samples } = await simulate({
      everyS: 1,
      powerAt: () => 20,
      forS: 10,
      lateS: (s) => (s > 3.5 && s < 4.5 ? 2.3 : 0),
    })
    const whole = samples.map(({ elapsedS }) => Number(elapsedS.toFixed(3)))
    expect(whole).toEqual([0, 1, 2, 3, 4, 7.3, 8, 9, 10])
    expect(samples.every(({ powerW }, i) => i === 0 || Math.abs(powerW! - 20) < 1e-6)).toBe(true)
  })

  it('repeats a command with pauses and tells each run’s start, end and exit status', async () => {
    const { recording, lines } = await simulate({
      everyS: 0.5,
      powerAt: (_s, running) => (running ? 40 : 5),
      run: (number) => ({
        lengthS: 10 + number,
        end: { status: number === 2 ? 3 : 0, signal: null, score: 100 * number },
      }),
      work: { last: 3, gapS: 5, beforeS: 2, afterS: 1 },
    })
    expect(recording.runs.map(({ startS, endS }) => [startS, endS].map((s) => Number(s.toFixed(3))))).toEqual(
      [
        [2, 13],
        [18, 30],
        [35, 48],
      ],
    )
    expect(lines.filter((line) => line.startsWith('#'))).toEqual([
      '# run 1 from 2.000 s to 13.000 s: status 0; score 100',
      '# run 2 from 18.000 s to 30.000 s: status 3; score 200',
      '# run 3 from 35.000 s to 48.000 s: status 0; score 300',
    ])
    const phases = [
      ...new Set(lines.filter((line) => !line.startsWith('#')).map((line) => line.split(',')[2])),
    ]
    expect(phases).toEqual(['before', 'run 1', 'pause', 'run 2', 'run 3', 'after'])
  })

  it('stops where it is told to, and keeps what it has', async () => {
    const { recording, samples } = await simulate({
      everyS: 1,
      powerAt: () => 30,
      run: () => ({ lengthS: 60, end: { status: null, signal: 'SIGINT', score: null } }),
      work: { last: 20, gapS: 5, beforeS: 3, afterS: 30 },
      stopAtS: 20.4,
    })
    expect(recording.runs).toMatchObject([{ number: 1, signal: 'SIGINT' }])
    expect(samples.at(-1)!.elapsedS).toBeCloseTo(20.4, 1)
  })

  it('tells a sleep of the machine from work: the log has a gap, and no energy is made up for it', async () => {
    const { recording, text } = await simulate({
      everyS: 1,
      powerAt: () => 40,
      forS: 700,
      onTime: (s) => (Math.abs(s - 20) < 0.01 ? 600 : undefined),
    })
    expect(recording.sleeps).toHaveLength(1)
    expect(recording.sleeps[0]!.forS).toBeCloseTo(600, 3)
    expect(recording.sleeps[0]!.atS).toBeCloseTo(20, 0)
    const { trace, repairs } = parseLog(text)
    expect(repairs.map(({ kind }) => kind).sort()).toEqual(['counter-reset', 'counter-start', 'gap'])
    expect(trace.timesS.at(-1)).toBeCloseTo(700, 0)
    for (const powerW of trace.powerW) expect(powerW).toBeCloseTo(40, 3)
  })

  it('goes on when a zone vanishes and comes back, and when one never does', async () => {
    const files = machine(5_000_000)
    const core = 'class/powercap/zone:0:0/energy_uj'
    const { recording, text } = await simulate({
      everyS: 1,
      powerAt: () => 40,
      forS: 60,
      files,
      onTime: (s, now) => {
        if (s > 10) now.delete(core)
        if (s > 20 && s < 30) now.set(COUNTER, 'DENIED')
        if (s >= 30 && now.get(COUNTER) === 'DENIED') now.set(COUNTER, String(Math.round(5e6 + 40e6 * s)))
        if (s > 40) now.delete('class/hwmon/hwmon1/temp1_input')
        return undefined
      },
    })
    expect(recording.incomplete).toBeGreaterThan(45)
    const { trace } = parseLog(text)
    for (const powerW of trace.powerW) expect(powerW).toBeCloseTo(40, 3)
    expect(trace.temperatureC!.at(-1)).toBeNaN()
  })

  it('sums several packages of which each wraps in its own time', async () => {
    const files = new Map([
      ...zone('a:0', 'package-0', String(NARROW_UJ - 100e6), NARROW_UJ),
      ...zone('a:1', 'package-1', String(NARROW_UJ - 900e6), NARROW_UJ),
    ])
    const { text } = await simulate({ everyS: 1, powerAt: () => 45, forS: 60, files })
    const { trace, columns } = parseLog(text)
    expect(columns.power).toBe('package energy [uJ]')
    for (const powerW of trace.powerW) expect(powerW).toBeCloseTo(90, 3)
  })
})

describe('the line of a run', () => {
  it('is read back as it was written', () => {
    const time = fc.integer({ min: 0, max: 1e8 }).map((ms) => ms / 1000)
    fc.assert(
      fc.property(
        fc.integer({ min: 1, max: 1000 }),
        time,
        time,
        fc.oneof(
          fc.record({ status: fc.integer({ min: 0, max: 255 }), signal: fc.constant(null) }),
          fc.record({ status: fc.constant(null), signal: fc.constantFrom('SIGINT', 'SIGKILL') }),
        ),
        fc.option(fc.double({ min: 1e-9, max: 1e12, noNaN: true })),
        (number, startS, endS, end, score) => {
          const run = { number, startS, endS, ...end, score }
          expect(parseRun(formatRun(run))).toEqual(run)
        },
      ),
      { seed: 6 },
    )
    expect(parseRun('# run 1 from 2.000 s to 13.000 s: stat')).toBeUndefined()
    expect(parseRun('# recorded by holdwatt')).toBeUndefined()
  })

  it('tells a run that was cut from outside from one that failed', () => {
    const end = { status: null, signal: null, score: null }
    expect(wasCut({ ...end, signal: 'SIGTERM' })).toBe(true)
    expect(wasCut({ ...end, status: 130 })).toBe(true)
    expect(wasCut({ ...end, status: 1 })).toBe(false)
    expect(wasCut({ ...end, signal: 'SIGSEGV' })).toBe(false)
  })
})
