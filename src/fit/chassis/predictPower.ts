import type { LoopMachine } from '../../physics/loop/loopMachine.js'
import { simulatePasses } from '../../physics/loop/simulateLoop.js'
import type { OnSegment } from '../../physics/loop/simulateRun.js'
import type { LoadRecord } from './loadRecord.js'

/**
 * Mean power that a machine would show in each sampling interval of a record, run through the record's own passes and pauses.
 *
 * @returns as many watts as the record has samples; idle power outside the load
 */
export function predictPower(machine: LoopMachine, record: LoadRecord): Float64Array {
  const passes = record.passes.map((pass, k) => ({
    gapBeforeS: k === 0 ? 0 : Math.max(0, pass.startS - record.passes[k - 1]!.endS),
    work: null,
    durationS: Math.max(1e-3, pass.endS - pass.startS),
  }))
  const sums = { joules: new Float64Array(record.toS.length), coveredS: new Float64Array(record.toS.length) }
  simulatePasses(machine, { passes, rate: () => 1 }, binInto(record, sums))
  return sums.joules.map((joules, i) => {
    const lengthS = record.toS[i]! - record.fromS[i]!
    if (!(lengthS > 0)) return machine.idleW
    return (joules + machine.idleW * Math.max(0, lengthS - sums.coveredS[i]!)) / lengthS
  })
}

/** Adds each stretch of power, as it comes, to the sampling intervals that it overlaps. */
function binInto(
  { fromS, toS }: LoadRecord,
  { joules, coveredS }: { readonly joules: Float64Array; readonly coveredS: Float64Array },
): OnSegment {
  let at = 0
  return ({ startS, forS, powerW }) => {
    const endS = startS + forS
    while (at < toS.length && toS[at]! <= startS) at++
    for (let i = at; i < toS.length && fromS[i]! < endS; i++) {
      const overlapS = Math.min(toS[i]!, endS) - Math.max(fromS[i]!, startS)
      if (overlapS <= 0) continue
      joules[i] = joules[i]! + powerW * overlapS
      coveredS[i] = coveredS[i]! + overlapS
    }
  }
}
