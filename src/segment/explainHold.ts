import type { Trace } from '../log/trace.js'
import { quantile } from '../numeric/quantile.js'
import type { DraftStage } from './draftStages.js'
import type { HeldBy } from './load.js'
import { endPower, startPower } from './part.js'

/** What held the power in one stage, with the evidence in words. */
export function explainHold(trace: Trace, drafts: readonly DraftStage[], index: number): HeldBy {
  const stage = drafts[index]!
  const falls = drafts.map((draft, i) => (i === 0 ? 0 : fallInto(drafts[i - 1]!, draft)))
  const dropped = falls.slice(0, index + 1).some((fall) => fall > 0.02) || stage.shape === 'decay'
  if (!dropped) return explainUnlimited(drafts, index)
  const heat = heatSigns(trace, drafts, index)
  if (heat.relaxing && heat.pinned !== false) {
    if (heat.pinned === null) {
      return {
        label: 'undetermined',
        evidence: [
          'power gives way gradually, as it does at a temperature ceiling, but the log has no temperature column',
        ],
      }
    }
    return {
      label: 'heat',
      evidence: [
        `power gives way gradually instead of dropping in one step`,
        `temperature stays at ${heat.meanC!.toFixed(0)} C, within ${Math.abs(heat.peakC! - heat.meanC!).toFixed(0)} K of the highest it reached`,
      ],
    }
  }
  const evidence = [`power drops by ${(100 * falls[index]!).toFixed(0)} % in one step`]
  if (heat.meanC !== null) evidence.push(`temperature is ${heat.meanC.toFixed(0)} C in this stage`)
  return { label: 'power-limit', evidence }
}

function explainUnlimited(drafts: readonly DraftStage[], index: number): HeldBy {
  if (drafts.length === 1) return { label: 'demand', evidence: ['power never drops during the load'] }
  return {
    label: index === 0 ? 'demand' : 'undetermined',
    evidence: ['nothing had taken power away before the first drop'],
  }
}

function fallInto(before: DraftStage, after: DraftStage): number {
  const last = before.stretches.at(-1)!
  const first = after.stretches[0]!
  const fromW = endPower(last.part, last.run.series)
  return (fromW - startPower(first.part, first.run.series)) / fromW
}

interface HeatSigns {
  readonly relaxing: boolean
  readonly pinned: boolean | null
  readonly meanC: number | null
  readonly peakC: number | null
}

function heatSigns(trace: Trace, drafts: readonly DraftStage[], index: number): HeatSigns {
  const stage = drafts[index]!
  const relaxing = stage.shape === 'decay' || drafts[index - 1]?.shape === 'decay'
  if (trace.temperatureC === null) return { relaxing, pinned: null, meanC: null, peakC: null }
  const last = stage.stretches.at(-1)!
  const here = temperatures(trace, last.startS, last.endS)
  const all = temperatures(trace, drafts[0]!.stretches[0]!.startS, last.endS)
  if (here.length === 0 || all.length === 0) return { relaxing, pinned: null, meanC: null, peakC: null }
  const meanC = quantile(here, 0.5)
  const peakC = quantile(all, 0.99)
  return { relaxing, pinned: peakC - meanC < 8, meanC, peakC }
}

function temperatures(trace: Trace, startS: number, endS: number): readonly number[] {
  const values: number[] = []
  trace.timesS.forEach((timeS, i) => {
    const value = trace.temperatureC?.[i]
    if (timeS >= startS && timeS <= endS && value !== undefined && Number.isFinite(value)) values.push(value)
  })
  return values
}
