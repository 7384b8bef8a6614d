import type { WorkloadSurvey } from '../../predict/comparison/surveyMachines.js'
import { capitalised } from '../figures/capitalised.js'
import { sayGivenPower, sayPower, sayPowers } from '../figures/sayEstimate.js'

/** What a survey shows: which chip leads at equal watts, where that is sure, and how far the chassis lie apart. */
export function headlineOfSurvey({ atW, chips, machines, workload }: WorkloadSurvey): string {
  const held = machines.map(({ sustainedW }) => sustainedW.value)
  const [most, least] = [Math.max(...held), Math.min(...held)]
  const range =
    machines.length === 1
      ? `the chassis sustains ${sayPower(most)}`
      : `the chassis sustain ${sayPowers([least, most])}`
  const [first, second] = chips.filter(({ score }) => score !== null)
  if (atW === null || first === undefined) return capitalised(range)
  const at = `at ${sayGivenPower(atW)}`
  if (second === undefined) return `${capitalised(range)}; ${first.chip} is the only chip`
  const [ahead, behind] =
    workload.better === 'lower' ? [second.score!, first.score!] : [first.score!, second.score!]
  const isSure = ahead.low > behind.high
  const beyond = first.extrapolated || second.extrapolated ? ' (extrapolated)' : ''
  const who = isSure ? `${first.chip} leads${beyond}` : `no chip clearly leads`
  return `${capitalised(at)} ${who}; ${range}`
}
