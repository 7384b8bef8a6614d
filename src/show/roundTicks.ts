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
  const step = TIME_STEPS_S.find((candidate) => candidate >= rough) ?? 86400
  return ticksOf(low, high, step)
}

const TIME_STEPS_S = [1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 900, 1800, 3600, 7200, 14400, 43200]

function ticksOf(low: number, high: number, step: number): number[] {
  const ticks: number[] = []
  for (let index = Math.ceil(low / step - 1e-9); index * step <= high + step * 1e-9; index++)
    ticks.push(index * step)
  return ticks
}
