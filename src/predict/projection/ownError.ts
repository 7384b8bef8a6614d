import {
  ESTIMATE_EDGE,
  type Estimate,
  estimateEdge,
  estimateFromDraws,
} from '../../numeric/statistics/estimate.js'
import type { Chip } from '../../physics/chip/chip.js'
import type { Chassis } from '../../physics/loop/chassis.js'
import { leakageFactors } from './leakageFactors.js'
import { projectionDraws } from './projectTarget.js'
import { roomForFigures, writeFigures } from './runFigures.js'
import { targetMachines } from './targetMachines.js'

/** A chip with the chassis and the loop that it was tested in. */
export interface OwnTest {
  readonly chip: Chip
  readonly tested: Chassis
  readonly loop: { readonly runs: number; readonly gapS: number }
}

/**
 * Relative standard error that a model must have to miss its own machine's steady score as it does: what the scatter of the measured
 * runs and the spread of the chip's curves leave of ln(modelled / measured).
 *
 * It joins the interval of every projection from that test, so that a machine projected into its own chassis meets what it scored.
 *
 * @param measured - steady score as tested, with the scatter of runs in its interval
 */
export function ownError(test: OwnTest, measured: Estimate): number {
  const modelled = ownSteadyScore(test)
  const missed = Math.log(modelled.value / measured.value)
  return Math.sqrt(Math.max(0, missed ** 2 - errorOf(measured) ** 2 - errorOf(modelled) ** 2))
}

/** Relative standard error of an estimate. */
function errorOf({ low, high, level }: Estimate): number {
  return Math.log(high / low) / 2 / estimateEdge(level)
}

/** Curves that are run: their median is known to a tenth of their spread. */
const CURVES = 15

/** Steady score in the central machine, over curves of the chip. */
function ownSteadyScore({ chip, tested, loop }: OwnTest): Estimate {
  const stride = Math.max(1, Math.floor(chip.draws.length / CURVES))
  const draws = chip.draws.filter((_, k) => k % stride === 0)
  const { plans } = projectionDraws({ ...chip, draws }, loop, true)
  const chassis = asHeld(tested)
  const { targetFor } = targetMachines({ chip }, chassis)
  const { machine, endsOf } = targetFor([])
  const figures = roomForFigures(draws.length)
  draws.forEach(({ curve, heatPerK }, k) => {
    const ends = endsOf(plans.get(curve)!)
    const warmth = { chassis, score: 0, heatPerK: heatPerK ?? 0, idleW: machine.idleW }
    writeFigures(figures, k, ends, chip, leakageFactors(chip, loop, ends, warmth))
  })
  return estimateFromDraws({ values: figures.steady.score })
}

/** A chassis without the thermal network that holds no power in it: whether such a network was fitted changes no figure. */
function asHeld(tested: Chassis): Chassis {
  return tested.thermal?.ceilingC == null ? { ...tested, thermal: null } : tested
}

/** An estimate with a further relative standard error, in the logarithm. */
export function widenedBy(estimate: Estimate, error: number): Estimate {
  const { value, low, high } = estimate
  if (!(error > 0) || !(low > 0)) return estimate
  const further = ESTIMATE_EDGE * error
  const half = (ratio: number) => Math.exp(Math.hypot(Math.log(ratio), further))
  return { ...estimate, low: value / half(value / low), high: value * half(high / value) }
}
