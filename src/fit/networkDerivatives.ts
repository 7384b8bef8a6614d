import { filterPower, type ThermalRecord } from './filterPower.js'

/**
 * Derivatives of the network's residuals: exact in the zero-power temperature and the resistances, by one small difference in each time
 * constant, which is a tenth of the work of differencing everything.
 *
 * @param p - zero-power temperature, then ln R and ln tau of each term
 */
export function networkDerivatives(
  record: ThermalRecord,
  seen: readonly number[],
  p: readonly number[],
): number[][] {
  const columns: { readonly here: Float64Array; readonly beside: Float64Array; readonly rKPerW: number }[] =
    []
  for (let j = 1; j < p.length; j += 2) {
    const tauS = Math.exp(p[j + 1]!)
    const beside = filterPower(record, tauS * (1 + TAU_STEP))
    columns.push({ here: filterPower(record, tauS), beside, rKPerW: Math.exp(p[j]!) })
  }
  return seen.map((i) => [
    1,
    ...columns.flatMap(({ here, beside, rKPerW }) => [
      rKPerW * here[i]!,
      (rKPerW * (beside[i]! - here[i]!)) / Math.log1p(TAU_STEP),
    ]),
  ])
}

/** Relative step of a time constant: the square root of the rounding of a double, with a margin. */
const TAU_STEP = 1e-6
