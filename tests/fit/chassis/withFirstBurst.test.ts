import { describe, expect, it } from 'vitest'
import type { ChassisFit } from '../../../src/fit/chassis/chooseChassisFit.js'
import type { LoadRecord } from '../../../src/fit/chassis/loadRecord.js'
import { withFirstBurst } from '../../../src/fit/chassis/withFirstBurst.js'
import type { LoopMachine } from '../../../src/physics/loop/loopMachine.js'

/** A machine that holds its peak for 8 s and 60 W then. */
const machineFor = ([peakW]: readonly number[]): LoopMachine => ({
  idleW: 10,
  peakW: peakW!,
  budgets: [],
  givesWay: 'latch',
  heat: null,
  timedSteps: [{ limitW: 60, afterS: 8 }],
  responseS: 0,
})

function fitOf(parts: Partial<ChassisFit> = {}): ChassisFit {
  const parameters = [100, 8, 60]
  const fit = {
    kind: 'timed',
    parameters,
    machineFor,
    machine: machineFor(parameters),
    logErrors: [0.5, 0.01, 0.02],
  }
  return { ...fit, ...parts } as unknown as ChassisFit
}

/** Two passes of 20 s with a pause of 10 s, a sample a second; power of the first pass's first samples as told. */
function record(burst: readonly number[], parts: Partial<LoadRecord> = {}): LoadRecord {
  const toS = Float64Array.from({ length: 50 }, (_, i) => i + 1)
  return {
    idleW: 10,
    idleSeen: true,
    passes: [
      { startS: 0, endS: 20 },
      { startS: 30, endS: 50 },
    ],
    fromS: toS.map((s) => s - 1),
    toS,
    powerW: toS.map((s) => burst[s - 1] ?? (s <= 20 ? 60 : s <= 30 ? 10 : 120)),
    temperatureC: null,
    pass: Int16Array.from(toS, (s) => (s <= 20 ? 0 : s <= 30 ? -1 : 1)),
    noiseW: 1,
    autocorrelation: 0,
    intervalS: 1,
    ...parts,
  }
}

const burst = [96, 94, 95, 97, 93, 95, 96, 94]

describe('the burst of a loop', () => {
  it('is the mean of what the first run shows while the machine holds its peak', () => {
    const { parameters, machine, logErrors } = withFirstBurst(record(burst), fitOf())
    expect(parameters).toEqual([95, 8, 60])
    expect(machine.peakW).toBe(95)
    // Squares 1 + 1 + 0 + 4 + 4 + 0 + 1 + 1 over 7; the error of a mean of eight.
    expect(logErrors![0]).toBeCloseTo(Math.sqrt(12 / 7 / 8) / 95, 9)
    expect(logErrors!.slice(1)).toEqual([0.01, 0.02])
  })

  it('is known the less, the more neighbours err alike', () => {
    const { logErrors } = withFirstBurst(record(burst, { autocorrelation: 0.5 }), fitOf())
    expect(logErrors![0]).toBeCloseTo(Math.sqrt((3 * 12) / 7 / 8) / 95, 9)
  })

  it('leaves out samples of edges and spikes', () => {
    const edged = record([40, 94, 95, 300, 93, 95, 96, 97])
    edged.pass[0] = -1
    edged.pass[3] = -1
    expect(withFirstBurst(edged, fitOf()).parameters[0]).toBeCloseTo((94 + 95 + 93 + 95 + 96 + 97) / 6, 9)
  })

  it('is that of all of the first run, and of no other, where the machine holds its peak throughout', () => {
    const long = ([peakW]: readonly number[]) => ({
      ...machineFor([peakW!]),
      timedSteps: [],
    })
    const fit = fitOf({ machineFor: long, machine: long([100]) } as Partial<ChassisFit>)
    expect(withFirstBurst(record(new Array<number>(20).fill(95)), fit).parameters[0]).toBe(95)
  })

  it('stays as fitted where fewer than three samples show it, or one run alone, or nothing drops', () => {
    const short = record(burst)
    short.pass.fill(-1, 2, 20)
    const fit = fitOf()
    expect(withFirstBurst(short, fit)).toBe(fit)
    short.pass[2] = 0
    expect(withFirstBurst(short, fit)).not.toBe(fit)
    expect(withFirstBurst(record(burst, { passes: [{ startS: 0, endS: 20 }] }), fit)).toBe(fit)
    const flat = fitOf({ kind: 'flat' } as Partial<ChassisFit>)
    expect(withFirstBurst(record(burst), flat)).toBe(flat)
  })

  it('has no errors where the fit has none', () => {
    const bare = fitOf({ logErrors: undefined } as Partial<ChassisFit>)
    expect(withFirstBurst(record(burst), bare).logErrors).toBeUndefined()
  })
})
