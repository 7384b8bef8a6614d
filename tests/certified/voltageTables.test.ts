import { readFileSync } from 'node:fs'
import { describe, expect, it } from 'vitest'
import { fitChip } from '../../src/fit/chip/fitChip.js'
import { estimateFromDraws } from '../../src/numeric/statistics/estimate.js'
import { quantile } from '../../src/numeric/statistics/quantile.js'
import { elasticityAt, rateAt, type VoltageFloor } from '../../src/physics/chip/scoreCurve.js'

interface Table {
  readonly path: string
  readonly clockMHzVoltageV: readonly (readonly [number, number])[]
}

const published = JSON.parse(readFileSync(new URL('voltageTables.json', import.meta.url), 'utf8')) as {
  readonly elasticityOfLastStep: Readonly<Record<'p25' | 'median' | 'p75', number>>
  readonly tables: readonly Table[]
}

/** Clock relative to the top, and dynamic power C V² f relative to 100 W at the top. */
function pointsOf(table: Table): readonly { readonly clock: number; readonly powerW: number }[] {
  const [topF, topV] = table.clockMHzVoltageV.at(-1)!
  return table.clockMHzVoltageV.map(([f, v]) => ({
    clock: f / topF,
    powerW: (100 * f * v * v) / (topF * topV * topV),
  }))
}

describe('published voltage-frequency tables (Linux 6.1.192 device trees)', () => {
  it('have the elasticities of the last step that the prior is grounded in', () => {
    const elasticities = published.tables.map((table) => {
      const [below, top] = pointsOf(table).slice(-2)
      return Math.log(top!.clock / below!.clock) / Math.log(top!.powerW / below!.powerW)
    })
    expect(elasticities).toHaveLength(47)
    expect(quantile(elasticities, 0.5)).toBeCloseTo(published.elasticityOfLastStep.median, 2)
    expect(quantile(elasticities, 0.25)).toBeCloseTo(published.elasticityOfLastStep.p25, 2)
    expect(quantile(elasticities, 0.75)).toBeCloseTo(published.elasticityOfLastStep.p75, 2)
  })

  it('are foretold at the top clock from points below 85 % of it, within the interval for most tables', () => {
    const outcomes = published.tables
      // Every other table: the fits of all take longer than the check is worth.
      .filter((_, i) => i % 2 === 0)
      .map((table) => pointsOf(table).filter(({ clock }) => clock >= 0.4))
      .map((points) => ({ known: points.filter(({ clock }) => clock <= 0.85), top: points.at(-1)! }))
      .filter(({ known }) => known.length >= 3)
      .map(({ known, top }) => {
        const runs = known.map(({ clock, powerW }, i) => ({
          sheet: 'table',
          startS: 100 * i,
          endS: null,
          score: 1000 * clock,
          profile: { powersW: [powerW], secondsS: [60], meanW: powerW },
        }))
        const { chip } = fitChip({
          name: 'table',
          workload: { name: 'clock', score: 'kHz', better: 'higher' },
          runs,
        })
        const values = chip.draws.map(({ curve }) => rateAt(curve, top.powerW))
        const { low, high, value } = estimateFromDraws({ values })
        return {
          error: Math.abs(value / (1000 * top.clock) - 1),
          holds: low <= 1000 * top.clock && 1000 * top.clock <= high,
        }
      })
    expect(outcomes.length).toBeGreaterThanOrEqual(12)
    expect(
      quantile(
        outcomes.map(({ error }) => error),
        0.5,
      ),
    ).toBeLessThan(0.04)
    expect(outcomes.filter(({ holds }) => holds).length / outcomes.length).toBeGreaterThanOrEqual(0.75)
  }, 60_000)
})

describe('the alpha-power law (Sakurai and Newton 1990) and the cube law', () => {
  // Elasticity (a V / (V - Vt) - 1) / (a V / (V - Vt) + 1), recomputed from the formula to four digits.
  it.each([
    [0.7, 0.3, 1.3, 0.3893],
    [1.1, 0.3, 1.3, 0.2825],
    [0.9, 0.4, 1.5, 0.4595],
    [0.7, 0.4, 2, 0.6471],
  ])(
    'V %d, Vt %d, alpha %d: the voltage-floor curve has elasticity %d at its reference',
    (v, vt, alpha, elasticity) => {
      const clockPerVoltage = (alpha * v) / (v - vt) - 1
      expect(elasticityAt(dynamicOnly(1 / clockPerVoltage), 100)).toBeCloseTo(elasticity, 4)
    },
  )

  it('voltage in proportion to clock gives the cube law, 1/3', () => {
    expect(elasticityAt(dynamicOnly(1), 100)).toBeCloseTo(1 / 3, 10)
  })

  it('at the voltage floor clock is in proportion to dynamic power', () => {
    expect(elasticityAt({ ...dynamicOnly(0.5), floorVoltage: 1.2 }, 50)).toBeCloseTo(1, 10)
  })
})

/** A chip without fixed power, leakage or memory, whose ln voltage rises by `slope` per ln clock at 100 W. */
function dynamicOnly(slope: number): VoltageFloor {
  return {
    shape: 'voltage-floor',
    scale: 1,
    referenceW: 100,
    topW: null,
    bend: null,
    fixedW: 0,
    leakageW: 0,
    dynamicW: 100,
    linear: slope,
    quadratic: 0,
    voltageClock: 1,
    floorVoltage: 0.1,
    memoryShare: 0,
    overlap: 1,
  }
}
