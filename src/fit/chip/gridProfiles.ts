import { fillRates, type ScoreCurve } from '../../physics/chip/scoreCurve.js'
import type { PowerProfile } from './profileRun.js'

/**
 * All runs' power profiles on one shared grid of powers, so that a candidate curve is evaluated once a grid point instead
 * of once a sample. `weights[k][g]` is the share of run k's time at `powersW[g]`, which rises.
 */
export interface ProfileGrid {
  readonly powersW: Float64Array
  readonly weights: readonly Float64Array[]
  /** Where the weights of each run begin to differ from 0, and where they end: a run takes up a few places of the grid. */
  readonly spans: readonly { readonly from: number; readonly to: number }[]
  /** Room for one curve's rates, reused between candidates. */
  readonly rates: Float64Array
}

/**
 * Step of the grid in ln power. Each sample is shared between its two neighbours so that its ln power is kept; the error
 * in a run's rate is below step² / 8 x |r''| / r, about 5e-5: a fortieth of a quiet run's scatter.
 */
const GRID_STEP = 0.04

/** Sorts the samples of every run into one grid of ln power. */
export function gridProfiles(profiles: readonly PowerProfile[]): ProfileGrid {
  const cells = profiles.map(cellsOf)
  const used = [...new Set(cells.flatMap((cell) => [...cell.keys()]))].sort((a, b) => a - b)
  const place = new Map(used.map((cell, g) => [cell, g]))
  const weights = cells.map((cell) => {
    const row = new Float64Array(used.length)
    for (const [index, share] of cell) row[place.get(index)!] = share
    return row
  })
  const powersW = Float64Array.from(used, (cell) => Math.exp(cell * GRID_STEP))
  const spans = weights.map((row) => ({
    from: Math.max(
      0,
      row.findIndex((weight) => weight !== 0),
    ),
    to: row.findLastIndex((weight) => weight !== 0) + 1,
  }))
  return { powersW, weights, spans, rates: new Float64Array(powersW.length) }
}

/**
 * ln of the time-mean rate of every run under a curve; -Infinity where a run would score nothing.
 *
 * @param out - receives one value for each run, from place `from` on
 */
export function logRunRates(grid: ProfileGrid, curve: ScoreCurve, out: Float64Array, from: number): void {
  const { powersW, weights, spans, rates } = grid
  fillRates(curve, powersW, rates)
  for (let k = 0; k < weights.length; k++) {
    const row = weights[k]!
    const { to } = spans[k]!
    let mean = 0
    for (let g = spans[k]!.from; g < to; g++) mean += row[g]! * rates[g]!
    out[from + k] = Math.log(mean)
  }
}

/** Lowest power that cells tell apart, W: what is below buys no score. */
const LOWEST_W = 0.01

function cellsOf(profile: PowerProfile): Map<number, number> {
  const total = profile.secondsS.reduce((sum, seconds) => sum + seconds, 0)
  const cells = new Map<number, number>()
  profile.powersW.forEach((powerW, i) => {
    const position = Math.log(Math.max(LOWEST_W, powerW)) / GRID_STEP
    const low = Math.floor(position)
    const share = profile.secondsS[i]! / total
    cells.set(low, (cells.get(low) ?? 0) + share * (1 - (position - low)))
    cells.set(low + 1, (cells.get(low + 1) ?? 0) + share * (position - low))
  })
  return cells
}
