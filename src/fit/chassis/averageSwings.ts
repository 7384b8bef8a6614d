import { withoutSwing } from '../../segment/cut/withoutSwing.js'
import type { LoadRecord } from './loadRecord.js'

/**
 * A record with the means of the cycles in place of power that swings: no model here goes to and fro between two temperatures, and what
 * a chassis holds is the mean. The thermal network is fitted to the record as it was measured.
 */
export function averageSwings(record: LoadRecord): LoadRecord {
  const powerW = record.powerW.slice()
  record.passes.forEach((_, pass) => {
    const from = record.pass.indexOf(pass)
    const to = record.pass.lastIndexOf(pass) + 1
    if (from < 0) return
    const weights = Uint8Array.from(record.pass.subarray(from, to), (of) => (of === pass ? 1 : 0))
    const series = {
      timesS: record.toS.subarray(from, to),
      powerW: record.powerW.subarray(from, to),
      weights,
      averaged: true,
      closes: true,
    }
    powerW.set(withoutSwing(series).powerW, from)
  })
  return { ...record, powerW }
}
