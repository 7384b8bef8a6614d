/** Round values (1, 2 or 5 times a power of ten apart) from `low` to `high`, at most `most` of them. */
export function roundTicks(low: number, high: number, most: number): number[] {
  const rough = (high - low) / Math.max(1, most)
  if (!(rough > 0)) return [low]
  const power = 10 ** Math.floor(Math.log10(rough))
  return ticksOf(low, high, power * ([1, 2, 5, 10].find((factor) => factor * power >= rough) ?? 10))
}

/** Round times in seconds from `low` to `high`: whole seconds, minutes or hours apart, at most `most` of them. */
export function roundTimeTicks(low: number, high: number, most: number): number[] {
  const rough = (high - low) / Math.max(1, most)
  const step = TIME_STEPS_S.find((candidate) => candidate >= rough)
  // Beyond half a day, round numbers of days: a log may last weeks.
  if (step === undefined) return roundTicks(low / DAY_S, high / DAY_S, most).map((days) => days * DAY_S)
  return ticksOf(low, high, step)
}

const DAY_S = 86_400
const TIME_STEPS_S = [1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 900, 1800, 3600, 7200, 14400, 43200]

function ticksOf(low: number, high: number, step: number): number[] {
  const first = Math.ceil(low / step - 1e-9)
  const last = Math.floor(high / step + 1e-9)
  return Array.from({ length: Math.max(0, last - first + 1) }, (_, i) => (first + i) * step)
}
