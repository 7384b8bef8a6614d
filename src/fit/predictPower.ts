import type { LoopMachine } from '../curves/loopMachine.js'
import { type LoopSegment, simulatePasses } from '../curves/simulateLoop.js'
import type { LoadRecord } from './loadRecord.js'

/**
 * Mean power that a machine would show in each sampling interval of a record, run through the record's own passes and pauses.
 *
 * @returns as many watts as the record has samples; idle power outside the load
 */
export function predictPower(machine: LoopMachine, record: LoadRecord): Float64Array {
  const segments: LoopSegment[] = []
  const passes = record.passes.map((pass, k) => ({
    gapBeforeS: k === 0 ? 0 : Math.max(0, pass.startS - record.passes[k - 1]!.endS),
    work: null,
    durationS: Math.max(1e-3, pass.endS - pass.startS),
  }))
  simulatePasses(machine, { passes, rate: () => 1 }, (segment) => segments.push(segment))
  return meansOver(record, segments, machine.idleW)
}

function meansOver(record: LoadRecord, segments: readonly LoopSegment[], idleW: number): Float64Array {
  const means = new Float64Array(record.toS.length)
  let at = 0
  for (let i = 0; i < means.length; i++) {
    const from = record.fromS[i]!
    const to = record.toS[i]!
    while (at < segments.length && segments[at]!.startS + segments[at]!.forS <= from) at++
    let joules = 0
    let coveredS = 0
    for (let j = at; j < segments.length && segments[j]!.startS < to; j++) {
      const { startS, forS, powerW } = segments[j]!
      const overlapS = Math.min(to, startS + forS) - Math.max(from, startS)
      if (overlapS <= 0) continue
      joules += powerW * overlapS
      coveredS += overlapS
    }
    const lengthS = to - from
    means[i] = lengthS > 0 ? (joules + idleW * Math.max(0, lengthS - coveredS)) / lengthS : idleW
  }
  return means
}
