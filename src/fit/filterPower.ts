/** Power and temperature of consecutive sampling intervals: lengths in s, mean power in W, temperature at their ends in degC. */
export interface ThermalRecord {
  readonly lengthsS: ArrayLike<number>
  readonly powerW: ArrayLike<number>
  /** NaN where a sample has none. */
  readonly temperatureC: ArrayLike<number>
  /** Power that had been drawn long before the first interval, W. */
  readonly restedW: number
}

/** The power behind a first-order low-pass, at the end of each interval. */
export function filterPower(record: ThermalRecord, tauS: number): Float64Array {
  const values = new Float64Array(record.powerW.length)
  let value = record.restedW
  let lengthS = 0
  let decay = 1
  for (let i = 0; i < values.length; i++) {
    // Steps of a log are mostly alike: their decay is worth remembering.
    if (record.lengthsS[i]! !== lengthS) {
      lengthS = record.lengthsS[i]!
      decay = Math.exp(-lengthS / tauS)
    }
    const power = record.powerW[i]!
    value = power + (value - power) * decay
    values[i] = value
  }
  return values
}
