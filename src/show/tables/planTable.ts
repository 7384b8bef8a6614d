import type { Estimate } from '../../numeric/statistics/estimate.js'
import { type DataTable, dataTable } from './dataTable.js'

/** The advice for the next test, a figure a row. */
export function planTable(
  title: string,
  plan: {
    readonly settleS: Estimate
    readonly runsNeeded: number
    readonly restS: Estimate
    readonly sampleEveryS: number
  },
): DataTable {
  const rows = [
    { what: 'test until settled', unit: 's', value: plan.settleS },
    { what: 'runs, at least', unit: '', value: plan.runsNeeded },
    { what: 'rest between tests', unit: 's', value: plan.restS },
    { what: 'sample every', unit: 's', value: plan.sampleEveryS },
  ]
  return dataTable(`Next test of ${title}`, rows, [
    { name: 'what', of: (row) => row.what },
    { name: 'unit', of: (row) => row.unit },
    { name: 'value', interval: true, of: (row) => row.value },
  ])
}
