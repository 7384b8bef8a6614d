/**
 * Round powers across what all ranges share, or across what lies between them when they share nothing.
 *
 * @param rangesW - lowest and highest power of each, W
 * @returns three to seven rising watts, multiples of 1, 2 or 5 times a power of ten; one when the range is a point
 * @example roundPowers([[44, 96], [52, 110]]) // [60, 70, 80, 90]
 */
export function roundPowers(rangesW: readonly (readonly [number, number])[]): readonly number[] {
  const inner = [Math.max(...rangesW.map((r) => r[0])), Math.min(...rangesW.map((r) => r[1]))] as const
  const [low, high] = inner[0] <= inner[1] ? inner : ([inner[1], inner[0]] as const)
  const stepW = roundStep((high - low) / 4)
  const powers: number[] = []
  for (let n = Math.ceil(low / stepW - 1e-9); n * stepW <= high * (1 + 1e-9); n++) powers.push(n * stepW)
  const middle = Math.round(Math.sqrt(low * high))
  return powers.length > 0 ? powers.map((p) => Number(p.toPrecision(12))) : [middle]
}

/** The largest of 1, 2 or 5 times a power of ten that is not above the wish, and never below 1 W. */
function roundStep(wishW: number): number {
  if (!(wishW > 1)) return 1
  const decade = 10 ** Math.floor(Math.log10(wishW))
  const factor = [5, 2, 1].find((f) => f * decade <= wishW * (1 + 1e-9)) ?? 1
  return factor * decade
}
