import type { Estimate } from '../../src/numeric/statistics/estimate.js'
import type { Chip, WeightedCurve } from '../../src/physics/chip/chip.js'
import type { Chassis } from '../../src/physics/loop/chassis.js'

/** An estimate of some per cent to each side. */
export function about(value: number, percent = 1): Estimate {
  const share = percent / 100
  return { value, low: value * (1 - share), high: value * (1 + share), level: 0.9 }
}

/** A chip whose draws differ in slope: rate 100 at 60 W, with exponents around `exponent`. */
export function powerLawChip(parts: Partial<Chip> = {}, exponent = 0.5, spread = 0.05): Chip {
  const count = 41
  const draws = Array.from({ length: count }, (_, k): WeightedCurve => {
    const own = exponent + spread * ((2 * k) / (count - 1) - 1)
    return { weight: 1 / count, curve: { shape: 'power-law', scale: 100 / 60 ** own, exponent: own } }
  })
  return {
    name: 'Kestrel 16',
    workload: { name: 'tile render', score: 'points', better: 'higher' },
    measuredRangeW: [50, 70],
    draws,
    demandW: null,
    workPerRun: about(6000, 0.5),
    ...parts,
  }
}

/** A chassis with one budget: 100 W for a while, then 60 W. */
export function oneBudget(parts: Partial<Chassis> = {}): Chassis {
  return {
    name: 'Heron slim',
    idleW: 5,
    burstW: about(100, 0.5),
    burstHoldS: about(20),
    shortTermW: null,
    shortTermHoldS: null,
    sustainedW: about(60, 0.5),
    budgets: [{ limitW: about(60, 0.5), tauS: about(25, 2) }],
    thermal: null,
    timedSteps: [],
    responseS: 1,
    givesWay: 'headroom',
    ...parts,
  }
}
