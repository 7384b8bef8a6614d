/** Single stamps far outside their neighbours, which themselves agree, that fill no hole elsewhere in the log. */
export function findWildStamps(seconds: Float64Array, intervalS: number): Set<number> {
  const wild = new Set<number>()
  let sorted: Float64Array | undefined
  for (let i = 1; i + 1 < seconds.length; i++) {
    const before = seconds[i - 1]!
    const here = seconds[i]!
    const after = seconds[i + 1]!
    const agree = after >= before && after - before <= 3 * intervalS
    if (!agree || (here >= before - 10 * intervalS && here <= after + 10 * intervalS)) continue
    sorted ??= Float64Array.from(seconds).sort()
    if (!fillsHole(sorted, here, intervalS)) wild.add(i)
  }
  return wild
}

function fillsHole(sorted: Float64Array, time: number, intervalS: number): boolean {
  let [low, high] = [0, sorted.length]
  while (low < high) {
    const middle = (low + high) >> 1
    if (sorted[middle]! < time) low = middle + 1
    else high = middle
  }
  const [below, above] = [sorted[low - 1], sorted[low + 1]]
  if (below === undefined || above === undefined) return false
  const room = 0.6 * intervalS
  return (
    time - below > room && above - time > room && time - below < 3 * intervalS && above - time < 3 * intervalS
  )
}
