import { multiplesWithin, roundTicks } from '../../numeric/roundTicks.js'

/** Round times in seconds from `low` to `high`: whole seconds, minutes or hours apart, at most `most` of them. */
export function roundTimeTicks(low: number, high: number, most: number): number[] {
  const rough = (high - low) / Math.max(1, most)
  const step = TIME_STEPS_S.find((candidate) => candidate >= rough)
  // Beyond half a day, round numbers of days: a log may last weeks.
  if (step === undefined) return roundTicks(low / DAY_S, high / DAY_S, most).map((days) => days * DAY_S)
  return multiplesWithin(low, high, step)
}

const DAY_S = 86_400
const TIME_STEPS_S = [1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 900, 1800, 3600, 7200, 14400, 43200]
