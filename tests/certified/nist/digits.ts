/**
 * Correct digits: -log10 of the largest relative error (NIST's "log relative error"), at most `cap`; the absolute error
 * stands in where the certified value is 0. Anything that is not a finite number has no correct digit.
 */
export function digits(estimates: ArrayLike<number>, certified: readonly number[], cap: number): number {
  const errors = certified.map((exact, i) => {
    const error = Math.abs(estimates[i]! - exact) / (exact === 0 ? 1 : Math.abs(exact))
    return Number.isFinite(error) ? error : 1
  })
  return Math.max(0, Math.min(cap, -Math.log10(Math.max(...errors))))
}
