import { describe, expect, it } from 'vitest'
import { filterPower } from '../../../src/fit/chassis/filterPower.js'
import { fitHeatBudget } from '../../../src/fit/chassis/fitHeatBudget.js'
import type { LoadRecord } from '../../../src/fit/chassis/loadRecord.js'
import { networkResiduals } from '../../../src/fit/chassis/networkResiduals.js'

/** Two averages of the power, of 10 and 120 s, that together stay at 60 W from when they reach it: what heat does. */
const TERMS = [
  { share: 0.4, tauS: 10 },
  { share: 0.6, tauS: 120 },
] as const
const LIMIT_W = 60

/** Power of such a load from 5 W, second by second: 100 W until it is held; and from which sample on it is. */
function heldByHeat(seconds: number): { readonly record: LoadRecord; readonly heldFrom: number } {
  const averages = TERMS.map(() => 5)
  let heldFrom = Number.POSITIVE_INFINITY
  const powerW = Float64Array.from({ length: seconds }, (_, i) => {
    const left = TERMS.map(({ tauS }) => Math.exp(-1 / tauS))
    const kept = TERMS.reduce((sum, { share }, k) => sum + share * averages[k]! * left[k]!, 0)
    const weight = TERMS.reduce((sum, { share }, k) => sum + share * (1 - left[k]!), 0)
    const watts = Math.min(100, (LIMIT_W - kept) / weight)
    if (watts < 100) heldFrom = Math.min(heldFrom, i)
    TERMS.forEach((_, k) => {
      averages[k] = watts + (averages[k]! - watts) * left[k]!
    })
    return watts
  })
  const toS = powerW.map((_, i) => i + 1)
  const record: LoadRecord = {
    idleW: 5,
    idleSeen: true,
    passes: [{ startS: 0, endS: seconds }],
    fromS: toS.map((s) => s - 1),
    toS,
    powerW,
    temperatureC: null,
    pass: new Int16Array(seconds),
    noiseW: 0.1,
    autocorrelation: 0,
    intervalS: 1,
  }
  return { record, heldFrom }
}

describe('what heat does to the power of a load', () => {
  it('is told in watts: averages whose weighted sum stays at its limit, long ones and short ones', () => {
    const { record, heldFrom } = heldByHeat(900)
    const { limitW, terms } = fitHeatBudget(record, (i) => i >= heldFrom)!
    expect(limitW).toBeCloseTo(LIMIT_W, 0)
    expect(terms.reduce((sum, { share }) => sum + share, 0)).toBeCloseTo(1, 9)
    const shareOf = (from: number, to: number) =>
      terms.reduce((sum, { share, tauS }) => sum + (tauS >= from && tauS < to ? share : 0), 0)
    expect(shareOf(4, 25)).toBeCloseTo(0.4, 1)
    expect(shareOf(60, 240)).toBeCloseTo(0.6, 1)
    // None is shorter than a sample or longer than the load.
    expect(Math.min(...terms.map(({ tauS }) => tauS))).toBeGreaterThanOrEqual(1)
    expect(Math.max(...terms.map(({ tauS }) => tauS))).toBeLessThanOrEqual(900 * (1 + 1e-9))
  })

  it('takes samples within work alone', () => {
    const { record, heldFrom } = heldByHeat(900)
    record.powerW.fill(300, 800)
    record.pass.fill(-1, 800)
    expect(fitHeatBudget(record, (i) => i >= heldFrom)!.limitW).toBeCloseTo(LIMIT_W, 0)
  })

  it('is not told by fewer than ten held samples', () => {
    const { record, heldFrom } = heldByHeat(900)
    expect(fitHeatBudget(record, (i) => i >= heldFrom && i < heldFrom + 9)).toBeNull()
    expect(fitHeatBudget(record, (i) => i >= heldFrom && i < heldFrom + 10)).not.toBeNull()
  })
})

describe('what a network misses of a temperature', () => {
  const record = {
    lengthsS: [1, 1, 2, 1, 1],
    powerW: [50, 50, 20, 80, 60],
    temperatureC: [30, Number.NaN, 41, 52, 50],
    restedW: 10,
  }
  const seen = [0, 2, 3, 4]
  const parameters = [21, Math.log(0.5), Math.log(3), Math.log(0.2), Math.log(40)]

  it('is resistance times power behind each of its stages, above the temperature without power', () => {
    const { residuals } = networkResiduals(record, seen)
    const [fast, slow] = [3, 40].map((tauS) => filterPower(record, tauS, seen).valuesW)
    for (let again = 0; again < 2; again++) {
      expect([...residuals(parameters)]).toEqual(
        seen.map((i, k) =>
          expect.closeTo(21 + 0.5 * fast![k]! + 0.2 * slow![k]! - record.temperatureC[i]!, 9),
        ),
      )
    }
  })

  it('changes with its parameters as differences of it do, also after many others were tried', () => {
    const { residuals, jacobianColumns } = networkResiduals(record, seen)
    for (let other = 1; other < 8; other++) residuals(parameters.map((value) => value + other / 10))
    const columns = jacobianColumns(parameters)
    expect(columns).toHaveLength(5)
    columns.forEach((column, j) => {
      const at = (step: number) => residuals(parameters.map((value, k) => (k === j ? value + step : value)))
      const [above, below] = [at(1e-5), at(-1e-5)]
      column.forEach((slope, k) => {
        expect(slope).toBeCloseTo((above[k]! - below[k]!) / 2e-5, 5)
      })
    })
  })
})
