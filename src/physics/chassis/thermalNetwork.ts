import { InputError } from '../../errors.js'

/** One term of a Foster network: a resistance in K/W with its time constant in s. The terms are not places. */
export interface ThermalStage {
  readonly rKPerW: number
  readonly tauS: number
}

/**
 * Temperature rise per watt `tS` seconds after a step of power: Z(t) = sum R_i (1 - exp(-t/tau_i)), K/W.
 *
 * @source thermal impedance in Foster form (JESD51 family)
 * @example thermalImpedance([{ rKPerW: 0.5, tauS: 20 }], 20) // 0.316
 */
export function thermalImpedance(stages: readonly ThermalStage[], tS: number): number {
  return stages.reduce((sum, { rKPerW, tauS }) => sum - rKPerW * Math.expm1(-tS / tauS), 0)
}

/** Shares of a settled rise as a network whose resistances add up to as much: for rises told in watts, K per W is then W per W. */
export function stagesOfShares(
  terms: readonly { readonly share: number; readonly tauS: number }[],
): ThermalStage[] {
  return terms.map(({ share, tauS }) => ({ rKPerW: share, tauS }))
}

/** Total resistance from the sensor to ambient, K/W: the step response after a long time. */
export function totalResistance(stages: readonly ThermalStage[]): number {
  return stages.reduce((sum, { rKPerW }) => sum + rKPerW, 0)
}

/**
 * Rises of the stages after a stretch at constant power, exact for any length: x' = R P + (x - R P) exp(-t/tau).
 *
 * @param risesK - rise of each stage over ambient, K, as many as stages
 * @param stretch - power in W for `forS` seconds
 * @returns new rises, K; their sum is the temperature above ambient
 * @source solution of tau x' = R P - x for constant P
 * @example advanceRises([0], [{ rKPerW: 0.5, tauS: 20 }], { powerW: 60, forS: 20 }) // [18.96]
 */
export function advanceRises(
  risesK: readonly number[],
  stages: readonly ThermalStage[],
  stretch: { readonly powerW: number; readonly forS: number },
): number[] {
  return stages.map(({ rKPerW, tauS }, i) => {
    const settledK = rKPerW * stretch.powerW
    return settledK + ((risesK[i] ?? 0) - settledK) * Math.exp(-stretch.forS / tauS)
  })
}

/**
 * The constant power that brings the temperature to exactly `riseK` above ambient after `forS` seconds:
 *
 *   P = (rise - sum x_i exp(-t/tau_i)) / Z(t)
 *
 * Stepping with it keeps a temperature pinned at its ceiling, which is how power gives way to heat; for long times it
 * tends to the power that can be held without end.
 *
 * @param state - present rises in K (as many as stages), the rise to reach in K, the time to reach it in s, > 0
 * @returns watts; may be negative when the ceiling can't be reached even without power
 * @source `advanceRises` solved for the power
 * @example powerToReach([{ rKPerW: 0.5, tauS: 20 }], { risesK: [30], riseK: 30, forS: 1 }) // 60
 */
export function powerToReach(
  stages: readonly ThermalStage[],
  state: { readonly risesK: ArrayLike<number>; readonly riseK: number; readonly forS: number },
): number {
  let keptK = 0
  let impedance = 0
  stages.forEach(({ rKPerW, tauS }, i) => {
    const decay = Math.exp(-state.forS / tauS)
    keptK += (state.risesK[i] ?? 0) * decay
    impedance += rKPerW * (1 - decay)
  })
  return (state.riseK - keptK) / impedance
}

/**
 * Power that heat allows without end: (T_ceiling - T_ambient) / sum R.
 *
 * @param stages - the network, total resistance > 0
 * @param temperatures - ceiling and ambient, degrees C
 * @returns watts, 0 when the ambient is at the ceiling or above
 * @throws InputError `no-thermal-resistance`
 * @source steady state of a thermal resistance
 * @example sustainablePower([{ rKPerW: 1.1, tauS: 90 }], { ceilingC: 95, ambientC: 22 }) // 66.4
 */
export function sustainablePower(
  stages: readonly ThermalStage[],
  temperatures: { readonly ceilingC: number; readonly ambientC: number },
): number {
  const resistance = totalResistance(stages)
  if (!(resistance > 0)) {
    throw new InputError(
      'no-thermal-resistance',
      `expected a total thermal resistance above 0 K/W, got ${resistance} K/W`,
    )
  }
  return Math.max(0, (temperatures.ceilingC - temperatures.ambientC) / resistance)
}
