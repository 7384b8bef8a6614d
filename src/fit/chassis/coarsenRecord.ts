import { correlationFactor } from '../../numeric/statistics/noise.js'
import type { LoadRecord } from './loadRecord.js'

/**
 * The same record in fewer, longer intervals: neighbours of one pass (or of one pause) are joined to their common mean, as a
 * slower logger would have told them. Intervals never grow beyond `LONGEST_S`, so that a glide stays visible.
 *
 * @param mostSamples - as many as are wanted at most, where the longest interval allows it
 */
export function coarsenRecord(record: LoadRecord, mostSamples: number): LoadRecord {
  const joined = Math.min(
    Math.ceil(record.toS.length / mostSamples),
    Math.floor(LONGEST_S / Math.max(record.intervalS, 1e-3)),
  )
  if (joined < 2) return record
  const groups = groupsOf(record, joined)
  const mean = (values: Float64Array) =>
    Float64Array.from(groups, (group) => weightedMean(record, values, group))
  return {
    ...record,
    fromS: Float64Array.from(groups, (group) => record.fromS[group[0]!]!),
    toS: Float64Array.from(groups, (group) => record.toS[group.at(-1)!]!),
    powerW: mean(record.powerW),
    // A temperature is that of the moment: the last of its group.
    temperatureC: record.temperatureC
      ? Float64Array.from(groups, (group) => record.temperatureC![group.at(-1)!]!)
      : null,
    pass: Int16Array.from(groups, (group) => record.pass[group[0]!]!),
    noiseW: record.noiseW * Math.sqrt(Math.min(1, correlationFactor(record.autocorrelation) / joined)),
    intervalS: record.intervalS * joined,
  }
}

/** Half of what a controller usually takes to bring power down; see `TYPICAL_RESPONSE_S`. */
const LONGEST_S = 0.5

function groupsOf({ pass, fromS, toS }: LoadRecord, joined: number): number[][] {
  const groups: number[][] = []
  for (let i = 0; i < pass.length; i++) {
    const group = groups.at(-1)
    const before = group?.at(-1)
    const follows =
      before !== undefined && pass[before] === pass[i] && Math.abs(fromS[i]! - toS[before]!) < 1e-6
    if (group && follows && group.length < joined) group.push(i)
    else groups.push([i])
  }
  return groups
}

function weightedMean({ fromS, toS }: LoadRecord, values: Float64Array, group: readonly number[]): number {
  let sum = 0
  let lengthS = 0
  for (const i of group) {
    const ownS = toS[i]! - fromS[i]!
    sum += values[i]! * ownS
    lengthS += ownS
  }
  return sum / lengthS
}
