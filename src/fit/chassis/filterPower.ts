/** Power and temperature of consecutive sampling intervals: lengths in s, mean power in W, temperature at their ends in degC. */
export interface ThermalRecord {
  readonly lengthsS: ArrayLike<number>
  readonly powerW: ArrayLike<number>
  /** NaN where a sample has none. */
  readonly temperatureC: ArrayLike<number>
  /** Power that had been drawn long before the first interval, W. */
  readonly restedW: number
}

/** Power behind a first-order low-pass, W, at chosen intervals. */
export interface FilteredPower {
  readonly valuesW: Float64Array
  /** Derivatives by ln tau, W. */
  readonly slopesW: Float64Array
}

/**
 * The power behind a first-order low-pass, and its derivative by ln tau, at the ends of chosen intervals.
 *
 *   y_i = P_i + (y_i-1 - P_i) d,  d = exp(-length / tau),  dd / d ln tau = d length / tau
 *
 * @param chosen - indices of intervals, rising
 */
export function filterPower(record: ThermalRecord, tauS: number, chosen: readonly number[]): FilteredPower {
  const { lengthsS, powerW, restedW } = record
  const valuesW = new Float64Array(chosen.length)
  const slopesW = new Float64Array(chosen.length)
  let value = restedW
  let slope = 0
  let lengthS = 0
  let decay = 1
  let decaySlope = 0
  let i = 0
  for (let k = 0; k < chosen.length; k++) {
    for (const end = chosen[k]!; i <= end; i++) {
      // Steps of a log are mostly alike: their decay is worth remembering.
      if (lengthsS[i]! !== lengthS) {
        lengthS = lengthsS[i]!
        decay = Math.exp(-lengthS / tauS)
        decaySlope = (decay * lengthS) / tauS
      }
      const power = powerW[i]!
      const above = value - power
      slope = slope * decay + above * decaySlope
      value = power + above * decay
    }
    valuesW[k] = value
    slopesW[k] = slope
  }
  return { valuesW, slopesW }
}
