import type { WorkloadSurvey } from '../../predict/comparison/surveyMachines.js'
import { groupDigits, NO_BREAK, sayNumber } from './sayEstimate.js'

/** What a survey shows: which chip leads at equal watts, where that is sure, and how far the chassis lie apart. */
export function headlineOfSurvey({ atW, chips, machines, workload }: WorkloadSurvey): string {
  const held = machines.map(({ sustainedW }) => sustainedW.value)
  const [most, least] = [Math.max(...held), Math.min(...held)]
  const range =
    machines.length === 1
      ? `the chassis holds ${sayNumber(most, 3, 'W')} for good`
      : `chassis hold ${sayNumber(least, 3)} to ${sayNumber(most, 3, 'W')} for good`
  const [first, second] = chips.filter(({ score }) => score !== null)
  if (atW === null || first === undefined) return capital(range)
  const at = `at ${sayGivenPower(atW)}`
  if (second === undefined) return `${capital(range)}; ${first.chip} is the only chip`
  const [ahead, behind] =
    workload.better === 'lower' ? [second.score!, first.score!] : [first.score!, second.score!]
  const isSure = ahead.low > behind.high
  const beyond = first.extrapolated || second.extrapolated ? ', by extrapolation' : ''
  const who = isSure ? `${first.chip} leads${beyond}` : `the leading chips can’t be told apart`
  return `${capital(at)} ${who}; ${range}`
}

function capital(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1)
}

/** A power that somebody chose, as it was written: `45 W`, `47.5 W`. It was not measured, so it has no digits to show. */
export function sayGivenPower(powerW: number): string {
  return `${groupDigits(powerW, powerW % 1 === 0 ? 0 : 1)}${NO_BREAK}W`
}
