import { readFileSync } from 'node:fs'
import { describe, expect, it } from 'vitest'
import { type ChipFit, fitChip } from '../../src/fit/chip/fitChip.js'
import { estimateFromDraws } from '../../src/numeric/statistics/estimate.js'
import { quantile } from '../../src/numeric/statistics/quantile.js'
import { rateAt } from '../../src/physics/chip/scoreCurve.js'

const published = JSON.parse(readFileSync(new URL('powerCapSweeps.json', import.meta.url), 'utf8')) as {
  /** Cap W, runtime s, energy J. */
  readonly workloads: readonly (readonly (readonly [number, number, number])[])[]
  /** Cap W, relative score, relative mean power. */
  readonly inference: { readonly rows: readonly (readonly [number, number, number])[] }
  readonly serving: { readonly rows: readonly (readonly [number, number, number])[] }
}

interface Point {
  readonly capW: number
  readonly powerW: number
  readonly rate: number
}

const sweeps = published.workloads.map((rows) =>
  rows.map(([capW, runtimeS, energyJ]): Point => ({ capW, powerW: energyJ / runtimeS, rate: 1 / runtimeS })),
)

describe('published sweeps of a power cap (Desai et al. 2025, four workloads on one board)', () => {
  it('caps of 90 to 105 W are foretold from 60 to 85 W, with intervals that hold at least 70 %', () => {
    const { errors, held } = foretell(
      (capW) => capW >= 60 && capW <= 85,
      (capW) => capW >= 90 && capW <= 105,
    )
    // On these four workloads a quadratic in log-log misses by 10.6 % in the median, a power law by more.
    expect(quantile(errors, 0.5)).toBeLessThan(0.1)
    // 75 %: one board whose four workloads bend alike, where 65 other tables' intervals hold 96 % upward (CHANGELOG).
    expect(held).toBeGreaterThanOrEqual(0.7)
  })

  it('caps up to 130 W, half as much again, are held by the interval', () => {
    const { held } = foretell(
      (capW) => capW >= 60 && capW <= 85,
      (capW) => capW >= 90,
    )
    // 75 %: one board whose four workloads bend alike, where 65 other tables' intervals hold 96 % upward (CHANGELOG).
    expect(held).toBeGreaterThanOrEqual(0.7)
  })

  it('caps between measured ones are met within 1 % in the median', () => {
    const known = [50, 70, 90, 110, 130]
    const { errors } = foretell(
      (capW) => known.includes(capW),
      (capW) => !known.includes(capW),
    )
    // Published comparison on seven workloads: quadratic in log-log 0.96 %, offset power law 3.4 %, power law 6.8 %.
    expect(quantile(errors, 0.5)).toBeLessThan(0.0096)
  })
})

describe('published scores at four caps (McDonald et al. 2022) and two (Samsi et al. 2023)', () => {
  it('the score at the highest cap lies in the interval that the three lower ones give', () => {
    const points = pointsOf(published.inference.rows)
    expect(holds(fitPoints(points.slice(1)), points[0]!)).toBe(true)
  })

  it('one score leaves room for an elasticity as low as 0.19 in the outer twentieth', () => {
    // A workload that waits for memory most of the time: rare, but the prior must not rule it out.
    const [full, capped] = pointsOf(published.serving.rows)
    const values = fitPoints([full!]).chip.draws.map(({ curve }) => rateAt(curve, capped!.powerW))
    const { low, high } = estimateFromDraws({ values, level: 0.99 })
    expect(low).toBeLessThan(capped!.rate)
    expect(high).toBeGreaterThan(capped!.rate)
  })
})

function pointsOf(rows: readonly (readonly [number, number, number])[]): readonly Point[] {
  return rows.map(([capW, rate, power]) => ({ capW, powerW: 250 * power, rate }))
}

function foretell(
  isKnown: (capW: number) => boolean,
  isAsked: (capW: number) => boolean,
): { readonly errors: readonly number[]; readonly held: number } {
  const outcomes = sweeps.flatMap((points) => {
    const fit = fitPoints(points.filter(({ capW }) => isKnown(capW)))
    return points
      .filter(({ capW }) => isAsked(capW))
      .map((point) => ({
        error: Math.abs(estimateAt(fit, point.powerW).value / point.rate - 1),
        holds: holds(fit, point),
      }))
  })
  return {
    errors: outcomes.map(({ error }) => error),
    held: outcomes.filter((outcome) => outcome.holds).length / outcomes.length,
  }
}

/** Scores are the published runtimes, lower is better. */
function fitPoints(points: readonly Point[]): ChipFit {
  return fitChip({
    name: 'board',
    workload: { name: 'published', score: 's', better: 'lower' },
    runs: points.map(({ powerW, rate }, i) => ({
      sheet: 'sweep',
      startS: 1000 * i,
      endS: null,
      score: 1 / rate,
      profile: { powersW: [powerW], secondsS: [1], meanW: powerW },
      // Means that were written down, one for each setting.
      powerUncertainty: 0.015,
    })),
  })
}

function estimateAt({ chip }: ChipFit, powerW: number) {
  return estimateFromDraws({ values: chip.draws.map(({ curve }) => rateAt(curve, powerW)) })
}

function holds(fit: ChipFit, { powerW, rate }: Point): boolean {
  const { low, high } = estimateAt(fit, powerW)
  return low <= rate && rate <= high
}
