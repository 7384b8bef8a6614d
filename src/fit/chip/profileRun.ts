import type { Trace } from '../../log/trace.js'
import { USUAL_WARMING } from '../../physics/chip/leakageHeat.js'

/** The power of one run: how many seconds were spent at which watts. Equal lengths. */
export interface PowerProfile {
  readonly powersW: readonly number[]
  readonly secondsS: readonly number[]
  /** Time-mean power, W. */
  readonly meanW: number
  /** Time-mean temperature, degrees C; left out: the log has none. */
  readonly meanC?: number
  /** Power that the usual machine's temperature answers to, mean over the run, W; left out: no log. See `USUAL_WARMING`. */
  readonly warmingW?: number
  /** The same at the end: of the last of several runs; left out: `warmingW`. */
  readonly lastWarmingW?: number
}

/**
 * Cuts one run's power out of a trace, exact at fractional ends.
 *
 * A sample is the mean over the interval that ends at it. An interval that straddles an end of the run mixes run and
 * pause, so its part inside takes the power of the nearest sample wholly inside; so does a sample next to an end
 * that is still far below its inner neighbour, as run times are often rounded to a whole second. In a log of instants
 * (`showsInstants`) a sample stands for the halves of the two intervals beside it.
 *
 * @param startS - run's start, seconds from the log's first sample
 * @param endS - run's end, > startS
 * @param instants - samples show the power of their instant
 * @returns undefined when no sample lies inside the run
 */
export function profileRun(
  trace: Trace,
  startS: number,
  endS: number,
  instants = false,
): PowerProfile | undefined {
  const pieces = instants ? instantOverlaps(trace, startS, endS) : overlaps(trace, startS, endS)
  const inner = pieces.filter((piece) => piece.whole && Number.isFinite(trace.powerW[piece.index]!))
  const kept = withoutEdgeDips(
    inner.map((piece) => piece.index),
    trace,
  )
  const first = kept[0] ?? pieces[0]?.index ?? 0
  const last = kept.at(-1) ?? pieces.at(-1)?.index ?? 0
  const profile = fromPieces(
    pieces.map((piece) => ({ ...piece, index: Math.min(last, Math.max(first, piece.index)) })),
    trace,
  )
  return profile && { ...profile, ...warmthOf(pieces, trace) }
}

/** A profile from levels written down by hand; its temperature is known where that of each level is. */
export function profileOfLevels(
  levels: readonly {
    readonly powerW: number
    readonly seconds: number
    readonly temperatureC?: number | null
  }[],
): PowerProfile {
  const powersW = levels.map((level) => level.powerW)
  const secondsS = levels.map((level) => level.seconds)
  const profile = { powersW, secondsS, meanW: timeMean(powersW, secondsS) }
  const temperaturesC = levels.flatMap(({ temperatureC }) => temperatureC ?? [])
  if (temperaturesC.length < levels.length) return profile
  return { ...profile, meanC: timeMean(temperaturesC, secondsS) }
}

/**
 * The profile of a mean over several runs, without the pauses between them.
 *
 * A mean score is the mean of the runs' rates, each run counting alike, so that the time of each is scaled to the same length. A mean time
 * of fixed work is the whole time divided by the number of runs: work over the mean rate of all of that time, so that seconds count as they are.
 *
 * @param isTime - the mean is of times
 * @returns undefined without runs
 */
export function profileOfRuns(runs: readonly PowerProfile[], isTime: boolean): PowerProfile | undefined {
  const last = runs.at(-1)
  if (last === undefined) return undefined
  const lengths = runs.map(({ secondsS }) => secondsS.reduce((sum, s) => sum + s, 0))
  const meanS = lengths.reduce((sum, s) => sum + s, 0) / runs.length
  const scales = lengths.map((s) => (isTime ? 1 : meanS / s))
  const weights = lengths.map((s, k) => s * scales[k]!)
  const meanOf = (values: readonly number[]) => timeMean(values, weights)
  const [temperatures, warmings] = [
    runs.flatMap(({ meanC }) => meanC ?? []),
    runs.flatMap(({ warmingW }) => warmingW ?? []),
  ]
  return {
    powersW: runs.flatMap(({ powersW }) => powersW),
    secondsS: runs.flatMap(({ secondsS }, k) => secondsS.map((s) => s * scales[k]!)),
    meanW: meanOf(runs.map(({ meanW }) => meanW)),
    ...(temperatures.length < runs.length ? {} : { meanC: meanOf(temperatures) }),
    ...(warmings.length < runs.length ? {} : { warmingW: meanOf(warmings), lastWarmingW: last.warmingW! }),
  }
}

interface ProfilePiece {
  readonly index: number
  readonly seconds: number
  readonly whole: boolean
}

/** A sample beside an end is taken for a mix with the pause below this share of its inner neighbour; common practice, no source. */
const EDGE_DIP = 0.8

function overlaps(trace: Trace, startS: number, endS: number): readonly ProfilePiece[] {
  const { timesS } = trace
  const pieces: ProfilePiece[] = []
  for (let i = firstAfter(timesS, startS); i < timesS.length; i++) {
    const from = i === 0 ? timesS[0]! - trace.intervalS : timesS[i - 1]!
    if (from >= endS) break
    const seconds = Math.min(endS, timesS[i]!) - Math.max(startS, from)
    if (seconds <= 0) continue
    pieces.push({ index: i, seconds, whole: from >= startS - 1e-9 && timesS[i]! <= endS + 1e-9 })
  }
  return pieces
}

function instantOverlaps(
  { timesS, intervalS }: Trace,
  startS: number,
  endS: number,
): readonly ProfilePiece[] {
  const pieces: ProfilePiece[] = []
  const last = timesS.length - 1
  for (let i = Math.max(0, firstAfter(timesS, startS) - 1); i <= last; i++) {
    const from = i === 0 ? timesS[0]! - intervalS / 2 : (timesS[i - 1]! + timesS[i]!) / 2
    const to = i === last ? timesS[last]! + intervalS / 2 : (timesS[i]! + timesS[i + 1]!) / 2
    if (from >= endS) break
    const seconds = Math.min(endS, to) - Math.max(startS, from)
    if (seconds > 0) pieces.push({ index: i, seconds, whole: timesS[i]! >= startS && timesS[i]! <= endS })
  }
  return pieces
}

/** Index of the first sample after a time. */
function firstAfter(timesS: Float64Array, timeS: number): number {
  let low = 0
  let high = timesS.length
  while (low < high) {
    const middle = (low + high) >> 1
    if (timesS[middle]! > timeS) high = middle
    else low = middle + 1
  }
  return low
}

/** Drops up to two samples at each end that still mix with a pause. */
function withoutEdgeDips(indices: readonly number[], trace: Trace): readonly number[] {
  let from = 0
  let to = indices.length
  const power = (i: number): number => trace.powerW[indices[i]!]!
  for (let n = 0; n < 2 && to - from >= 3; n++) {
    if (power(from) < EDGE_DIP * power(from + 1)) from++
    if (power(to - 1) < EDGE_DIP * power(to - 2)) to--
  }
  return indices.slice(from, to)
}

function fromPieces(pieces: readonly ProfilePiece[], trace: Trace): PowerProfile | undefined {
  const usable = pieces.filter((piece) => Number.isFinite(trace.powerW[piece.index]!))
  if (usable.length === 0) return undefined
  const powersW = usable.map((piece) => trace.powerW[piece.index]!)
  const secondsS = usable.map((piece) => piece.seconds)
  return { powersW, secondsS, meanW: timeMean(powersW, secondsS) }
}

/** Temperature of a run as logged, and what the usual machine's would answer to. */
function warmthOf(
  pieces: readonly ProfilePiece[],
  trace: Trace,
): { readonly meanC?: number; readonly warmingW: number } {
  const warming = warmingPowers(trace)
  const warmingW = timeMean(
    pieces.map((piece) => warming[piece.index]!),
    pieces.map((piece) => piece.seconds),
  )
  const { temperatureC } = trace
  const known = temperatureC ? pieces.filter((piece) => Number.isFinite(temperatureC[piece.index]!)) : []
  // With most of a run's temperatures missing, the rest may be of another part of it.
  if (!temperatureC || 2 * known.length < pieces.length) return { warmingW }
  const temperatures = known.map((piece) => temperatureC[piece.index]!)
  const seconds = known.map((piece) => piece.seconds)
  return { meanC: timeMean(temperatures, seconds), warmingW }
}

/** The same trace is asked for by each of its runs. */
const KNOWN_WARMING = new WeakMap<Trace, Float64Array>()

/** Power that the usual machine's temperature answers to, at each sample: shares of running averages. */
function warmingPowers(trace: Trace): Float64Array {
  const known = KNOWN_WARMING.get(trace)
  if (known !== undefined) return known
  const warmingW = new Float64Array(trace.powerW.length)
  for (const { share, tauS } of USUAL_WARMING) addAverage(trace, share, tauS, warmingW)
  KNOWN_WARMING.set(trace, warmingW)
  return warmingW
}

/** Adds a share of the power's running average. */
function addAverage({ timesS, powerW }: Trace, share: number, tauS: number, out: Float64Array): void {
  let averageW = finiteOr(powerW[0]!, 0)
  let seconds = 0
  let gain = 0
  out[0]! += share * averageW
  for (let i = 1; i < powerW.length; i++) {
    const stepS = timesS[i]! - timesS[i - 1]!
    if (stepS !== seconds) gain = -Math.expm1(-stepS / tauS)
    seconds = stepS
    averageW += (finiteOr(powerW[i]!, averageW) - averageW) * gain
    out[i]! += share * averageW
  }
}

function finiteOr(value: number, otherwise: number): number {
  return Number.isFinite(value) ? value : otherwise
}

function timeMean(values: readonly number[], secondsS: readonly number[]): number {
  const total = secondsS.reduce((sum, s) => sum + s, 0)
  return values.reduce((sum, value, i) => sum + value * secondsS[i]!, 0) / total
}
