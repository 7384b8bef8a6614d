/** Power from an energy counter, and what had to be followed or mended on the way. Indices are sample numbers. */
export interface CounterPower {
  /** W; the first sample repeats the second; NaN where the counter was reset. */
  readonly powerW: Float64Array
  readonly wraps: readonly number[]
  readonly resets: readonly number[]
  /** Samples at which the counter had not been updated. */
  readonly stale: readonly number[]
  /** J; null when no wrap was seen. */
  readonly rangeJ: number | null
}

/**
 * Power as P = dE/dt over the interval that ends at each sample.
 *
 * A fall of the counter is a wrap when one range explains all falls so that power stays continuous with the samples around: the
 * ranges tried are the published ones, powers of two of the counter's own unit and of a joule, and powers of ten. Else,
 * and when it fell by a single unit, it is a reset, and that interval's power unknown. A counter that stands still for some samples and then catches up
 * gives its mean over the whole span: power is never zero while energy flows.
 *
 * @param timesS - seconds, strictly rising, n >= 2
 * @param energyJ - the counter, joules
 * @param unitJ - joules of one unit of the counter as logged
 * @source counter ranges: Linux 6.1 drivers/powercap unit arithmetic, floor((2^32 - 1) floor(10^9 / 2^n) / 1000) uJ, n = 14, 16
 * @example powerFromCounter([0, 1, 2], [0, 50, 100], 1).powerW // [50, 50, 50]
 */
export function powerFromCounter(
  timesS: ArrayLike<number>,
  energyJ: ArrayLike<number>,
  unitJ: number,
): CounterPower {
  const stepsBack = (i: number) => energyJ[i]! - energyJ[i - 1]! > -STEP_BACK_UNITS * unitJ
  const falls = fallsOf(energyJ).filter((i) => !stepsBack(i))
  const expected = new Map(falls.map((i) => [i, powerAround(timesS, energyJ, i)]))
  const rangeJ = falls.length === 0 ? null : findRange({ timesS, energyJ, unitJ, falls, expected })
  const wraps: number[] = []
  const resets: number[] = []
  const deltaJ = new Float64Array(energyJ.length)
  for (let i = 1; i < energyJ.length; i++) {
    deltaJ[i] = energyJ[i]! - energyJ[i - 1]!
    if (deltaJ[i]! >= 0) continue
    const wrapped = rangeJ === null ? Number.NaN : deltaJ[i]! + rangeJ
    const around = expected.get(i)
    const fits =
      around !== undefined && !stepsBack(i) && isContinuous(wrapped / (timesS[i]! - timesS[i - 1]!), around)
    if (fits) wraps.push(i)
    else resets.push(i)
    deltaJ[i] = fits ? wrapped : Number.NaN
  }
  if (rangeJ !== null) addMissedWraps(timesS, deltaJ, rangeJ)
  const stale: number[] = []
  return { powerW: spreadUpdates(timesS, deltaJ, stale), wraps, resets, stale, rangeJ }
}

// A counter that falls by one unit has not gone all the way round but for that unit: it was set back. `record` says so
// where it does not know the energy.
const STEP_BACK_UNITS = 1.5
// Published ranges of the operating system's counters, J (see @source).
const KNOWN_RANGES_J = [262143.32885, 65532.610987] as const
// A wrap must leave power within this factor of the lowest and the highest of its neighbours on both sides (a load that
// begins just there lies between them), else the counter was reset.
const CONTINUITY_FACTOR = 3
const NEIGHBOURS = 6

function fallsOf(energyJ: ArrayLike<number>): number[] {
  const falls: number[] = []
  for (let i = 1; i < energyJ.length; i++) if (energyJ[i]! < energyJ[i - 1]!) falls.push(i)
  return falls
}

/** Powers of the nearest valid intervals on each side of a fall. */
interface CounterNeighbours {
  readonly lowW: number
  readonly middleW: number
  readonly highW: number
}

function powerAround(timesS: ArrayLike<number>, energyJ: ArrayLike<number>, at: number): CounterNeighbours {
  const powers: number[] = []
  for (const direction of [-1, 1]) {
    let found = 0
    for (let i = at + direction; i > 0 && i < energyJ.length && found < NEIGHBOURS; i += direction) {
      const delta = energyJ[i]! - energyJ[i - 1]!
      if (delta < 0) break
      found++
      if (delta > 0) powers.push(delta / (timesS[i]! - timesS[i - 1]!))
    }
  }
  powers.sort((a, b) => a - b)
  const middleW = powers[Math.floor(powers.length / 2)] ?? Number.NaN
  return { lowW: powers[0] ?? middleW, middleW, highW: powers.at(-1) ?? middleW }
}

function isContinuous(powerW: number, around: CounterNeighbours): boolean {
  return powerW > around.lowW / CONTINUITY_FACTOR && powerW < around.highW * CONTINUITY_FACTOR
}

interface RangeSearch {
  readonly timesS: ArrayLike<number>
  readonly energyJ: ArrayLike<number>
  readonly unitJ: number
  readonly falls: readonly number[]
  readonly expected: ReadonlyMap<number, CounterNeighbours>
}

/** The range that explains most falls, with power nearest to its neighbours'; the published ones win near ties. */
function findRange(search: RangeSearch): number | null {
  const highest = highestOf(search.energyJ)
  let best: { readonly range: number; readonly fits: number; readonly misfit: number } | undefined
  for (const range of candidateRanges(search.unitJ)) {
    if (range <= highest) continue
    const { fits, misfit } = scoreRange(search, range)
    if (fits === 0) continue
    const better =
      best === undefined || fits > best.fits || (fits === best.fits && misfit < best.misfit - NEAR_TIE)
    if (better) best = { range, fits, misfit }
  }
  return best?.range ?? null
}

// Mean |ln(power / neighbours' power)| that doesn't tell two ranges apart: about the scatter of single samples.
const NEAR_TIE = 0.05

function candidateRanges(unitJ: number): number[] {
  const ranges: number[] = [...KNOWN_RANGES_J]
  for (const bits of [32, 24, 16, 31, 48, 53]) ranges.push(2 ** bits * unitJ)
  for (let bits = 8; bits <= 40; bits++) ranges.push(2 ** bits)
  for (let digits = 3; digits <= 15; digits++) ranges.push(10 ** digits * unitJ)
  return ranges
}

function scoreRange(
  { timesS, energyJ, falls, expected }: RangeSearch,
  range: number,
): { fits: number; misfit: number } {
  let [fits, misfit] = [0, 0]
  for (const i of falls) {
    const around = expected.get(i)!
    const power = (energyJ[i]! - energyJ[i - 1]! + range) / (timesS[i]! - timesS[i - 1]!)
    if (!isContinuous(power, around)) continue
    fits++
    const bounded = Math.min(Math.max(power, around.lowW), around.highW)
    misfit += Math.abs(Math.log(power / bounded)) + 0.1 * Math.abs(Math.log(power / around.middleW))
  }
  return { fits, misfit: fits === 0 ? Number.POSITIVE_INFINITY : misfit / fits }
}

function highestOf(values: ArrayLike<number>): number {
  let highest = Number.NEGATIVE_INFINITY
  for (let i = 0; i < values.length; i++) if (values[i]! > highest) highest = values[i]!
  return highest
}

/** In a gap long enough, a small counter goes round unseen: whole ranges are added until power meets the samples before and after. */
function addMissedWraps(timesS: ArrayLike<number>, deltaJ: Float64Array, rangeJ: number): void {
  for (let i = 2; i + 1 < deltaJ.length; i++) {
    const dt = timesS[i]! - timesS[i - 1]!
    const before = deltaJ[i - 1]! / (timesS[i - 1]! - timesS[i - 2]!)
    const after = deltaJ[i + 1]! / (timesS[i + 1]! - timesS[i]!)
    const likelyJ = Math.min(before, after) * dt
    if (likelyJ > rangeJ / 2 && deltaJ[i]! < likelyJ - rangeJ / 2) {
      deltaJ[i] = deltaJ[i]! + rangeJ * Math.round((likelyJ - deltaJ[i]!) / rangeJ)
    }
  }
}

/** Means over the spans between updates of the counter; what follows the last update keeps its zeros. */
function spreadUpdates(timesS: ArrayLike<number>, deltaJ: Float64Array, stale: number[]): Float64Array {
  const powerW = new Float64Array(deltaJ.length)
  let from = 0
  for (let i = 1; i < deltaJ.length; i++) {
    if (deltaJ[i] === 0 && i + 1 < deltaJ.length) {
      stale.push(i)
      continue
    }
    powerW.fill(deltaJ[i]! / (timesS[i]! - timesS[from]!), from + 1, i + 1)
    from = i
  }
  powerW[0] = powerW[1] ?? Number.NaN
  return powerW
}
