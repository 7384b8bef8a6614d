import { describe, expect, it } from 'vitest'
import { makeLoadRecord, sampleSteps } from '../../../src/fit/chassis/loadRecord.js'
import { traceOf } from '../../segment/makeSteps.js'

/** A log of 100 s, a sample a second, means over it: work at 100 W beside 10 W of idle, in runs that begin and end as told. */
function recorded(
  runs: readonly { readonly startS: number; readonly endS: number }[],
  {
    toldRuns = runs,
    spikesAtS = [] as readonly number[],
    keep = (_: number): boolean => true,
    laterThanS = undefined as number | undefined,
    idleW = 10,
  } = {},
) {
  const all = Float64Array.from({ length: 100 }, (_, i) => i)
  const worked = (s: number) =>
    runs.reduce((sum, { startS, endS }) => sum + Math.max(0, Math.min(s, endS) - Math.max(s - 1, startS)), 0)
  const timesS = all.filter(keep)
  const trace = traceOf(
    timesS,
    timesS.map((s) => idleW + (100 - idleW) * worked(s)),
    timesS.map((s) => 40 + s),
  )
  const load = {
    startS: toldRuns[0]?.startS ?? 0,
    endS: toldRuns.at(-1)?.endS ?? 99,
    runs: toldRuns,
    spikesAtS,
    noiseW: 0.5,
    autocorrelation: 0.2,
  }
  return makeLoadRecord({ ...trace, intervalS: 1 }, load as never, laterThanS)
}

const insideOf = ({ pass, toS }: ReturnType<typeof recorded>, wanted: number) =>
  Array.from(toS).filter((_, i) => pass[i] === wanted)

describe('the record of a load', () => {
  const run = { startS: 20.4, endS: 60.3 }

  it('has its edges to a fraction of a sample, by the energy above idle', () => {
    const { passes, idleW, idleSeen } = recorded([run], { toldRuns: [{ startS: 20, endS: 60.9 }] })
    expect([idleW, idleSeen]).toEqual([10, true])
    expect(passes).toHaveLength(1)
    expect(passes[0]!.startS).toBe(0)
    expect(passes[0]!.endS).toBeCloseTo(39.9, 9)
  })

  it('counts its seconds from the first pass, and knows which samples show undisturbed work', () => {
    const record = recorded([run])
    expect(record.toS[21]).toBeCloseTo(0.6, 9)
    expect(record.fromS[21]).toBeCloseTo(-0.4, 9)
    expect(record.powerW[21]).toBeCloseTo(64, 9)
    expect(record.temperatureC![21]).toBe(61)
    const inside = insideOf(record, 0)
    expect(inside[0]).toBeCloseTo(1.6, 9)
    expect(inside.at(-1)).toBeCloseTo(39.6, 9)
    expect(inside).toHaveLength(39)
    expect(record).toMatchObject({ noiseW: 0.5, autocorrelation: 0.2, intervalS: 1 })
  })

  it('leaves out spikes, and samples whose end lies next to an edge', () => {
    const spiked = insideOf(recorded([run], { spikesAtS: [40] }), 0)
    expect(spiked).toHaveLength(38)
    expect(spiked.some((toS) => Math.abs(toS - 19.6) < 1e-6)).toBe(false)
    // An edge at 20.95 s lies within a tenth of a sample of 21 s, one at 20.85 s does not.
    expect(insideOf(recorded([{ startS: 20.95, endS: 60 }]), 0)[0]).toBeCloseTo(2.05, 9)
    expect(insideOf(recorded([{ startS: 20.85, endS: 60 }]), 0)[0]).toBeCloseTo(1.15, 9)
  })

  it('ends five samples behind its load, and begins behind an earlier one', () => {
    const record = recorded([run])
    expect(record.toS.at(-1)).toBeCloseTo(65 - 20.4, 9)
    expect(record.toS[0]).toBeCloseTo(-20.4, 9)
    expect(recorded([run], { laterThanS: 15 }).toS[0]).toBeCloseTo(16 - 20.4, 9)
  })

  it('has a pass for each run', () => {
    const record = recorded([
      { startS: 20.4, endS: 40.2 },
      { startS: 50.7, endS: 80.5 },
    ])
    const close = (value: number) => expect.closeTo(value, 9)
    expect(record.passes).toEqual([
      { startS: 0, endS: close(19.8) },
      { startS: close(30.3), endS: close(60.1) },
    ])
    expect(insideOf(record, 1)[0]).toBeCloseTo(52 - 20.4, 9)
    expect(insideOf(record, -1).some((toS) => Math.abs(toS - (45 - 20.4)) < 1e-6)).toBe(true)
  })

  it('takes the load as one pass where it has no runs, its ends as told at the ends of the log', () => {
    const { passes } = recorded([{ startS: -10, endS: 200 }], { toldRuns: [] })
    expect(passes).toEqual([{ startS: 0, endS: 99 }])
  })

  it('guesses idle power where none was seen: 6 % of the work', () => {
    const { idleW, idleSeen } = recorded([{ startS: -10, endS: 200 }], {
      toldRuns: [{ startS: 0, endS: 99 }],
    })
    expect(idleSeen).toBe(false)
    expect(idleW).toBeCloseTo(6, 9)
  })

  it('lets a sample after a gap speak for one interval', () => {
    const record = recorded([run], { keep: (s) => s < 30 || s > 34 })
    const at = Array.from(record.toS).findIndex((toS) => Math.abs(toS - (35 - 20.4)) < 1e-6)
    expect(record.fromS[at]).toBeCloseTo(34 - 20.4, 9)
    const steps = sampleSteps(record)
    expect(steps[at]).toBeCloseTo(6, 9)
    expect(steps[at + 1]).toBeCloseTo(1, 9)
    expect(steps[0]).toBeCloseTo(1, 9)
  })

  it('goes by its own sampling interval, and by the power that a run begins with', () => {
    // A sample each 2 s; 40.8 to 42 s is three fifths of one. A burst of 150 W for the first three, work at 100 W then until 120.6 s.
    const timesS = Float64Array.from({ length: 100 }, (_, i) => 2 * i)
    const powerW = timesS.map((s) =>
      s === 42
        ? 10 + 0.6 * 140
        : s > 42 && s <= 46
          ? 150
          : s > 46 && s <= 120
            ? 100
            : s === 122
              ? 10 + 0.3 * 90
              : 10,
    )
    const runs = [{ startS: 40, endS: 121 }]
    const load = { startS: 40, endS: 121, runs, spikesAtS: [], noiseW: 0.5, autocorrelation: 0 }
    const record = makeLoadRecord(traceOf(timesS, powerW), load as never)
    expect(record.passes[0]!.endS).toBeCloseTo(120.6 - 40.8, 9)
    expect(record.toS[21]).toBeCloseTo(42 - 40.8, 9)
    expect(record.toS.at(-1)).toBeCloseTo(130 - 40.8, 9)
    expect(record.fromS[0]).toBeCloseTo(-2 - 40.8, 9)
    // A fifth of a second is a tenth of an interval: the sample that ends 0.6 s before the run's end lies inside.
    const inside = insideOf(record, 0)
    expect([inside[0], inside.at(-1)]).toEqual([44 - 40.8, 120 - 40.8].map((s) => expect.closeTo(s, 9)))
  })
})
