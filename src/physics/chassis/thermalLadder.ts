import { InputError } from '../../errors.js'
import type { ThermalStage } from './thermalNetwork.js'

/** One rung of a Cauer ladder, in order from the heat source; the last resistance goes to ambient. */
export interface ThermalRung {
  readonly rKPerW: number
  readonly capacityJPerK: number
}

/**
 * The Cauer ladder with exactly the same step response as a Foster network.
 *
 * For whoever reads a fitted network: a ladder's rungs are places, a Foster network's terms are not, so only a ladder may be read as "die, heat pipe, air".
 * Z(s) = N(s)/D(s) is expanded as a continued fraction: 1/Z = s C_1 + Y_1, 1/Y_1 = R_1 + Z_2, and so on.
 *
 * Repeated division loses digits as terms crowd together; keep to the six or fewer that a log supports.
 *
 * @param stages - Foster terms, R > 0 and distinct time constants > 0
 * @returns as many rungs as terms
 * @throws InputError `thermal-stages-not-distinct`
 * @source Foster's and Cauer's canonical forms of a driving-point impedance
 * @example fosterToCauer([{ rKPerW: 0.5, tauS: 20 }]) // [{ rKPerW: 0.5, capacityJPerK: 40 }]
 */
export function fosterToCauer(stages: readonly ThermalStage[]): ThermalRung[] {
  refuseUnusable(stages)
  let { numerator, denominator } = asFraction(stages)
  const rungs: ThermalRung[] = []
  for (let left = stages.length; left > 0; left--) {
    const capacityJPerK = (denominator[left] as number) / (numerator[left - 1] as number)
    const admittance = denominator
      .slice(0, left)
      .map((d, i) => d - (i > 0 ? capacityJPerK * (numerator[i - 1] as number) : 0))
    const rKPerW = (numerator[left - 1] as number) / (admittance[left - 1] as number)
    rungs.push({ rKPerW, capacityJPerK })
    numerator = numerator.slice(0, left - 1).map((n, i) => n - rKPerW * (admittance[i] as number))
    denominator = admittance
  }
  return rungs
}

/**
 * The Foster network with exactly the same step response as a Cauer ladder: the inverse of `fosterToCauer`.
 *
 * Poles are the roots of the ladder's denominator, real and negative for positive parts, found between those of the
 * ladder without its first rung (they interlace); R_i are the residues there.
 *
 * @param rungs - from the heat source to ambient, all parts > 0
 * @returns Foster terms, slowest first
 * @throws InputError `thermal-rung-not-positive`
 * @source partial fractions of a driving-point impedance; interlacing of the poles of an RC ladder
 * @example cauerToFoster([{ rKPerW: 0.5, capacityJPerK: 40 }]) // [{ rKPerW: 0.5, tauS: 20 }]
 */
export function cauerToFoster(rungs: readonly ThermalRung[]): ThermalStage[] {
  if (rungs.some((r) => !(r.rKPerW > 0 && r.capacityJPerK > 0))) {
    throw new InputError(
      'thermal-rung-not-positive',
      'expected a resistance and a capacity above 0 in every rung',
    )
  }
  // Seen from its end, a ladder grows by one rung at a time, and each step adds one pole beside the old ones.
  let poles: number[] = []
  for (let from = rungs.length - 1; from >= 0; from--) {
    poles = interlacedRoots(rungs.slice(from), poles)
  }
  return poles.map((pole) => ({
    rKPerW: -1 / (pole * inverseImpedanceSlope(rungs, pole)),
    tauS: -1 / pole,
  }))
}

function refuseUnusable(stages: readonly ThermalStage[]): void {
  const taus = stages.map((s) => s.tauS).sort((a, b) => a - b)
  const usable =
    stages.every((s) => s.rKPerW > 0 && s.tauS > 0) &&
    taus.every((tau, i) => i === 0 || tau > (taus[i - 1] as number))
  if (!usable) {
    throw new InputError(
      'thermal-stages-not-distinct',
      'expected resistances and distinct time constants above 0',
    )
  }
}

/** Coefficients of Z(s) = numerator/denominator, constant term first. */
function asFraction(stages: readonly ThermalStage[]): {
  numerator: number[]
  denominator: number[]
} {
  let numerator: number[] = []
  let denominator = [1]
  for (const { rKPerW, tauS } of stages) {
    numerator = timesLinear(numerator, tauS)
    denominator.forEach((d, i) => {
      numerator[i] = (numerator[i] ?? 0) + rKPerW * d
    })
    denominator = timesLinear(denominator, tauS)
  }
  return { numerator, denominator }
}

function timesLinear(polynomial: readonly number[], slope: number): number[] {
  const product = new Array<number>(polynomial.length + 1).fill(0)
  polynomial.forEach((c, i) => {
    product[i] = (product[i] as number) + c
    product[i + 1] = (product[i + 1] as number) + c * slope
  })
  return product
}

/** Denominator of the ladder's impedance at s, by the recurrence of its voltages from the ambient end. */
function ladderDenominator(rungs: readonly ThermalRung[], s: number): number {
  let rise = 0
  let flow = 1
  for (let i = rungs.length - 1; i >= 0; i--) {
    const { rKPerW, capacityJPerK } = rungs[i] as ThermalRung
    rise += rKPerW * flow
    flow += s * capacityJPerK * rise
  }
  return flow
}

/** d(1/Z)/ds at a pole of Z, from the same recurrence carried with its derivative. */
function inverseImpedanceSlope(rungs: readonly ThermalRung[], s: number): number {
  let rise = 0
  let flow = 1
  let riseSlope = 0
  let flowSlope = 0
  for (let i = rungs.length - 1; i >= 0; i--) {
    const { rKPerW, capacityJPerK } = rungs[i] as ThermalRung
    rise += rKPerW * flow
    riseSlope += rKPerW * flowSlope
    flowSlope += capacityJPerK * (rise + s * riseSlope)
    flow += s * capacityJPerK * rise
  }
  return flowSlope / rise
}

/** Nearest to zero first: the slowest. */
function interlacedRoots(rungs: readonly ThermalRung[], inner: readonly number[]): number[] {
  const value = (s: number) => ladderDenominator(rungs, s)
  const edges = [0, ...inner, 0]
  let far = 2 * Math.min(-1e-12, ...inner)
  while (Math.sign(value(far)) === Math.sign(value(edges[edges.length - 2] as number))) far *= 2
  edges[edges.length - 1] = far
  return edges.slice(1).map((low, i) => bisected(value, low, edges[i] as number))
}

/** Halves a bracket down to neighbouring doubles. */
function bisected(value: (s: number) => number, low: number, high: number): number {
  const middle = (low + high) / 2
  if (middle === low || middle === high) return middle
  return Math.sign(value(middle)) === Math.sign(value(low))
    ? bisected(value, middle, high)
    : bisected(value, low, middle)
}
