import { type FilteredPower, filterPower, type ThermalRecord } from './filterPower.js'

/** What a network misses of a temperature, K, and how that changes with the parameters: one column each. */
export interface NetworkResiduals {
  readonly residuals: (p: readonly number[]) => Float64Array
  readonly jacobianColumns: (p: readonly number[]) => Float64Array[]
}

/**
 * Residuals of a Foster network and their derivatives, for least squares. Both need the same filtered powers, and derivatives
 * are mostly asked for where the residuals have just been.
 *
 * Parameters: zero-power temperature, then ln R and ln tau of each term.
 *
 * @param seen - indices of samples with a temperature, rising
 */
export function networkResiduals(record: ThermalRecord, seen: readonly number[]): NetworkResiduals {
  const measuredC = Float64Array.from(seen, (i) => record.temperatureC[i]!)
  const known = new Map<number, FilteredPower>()
  const filtered = (logTau: number, termCount: number): FilteredPower => {
    const before = known.get(logTau)
    if (before) return before
    // Room for a point and one that was tried from it.
    if (known.size >= 2 * termCount) known.delete(known.keys().next().value!)
    const power = filterPower(record, Math.exp(logTau), seen)
    known.set(logTau, power)
    return power
  }
  const termsOf = (p: readonly number[]) => {
    const count = (p.length - 1) / 2
    return Array.from({ length: count }, (_, j) => ({
      rKPerW: Math.exp(p[1 + 2 * j]!),
      ...filtered(p[2 + 2 * j]!, count),
    }))
  }
  return {
    residuals: (p) => {
      const missed = measuredC.map((temperatureC) => p[0]! - temperatureC)
      for (const { rKPerW, valuesW } of termsOf(p)) addScaled(missed, valuesW, rKPerW)
      return missed
    },
    jacobianColumns: (p) => [
      new Float64Array(seen.length).fill(1),
      ...termsOf(p).flatMap(({ rKPerW, valuesW, slopesW }) => [
        valuesW.map((value) => rKPerW * value),
        slopesW.map((slope) => rKPerW * slope),
      ]),
    ],
  }
}

function addScaled(target: Float64Array, values: Float64Array, factor: number): void {
  for (let i = 0; i < target.length; i++) target[i]! += factor * values[i]!
}
