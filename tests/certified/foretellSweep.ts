import { PowerRegression } from 'ml-regression'
import { fitChip } from '../../src/fit/chip/fitChip.js'
import { weightedQuantiles } from '../../src/numeric/statistics/quantile.js'
import { rateAt } from '../../src/physics/chip/scoreCurve.js'

/** A published sweep: mean power in W and rate in any unit, by rising power. */
export type SweepTable = readonly (readonly [powerW: number, rate: number])[]

/** `up`: the lower half is known, the next two levels are asked; `down`: the upper half and the next two below; `inside`: all but the middle one. */
export type Direction = 'up' | 'down' | 'inside'
export const DIRECTIONS: readonly Direction[] = ['up', 'down', 'inside']

/** What the fit of the known levels says of one that it wasn't given. */
export interface Foretold {
  readonly direction: Direction
  readonly powerW: number
  /** Ratio to the nearest end of the known range, >= 1; 1 inside. */
  readonly distance: number
  /** Median over the published rate, less 1. */
  readonly error: number
  /** The same of a power law: least squares through the known levels, in logarithms. */
  readonly powerLawError: number
  /** The 90 % interval holds the published rate. */
  readonly held: boolean
  /** Full width of the 90 % interval over the median. */
  readonly width: number
}

/** Fits the known levels as a test sheet of noted levels would be fitted, and asks for the others. Empty where fewer than two levels would be known. */
export function foretellSweep(table: SweepTable, direction: Direction): readonly Foretold[] {
  const { known, asked } = split(table, direction)
  if (known.length < 2 || asked.length === 0) return []
  const { chip } = fitChip({
    name: 'published',
    workload: { name: 'published', score: 'points', better: 'higher' },
    runs: known.map(([powerW, rate]) => ({
      sheet: 'sweep',
      startS: 0,
      endS: null,
      score: rate,
      profile: { powersW: [powerW], secondsS: [60], meanW: powerW },
      // Means that a program worked out: src/machine/scoredRuns.ts.
      powerUncertainty: 0.015,
    })),
  })
  const law = new PowerRegression(
    known.map(([powerW]) => powerW),
    known.map(([, rate]) => rate),
  )
  const weights = chip.draws.map(({ weight }) => weight)
  return asked.map(([powerW, rate]) => {
    const rates = chip.draws.map(({ curve }) => rateAt(curve, powerW))
    const [low, median, high] = weightedQuantiles(rates, weights, [0.05, 0.5, 0.95]) as [
      number,
      number,
      number,
    ]
    return {
      direction,
      powerW,
      distance: Math.max(1, powerW / known.at(-1)![0], known[0]![0] / powerW),
      error: median / rate - 1,
      powerLawError: law.predict(powerW) / rate - 1,
      held: low <= rate && rate <= high,
      width: (high - low) / median,
    }
  })
}

function split(
  table: SweepTable,
  direction: Direction,
): { readonly known: SweepTable; readonly asked: SweepTable } {
  const half = Math.ceil(table.length / 2)
  if (direction === 'up') return { known: table.slice(0, half), asked: table.slice(half, half + 2) }
  const from = table.length - half
  if (direction === 'down')
    return { known: table.slice(from), asked: table.slice(Math.max(0, from - 2), from) }
  const middle = Math.floor(table.length / 2)
  return { known: table.filter((_, k) => k !== middle), asked: [table[middle]!] }
}
