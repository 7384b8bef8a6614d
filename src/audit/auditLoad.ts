import type { Trace } from '../log/trace.js'
import { SAMPLES_IN_BURST, samplingInterval } from '../predict/plan/samplingInterval.js'
import type { Load } from '../segment/load.js'
import { formatQuantity } from '../units.js'
import type { Finding } from './finding.js'

/** Whether a load shows what one wants to know of it: its burst, its settled power, what held it. */
export function auditLoad(trace: Trace, load: Load): readonly Finding[] {
  return [auditSampling(trace, load), auditSettling(load), auditCause(trace, load), auditRise(load)].filter(
    (finding) => finding !== undefined,
  )
}

/** Of the samples that a burst needs, as many may be missing before it is told. */
const MARGIN = 0.7
/** Bursts of a few seconds are common (common practice, no source): slower sampling may miss one altogether. */
const SLOW_SAMPLING_S = 4

function auditSampling({ intervalS }: Trace, load: Load): Finding | undefined {
  const first = load.stages[0]
  const burstS =
    first === undefined || load.stages.length < 2 ? Number.POSITIVE_INFINITY : first.endS - first.startS
  const neededS = samplingInterval(Number.isFinite(burstS) ? burstS : null)
  // A burst that began between two samples is seen a sample too short.
  const few = Number.isFinite(burstS) && intervalS > neededS && burstS < MARGIN * SAMPLES_IN_BURST * intervalS
  if (!few && intervalS < SLOW_SAMPLING_S) return undefined
  const every = formatQuantity(intervalS, 'time', 2)
  return {
    code: 'sampling-coarse',
    severity: 'caution',
    message: few
      ? `The burst lasts ${formatQuantity(burstS, 'time', 2)} and was sampled every ${every}: its power and length are known only to about one sample. Sample every ${formatQuantity(neededS, 'time', 2)} or faster.`
      : `One sample every ${every} may miss a burst of a few seconds, and then the power of the first run is wrong. Sample every second or faster.`,
    atS: load.startS,
  }
}

function auditSettling(load: Load): Finding | undefined {
  if (load.sustained.reached) return undefined
  return {
    code: 'not-settled',
    severity: 'unsafe',
    message: `The load ends after ${formatQuantity(load.endS - load.startS, 'time', 3)}, before the power settles: a sustained power from it is an extrapolation. Test longer (holdwatt plan says how long).`,
    atS: load.endS,
  }
}

function auditCause(trace: Trace, load: Load): Finding | undefined {
  const last = load.stages.at(-1)
  if (last?.heldBy.label !== 'undetermined') return undefined
  const missing = trace.temperatureC === null
  return {
    code: missing ? 'temperature-missing' : 'cause-undetermined',
    severity: missing ? 'caution' : 'note',
    message: missing
      ? 'There is no temperature column, so this log cannot show whether heat or a power limit holds the power. Log the package temperature too.'
      : 'This log does not show what holds the power: the cause is unknown.',
    atS: last.startS,
  }
}

/** Rises beyond what noise, warming and pauses do. */
const RISE_SHARE = 0.06

/** Power of one uninterrupted task does not rise again: the mode was changed, or the task did. */
function auditRise(load: Load): Finding | undefined {
  const index = load.stages.findIndex((stage, i) => {
    const before = load.stages[i - 1]
    return i > 1 && before !== undefined && stage.levelW.low > before.levelW.high * (1 + RISE_SHARE)
  })
  if (index < 0) return undefined
  const stage = load.stages[index]!
  return {
    code: 'power-rises',
    severity: 'caution',
    message: `Power rises to ${formatQuantity(stage.levelW.value, 'power', 3)} in the middle of the load: the power mode or the workload was changed, or the machine was moved. Keep one mode and one workload for a test.`,
    atS: stage.startS,
  }
}
