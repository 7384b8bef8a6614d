import type { Estimate } from '../../numeric/statistics/estimate.js'
import type { Warning } from '../../warnings.js'
import { type CurveCriticism, formsAdvantage } from './criticiseCurve.js'
import { HEAT_DEVIATION, HEAT_PER_K, SHEET_DEVIATION } from './scoreBasis.js'
import type { MeasuredLevel } from './simpleForms.js'

/**
 * Levels that lie on no one curve, and a simple form that foretells them better than the curve does.
 *
 * A chip at one setting never scores less for more power. Where it does by more than runs scatter and a noted power may be wrong, one
 * of the two levels was made at another setting: another mode, fewer cores, or a cap that didn't hold. A hotter level, or one of another
 * unit of the chip, may score less by as much as such a chip does.
 */
export function levelWarnings(fit: {
  /** By rising power. */
  readonly measured: readonly MeasuredLevel[]
  readonly criticism: CurveCriticism | null
  readonly runs: readonly { readonly powerUncertainty?: number }[]
  readonly scatter: Estimate
}): readonly Warning[] {
  const { measured, criticism, runs, scatter } = fit
  const powerUncertainty = Math.max(...runs.map((run) => run.powerUncertainty ?? 0))
  const noise = Math.hypot(Math.min(MOST_SCATTER, scatter.value), FLAT_ELASTICITY * powerUncertainty)
  const falls = measured.slice(1).flatMap((higher, k): Warning[] => {
    const lower = measured[k]!
    const fall = 1 - higher.rate / lower.rate
    const fallible = FALL_DEVIATIONS * Math.hypot(noise, isOneUnit(lower, higher) ? 0 : SHEET_DEVIATION)
    const byHeat = MOST_HEAT_PER_K * Math.max(0, (higher.heatK ?? 0) - (lower.heatK ?? 0))
    if (fall < Math.max(LEAST_FALL, fallible) + byHeat) return []
    return [{ code: 'levels-disagree', lowerW: lower.powerW, higherW: higher.powerW, fallPct: 100 * fall }]
  })
  const told = [...falls, ...clockWarnings(measured, scatter)]
  if (criticism === null || formsAdvantage(criticism) === 0) return told
  const { form, missPct } = criticism.forms[0]!
  return [...told, { code: 'simple-form-better', form, formMissPct: missPct, missPct: criticism.missPct }]
}

function isOneUnit(lower: MeasuredLevel, higher: MeasuredLevel): boolean {
  return lower.units === undefined || lower.units.some((unit) => higher.units?.includes(unit) ?? true)
}

/**
 * Neighbouring levels whose clocks say that they were made at different settings: a chip at one setting clocks no lower for more power, and
 * the same work takes as many cycles or, where it waits for memory, more of them the higher the clock: the score grows at most as the clock.
 */
function clockWarnings(measured: readonly MeasuredLevel[], scatter: Estimate): readonly Warning[] {
  const allowed = Math.log1p(FALL_DEVIATIONS * Math.min(MOST_SCATTER, scatter.value) + LEAST_FALL)
  return measured.slice(1).flatMap((higher, k): Warning[] => {
    const lower = measured[k]!
    if (lower.clockHz === undefined || higher.clockHz === undefined) return []
    const clock = Math.log(higher.clockHz / lower.clockHz)
    const rate = Math.log(higher.rate / lower.rate)
    if (clock >= -LEAST_FALL && rate <= Math.max(0, clock) + allowed) return []
    return [
      {
        code: 'level-clocks-disagree',
        lowerW: lower.powerW,
        higherW: higher.powerW,
        clockPct: 100 * Math.expm1(clock),
        scorePct: 100 * Math.expm1(rate),
      },
    ]
  })
}

/** Two levels' scatter together is 1.4 deviations; twice that is passed by chance once in 40. */
const FALL_DEVIATIONS = 2.8
/** More is not taken for scatter, as the scatter of a fit holds the disagreement itself; a quiet machine's is below, common practice, no source. */
const MOST_SCATTER = 0.02
/** Where the score hardly rises, an error of a noted power makes no more of it than this; common practice, no source. */
const FLAT_ELASTICITY = 0.3
/** A hot chip may score less by so much for each kelvin of leakage heat: twice the deviation above the mean. */
const MOST_HEAT_PER_K = HEAT_PER_K + 2 * HEAT_DEVIATION
/** A fall of less is not worth a warning. */
const LEAST_FALL = 0.01
