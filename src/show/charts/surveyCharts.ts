import type { WorkloadSurvey } from '../../predict/comparison/surveyMachines.js'
import { uniqueName } from '../text/uniqueName.js'
import type { Chart } from './chart.js'
import { surveyChart } from './chartSurvey.js'

/** One chart a workload, named after it. */
export function surveyCharts(workloads: readonly WorkloadSurvey[]): readonly Chart[] {
  const names = new Set<string>()
  return workloads.map((survey) => surveyChart(survey, uniqueName(`survey ${survey.workload.name}`, names)))
}
