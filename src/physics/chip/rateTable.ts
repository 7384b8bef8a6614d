import { rateAt, type ScoreCurve } from './scoreCurve.js'

/**
 * A score curve as a table that fills itself: the rate at powers 0.4 % apart, and straight lines in ln power between.
 *
 * Simulated loops ask one curve for thousands of powers that lie close together, and with finer cells would find few of them filled. Lines that
 * short miss a smooth curve by 2e-6 of the rate times its elasticity squared, and a kink by less than 1e-3 within its own cell.
 *
 * @returns rate at a power in W, as `rateAt`
 * @source error of linear interpolation, h² f'' / 8
 * @example rateTable({ shape: 'power-law', scale: 100, exponent: 0.5 })(64) // 800
 */
export function rateTable(curve: ScoreCurve): (powerW: number) => number {
  const pages: (Float64Array | undefined)[] = new Array(PAGES).fill(undefined)
  return (powerW) => {
    const position = Math.log(powerW / LOWEST_W) / STEP
    if (!(position >= 0 && position < PAGES * PAGE)) return rateAt(curve, powerW)
    const cell = Math.floor(position)
    const page = Math.floor(cell / PAGE)
    pages[page] ??= new Float64Array(PAGE + 1).fill(Number.NaN)
    const rates = pages[page]
    const at = cell - page * PAGE
    if (Number.isNaN(rates[at]!)) rates[at] = rateAt(curve, LOWEST_W * Math.exp(cell * STEP))
    if (Number.isNaN(rates[at + 1]!)) rates[at + 1] = rateAt(curve, LOWEST_W * Math.exp((cell + 1) * STEP))
    return rates[at]! + (position - cell) * (rates[at + 1]! - rates[at]!)
  }
}

/** ln of the ratio of neighbouring powers. */
const STEP = 4e-3
/** Below any processor's power; powers outside of the table are computed one by one. */
const LOWEST_W = 0.5
/** Cells that are made room for at once: a loop stays within a few pages. */
const PAGE = 16
/** Up to 1.4 kW. */
const PAGES = 125
