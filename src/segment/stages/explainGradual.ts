import type { Trace } from '../../log/trace.js'
import { quantile } from '../../numeric/statistics/quantile.js'
import type { HeldBy } from '../load.js'
import type { DraftStage } from './draftStage.js'
import { valuesIn } from './holdEvidence.js'
import { type Decline, fallPct, isEarlySag } from './lastDecline.js'

/** Temperature this far below the highest of the load is not at a ceiling, K: controllers overshoot by a few K first. */
const PINNED_K = 8
/** A chip at its ceiling stays within a few K of it, and a pause changes few of the samples; common practice, no source. */
const SWING_K = 4

/** Fewest samples that show a fall to be gradual: in fewer, two that fell between tasks look the same; common practice, no source. */
const FEWEST_SAMPLES = 6

/**
 * What a gradual fall of the power met: heat where temperature stays at its ceiling, a set limit that eases in where it falls far below, and what can't be
 * told where there is no temperature or where it swings.
 */
export function explainGradual(
  trace: Trace,
  drafts: readonly DraftStage[],
  index: number,
  decline: Decline,
): HeldBy {
  const share = fallPct(decline)
  const gives = `power gives way gradually, by ${share.toFixed(0)} % in all, instead of dropping in one step`
  const last = drafts[index]!.stretches.at(-1)!
  const here = celsiusIn(trace, Math.max(decline.atS, last.endS - 120), last.endS)
  const all = celsiusIn(trace, drafts[0]!.stretches[0]!.startS, last.endS)
  if (here.length === 0 || all.length === 0) {
    return {
      label: 'undetermined',
      evidence: [gives, 'that is how heat holds power, but the log has no temperature column to show it'],
    }
  }
  // Pauses let a chip cool for a moment: the upper quartile is what it works at.
  const hereC = quantile(here, 0.75)
  const peakC = quantile(all, 0.98)
  if (peakC - hereC > PINNED_K) {
    return {
      label: 'power-limit',
      evidence: [
        gives,
        `temperature is ${hereC.toFixed(0)} °C, ${(peakC - hereC).toFixed(0)} K below its highest`,
      ],
    }
  }
  if (here.length < FEWEST_SAMPLES) {
    return {
      label: 'undetermined',
      evidence: [gives, `only ${here.length} samples show it: a task that varies looks the same`],
    }
  }
  const swingK = quantile(stepsOf(here), 0.75)
  if (swingK > SWING_K) {
    return {
      label: 'undetermined',
      evidence: [
        gives,
        `temperature changes by ${swingK.toFixed(0)} K from one sample to the next, as with work that comes and goes: heat would hold it steady`,
      ],
    }
  }
  if (isEarlySag(drafts, index, decline)) {
    return {
      label: 'undetermined',
      evidence: [
        gives,
        'this is within the first minute: heat and a limit that averages over seconds look the same so far',
      ],
    }
  }
  const rangeK = quantile(here, 0.9) - quantile(here, 0.1)
  if (!hasPauses(drafts) && rangeK > PINNED_K) {
    return {
      label: 'undetermined',
      evidence: [gives, `temperature moves by ${rangeK.toFixed(0)} K meanwhile: heat would hold it steady`],
    }
  }
  return {
    label: 'heat',
    evidence: [
      gives,
      `temperature stays at ${hereC.toFixed(0)} °C, its highest being ${peakC.toFixed(0)} °C`,
    ],
  }
}

function hasPauses(drafts: readonly DraftStage[]): boolean {
  return drafts.at(-1)!.stretches.at(-1)!.runIndex > 0
}

function stepsOf(values: readonly number[]): readonly number[] {
  return values.length < 2 ? [0] : values.slice(1).map((value, k) => Math.abs(value - values[k]!))
}

/** Finite temperatures of a time, °C; none without a column. */
export function celsiusIn(trace: Trace, startS: number, endS: number): readonly number[] {
  return trace.temperatureC === null ? [] : valuesIn(trace, trace.temperatureC, [{ startS, endS }])
}
