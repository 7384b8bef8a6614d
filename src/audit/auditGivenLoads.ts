import type { LogOptions } from '../log/trace.js'
import type { Finding } from './finding.js'

/** Notes loads whose edges a person set: whoever reads the results should know that they are not the tool's own. */
export function auditGivenLoads(loads: LogOptions['loads']): readonly Finding[] {
  if (loads === undefined) return []
  const what =
    loads.length === 1 ? 'The load begins and ends' : `The ${loads.length} loads of this log begin and end`
  const message = `${what} where a person set it, not where it was found. Say so when you publish.`
  return [{ code: 'loads-given', severity: 'note', message, atS: null }]
}
