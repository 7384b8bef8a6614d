/**
 * A chip whose clock is x times that at the reference power, where voltage and clock are both 1:
 *
 *   P(x) = fixedW + leakageW v(x) + dynamicW x v(x)²
 *   v(x) = max(floorVoltage, 1 + linear (u - 1) + quadratic (u² - 1)),  u = x / voltageClock
 *   rate(x) = ((1 - memoryShare) x^-overlap + memoryShare)^(-1 / overlap)
 *
 * Dynamic power is C V² f; leakage grows about as the voltage. `overlap` 1 adds compute and memory time; larger values
 * let them overlap, up to whichever is longer.
 *
 * @source P = C V² f: Linux kernel documentation, devicetree/bindings/arm/cpus.yaml, dynamic-power-coefficient;
 * compute and memory time added: common practice, no source
 */
export interface VoltageFloorShape {
  readonly fixedW: number
  readonly leakageW: number
  readonly dynamicW: number
  readonly linear: number
  readonly quadratic: number
  /** Clock at which the voltage polynomial is 1: 1, or the clock where the floor ends when that is above 1. */
  readonly voltageClock: number
  readonly floorVoltage: number
  readonly memoryShare: number
  readonly overlap: number
}

/** Rate at a power, relative to that at the reference power; 0 where nothing is left for the clock. */
export function relativeRate(shape: VoltageFloorShape, powerW: number): number {
  const clock = clockAtPower(shape, powerW)
  return clock > 0 ? rateAtClock(shape, clock) : 0
}

function rateAtClock({ memoryShare: m, overlap: n }: VoltageFloorShape, clock: number): number {
  if (m === 0) return clock
  if (n === 1) return 1 / ((1 - m) / clock + m)
  return ((1 - m) * clock ** -n + m) ** (-1 / n)
}

/**
 * `relativeRate` at powers that rise.
 *
 * @param powersW - W, rising from place `from` on
 * @param out - receives a rate for each power from that place on
 */
export function fillRelativeRates(
  shape: VoltageFloorShape,
  powersW: ArrayLike<number>,
  out: Float64Array,
  from: number,
): void {
  fillClocks(shape, powersW, out, from)
  for (let g = from; g < out.length; g++) out[g] = out[g]! > 0 ? rateAtClock(shape, out[g]!) : 0
}

/** `relativeRateElasticity` at powers that rise; 0 where the rate is 0. */
export function fillRelativeElasticities(
  shape: VoltageFloorShape,
  powersW: ArrayLike<number>,
  out: Float64Array,
  from: number,
): void {
  fillClocks(shape, powersW, out, from)
  for (let g = from; g < out.length; g++) {
    out[g] = out[g]! > 0 ? elasticityAtClock(shape, out[g]!, powersW[g]!) : 0
  }
}

/**
 * Clocks at powers that rise. Each is looked for from the tangent at the one before: power is convex in clock, so that the
 * tangent reaches the next power at or beyond its root, as near as the powers lie together.
 */
function fillClocks(
  shape: VoltageFloorShape,
  powersW: ArrayLike<number>,
  out: Float64Array,
  from: number,
): void {
  const { fixedW, leakageW, dynamicW, linear, quadratic, voltageClock, floorVoltage } = shape
  // The voltage as a polynomial of the clock itself.
  const v0 = 1 - linear - quadratic
  const v1 = linear / voltageClock
  const v2 = quadratic / (voltageClock * voltageClock)
  const atFloorW = fixedW + leakageW * floorVoltage
  const floorSlope = dynamicW * floorVoltage * floorVoltage
  const touchesW = fixedW + leakageW + dynamicW * voltageClock
  let slope = slopeAt(shape, voltageClock, 1)
  const touchSlope = slope
  let [nearW, near] = [touchesW, voltageClock]
  for (let g = from; g < out.length; g++) {
    const powerW = powersW[g]!
    let x = (powerW - atFloorW) / floorSlope
    if (v0 + x * (v1 + x * v2) > floorVoltage) {
      x = Math.min(x, voltageClock + (powerW - touchesW) / touchSlope, near + (powerW - nearW) / slope)
      for (let i = 0; i < NEWTON_STEPS; i++) {
        const v = v0 + x * (v1 + x * v2)
        const rise = v1 + 2 * x * v2
        slope = leakageW * rise + dynamicW * v * (v + 2 * x * rise)
        const step = (fixedW + v * (leakageW + dynamicW * x * v) - powerW) / slope
        x -= step
        if (Math.abs(step) <= NEWTON_TOLERANCE * x) break
      }
      nearW = powerW
      near = x
    }
    out[g] = x
  }
}

/** d ln rate / d ln P at a power; undefined where the rate is 0. */
export function relativeRateElasticity(shape: VoltageFloorShape, powerW: number): number | undefined {
  const x = clockAtPower(shape, powerW)
  return x > 0 ? elasticityAtClock(shape, x, powerW) : undefined
}

function elasticityAtClock(shape: VoltageFloorShape, x: number, powerW: number): number {
  const { memoryShare: m, overlap: n } = shape
  const computeShare = (1 - m) / (1 - m + m * x ** n)
  return (computeShare * powerW) / (x * powerSlope(shape, x))
}

/** Package power at a relative clock, W. */
export function powerAtClock(shape: VoltageFloorShape, clock: number): number {
  const v = voltageAtClock(shape, clock)
  return shape.fixedW + shape.leakageW * v + shape.dynamicW * clock * v * v
}

/**
 * Relative clock that a power pays for: the inverse of `powerAtClock`. At the floor voltage it is a straight line; above it
 * Newton's method falls onto the root. Power is convex in clock, so that the floor's line and the tangent where the voltage is
 * 1 both reach a power at or beyond the root: the nearer of the two is where it starts.
 */
export function clockAtPower(shape: VoltageFloorShape, powerW: number): number {
  const v0 = shape.floorVoltage
  const onFloor = (powerW - shape.fixedW - shape.leakageW * v0) / (shape.dynamicW * v0 * v0)
  if (polynomialVoltage(shape, onFloor) <= v0) return onFloor
  let x = Math.min(onFloor, clockOnTangent(shape, powerW))
  for (let i = 0; i < NEWTON_STEPS; i++) {
    const v = polynomialVoltage(shape, x)
    const excess = shape.fixedW + shape.leakageW * v + shape.dynamicW * x * v * v - powerW
    const step = excess / slopeAt(shape, x, v)
    x -= step
    if (Math.abs(step) <= NEWTON_TOLERANCE * x) break
  }
  return x
}

/** Each step doubles the right digits: three to six are taken. */
const NEWTON_STEPS = 50
/** A relative step this small leaves an error of its square. */
const NEWTON_TOLERANCE = 1e-8

/** Clock at which the tangent of power over clock, laid where the voltage is 1, reaches a power. */
function clockOnTangent(shape: VoltageFloorShape, powerW: number): number {
  const { voltageClock } = shape
  const touchesW = shape.fixedW + shape.leakageW + shape.dynamicW * voltageClock
  return voltageClock + (powerW - touchesW) / slopeAt(shape, voltageClock, 1)
}

/** Voltage at a relative clock, relative to that at the reference power. */
function voltageAtClock(shape: VoltageFloorShape, clock: number): number {
  return Math.max(shape.floorVoltage, polynomialVoltage(shape, clock))
}

function polynomialVoltage(shape: VoltageFloorShape, clock: number): number {
  const u = clock / shape.voltageClock
  return 1 + shape.linear * (u - 1) + shape.quadratic * (u * u - 1)
}

function powerSlope(shape: VoltageFloorShape, clock: number): number {
  const v = polynomialVoltage(shape, clock)
  if (v <= shape.floorVoltage) return shape.dynamicW * shape.floorVoltage ** 2
  return slopeAt(shape, clock, v)
}

function slopeAt(shape: VoltageFloorShape, x: number, v: number): number {
  const rise = (shape.linear + (2 * shape.quadratic * x) / shape.voltageClock) / shape.voltageClock
  return shape.leakageW * rise + shape.dynamicW * v * (v + 2 * x * rise)
}
