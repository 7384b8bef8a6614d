import type { WorkloadSurvey } from '../../predict/comparison/surveyMachines.js'
import type { Chart } from './chart.js'
import { surveyChart } from './chartSurvey.js'
import { uniqueName } from './uniqueName.js'

/** One chart a workload, named after it. */
export function surveyCharts(workloads: readonly WorkloadSurvey[]): readonly Chart[] {
  const names = new Set<string>()
  return workloads.map((survey) => surveyChart(survey, uniqueName(`survey ${survey.workload.name}`, names)))
}
