/** Placeholder of the union of score-curve shapes; every member gives a rate for a power. */
export type ScoreCurve = { readonly shape: 'power-law'; readonly scale: number; readonly exponent: number }

/** Rate (score per run, or 1/score when lower is better) at a constant power in watts. */
export function rateAt(curve: ScoreCurve, powerW: number): number {
  return curve.scale * powerW ** curve.exponent
}
