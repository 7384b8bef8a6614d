import type { Trace } from '../log/trace.js'
import { concatenate } from '../numeric/concatenate.js'
import { quickselect } from '../numeric/quickselect.js'
import { type Estimate, estimateFromStandardError } from '../numeric/statistics/estimate.js'
import { mean, standardDeviation } from '../numeric/statistics/moments.js'
import { estimateNoise, type Noise } from '../numeric/statistics/noise.js'
import { thin } from '../numeric/thin.js'
import { type CutRun, cleanRun, cutRoughly, cutRun, residualNoise, wholeRun } from './cut/cutRun.js'
import type { Series } from './cut/fitPiece.js'
import { endPower } from './cut/part.js'
import { withoutSwing } from './cut/withoutSwing.js'
import { describeStage } from './describeStage.js'
import { type GivenLoad, givenSpans } from './givenSpans.js'
import type { IndexRange } from './indexRange.js'
import type { Load, Run, Stage, Sustained } from './load.js'
import { flickersSharply } from './loads/findFlicker.js'
import { findSpans, findWork, type Span } from './loads/findSpans.js'
import { isAveraged } from './loads/isAveraged.js'
import { joinAliased } from './loads/joinAliased.js'
import { estimateSustained } from './settled/estimateSustained.js'
import { runsAreFlat } from './settled/runsAreFlat.js'
import { widenSwing } from './settled/widenSwing.js'
import { withinSamples } from './settled/withinSamples.js'
import { roundMean, withoutPauses } from './settled/withoutPauses.js'
import { withVaryingDemand } from './settled/withVaryingDemand.js'
import type { DraftStage } from './stages/draftStage.js'
import { draftStages } from './stages/draftStages.js'
import { fallsSteadily } from './stages/fallsSteadily.js'
import { columnEvidence, type LogContext, logContext } from './stages/holdEvidence.js'
import { joinRested } from './stages/joinRested.js'
import type { LoadNoise } from './stages/measureLevel.js'
import { measureRun } from './stages/measureRun.js'
import { leastDifference, quantization } from './stages/quantization.js'
import { splitSettled } from './stages/splitSettled.js'

/** Of a long run, so many stretches of so many samples tell the noise to less than a per cent; and of many runs, as many in all. */
const STRETCHES = 8

const STRETCH = 2500

/** How loads are looked for. */
export interface LoadSearch {
  /** Loads as a person set them, in order of time, in place of those that would be found; see `givenSpans`. */
  readonly given?: readonly GivenLoad[] | undefined
}

/**
 * Loads of a trace with their stages, runs and settled power.
 *
 * @param trace - power over time; see `Trace`
 * @returns loads in order of time; none when the power never rises above idle
 */
export function findLoads(trace: Trace, { given }: LoadSearch = {}): readonly Load[] {
  const apart = findWork(trace)
  // Means or instants is a matter of the logger: what the log itself shows tells it.
  const averaged = isAveraged(trace, findSpans(trace, apart)) ?? !flickersSharply(trace, apart)
  const work = averaged ? apart : joinAliased(trace, apart)
  const found = findSpans(trace, work)
  const spans = given === undefined ? found : givenSpans(trace, given, { work, averaged })
  const gridW = quantization(trace.powerW)
  const floorW = noiseFloor(trace.powerW, gridW ?? leastDifference(trace.powerW))
  const log = logContext(trace, spans)
  return spans.map((span) => findLoad(trace, span, { averaged, floorW, gridW, log }))
}

function findLoad(
  trace: Trace,
  span: Span,
  {
    averaged,
    floorW,
    gridW,
    log,
  }: {
    readonly averaged: boolean
    readonly floorW: number
    readonly gridW: number | undefined
    readonly log: LogContext
  },
): Load {
  // Steps and falls would pass for correlation here; white noise is the careful start, for it cuts too much, not too little.
  const guess = { scale: estimateNoise(runningPower(trace, span), floorW).whiteScale, autocorrelation: 0 }
  const opens = span.runs[0]!.from
  const isUnresolved = span.runs.some((run) => run.unresolved)
  const seriesOf = (range: IndexRange, noise: Noise): Series => {
    const [times, power] = [trace.timesS, trace.powerW].map((all) => all.subarray(range.from, range.to))
    const series = cleanRun(times!, power!, { noise, ends: endsOf(trace, range), averaged })
    return isUnresolved ? series : withoutSwing(series)
  }
  const scales = { least: floorW, most: 3 * guess.scale }
  const telling = tellingStretches(span.runs)
  const roughNoise = (noise: Noise) => {
    const cuts = telling.map((range) => cutRoughly(seriesOf(range, noise), noise, range.from === opens))
    return residualNoise(cuts, scales)
  }
  const first = roughNoise(guess)
  const rough = isNear(first, guess) ? first : roughNoise(first)
  const runs = span.runs.map((run) => {
    const cut = cutRun(seriesOf(run, rough), rough, run.from === opens)
    return run.unresolved ? wholeRun(cut) : cut
  })
  const noise: LoadNoise = { ...residualNoise(runs, scales), gridW }
  const measured = span.runs.map((run) => measureRun(trace, run, averaged))
  const startS = measured[0]!.startS
  const bounds = { startS, endS: measured.at(-1)!.endS }
  const whole = joinRested(draftStages(runs, measured, noise))
  const last = whole.at(-1)!
  const endW = endPower(last.stretches.at(-1)!.part, last.stretches.at(-1)!.run.series)
  const proven = columnEvidence(trace, last.stretches, endW, log)?.label ?? null
  const settled = estimateSustained(whole, noise, {
    loadStartS: startS,
    proven,
    heldW: log.heldW,
    fallsSteadily: fallsSteadily(trace, whole),
  })
  const drafts = splitSettled(whole, settled.sustained.fromS)
  const stages = drafts.map((draft, i) =>
    describeStage(trace, drafts, i, { noise, settled, settledIndex: whole.length - 1, draft, bounds, log }),
  )
  const sustained = sustainedOf(trace, widenSwing(settled.sustained, drafts.at(-1)!), {
    last: drafts.at(-1)!,
    stage: stages.at(-1)!,
    measured,
  })
  return withVaryingDemand(trace, {
    startS,
    endS: bounds.endS,
    stages,
    sustained: isUnresolved ? withinSamples(sustained, trace, span.runs) : sustained,
    runs: measured,
    noiseW: noise.scale,
    autocorrelation: noise.autocorrelation,
    spikesAtS: spikeTimes(runs),
    showsInstants: !averaged,
    ...(isUnresolved ? { unresolved: true } : {}),
  })
}

/** Fewest runs of a loop by which its rounds are told. */
const FEWEST_RUNS = 3
/** So many parts a run, none of which is any later run's level, say that the runs have none. Common practice, no source. */
const MANY_PARTS = 2
/** An interval wider than this share of its level says that there is none. */
const NO_LEVEL_SHARE = 0.3
const HOLDS = { heat: 'heat', demand: 'demand', 'power-limit': 'limit', undetermined: 'unknown' } as const

/** Of a loop, what work without its pauses would settle at. */
function sustainedOf(
  trace: Trace,
  sustained: Sustained,
  {
    last,
    stage,
    measured,
  }: { readonly last: DraftStage; readonly stage: Stage; readonly measured: readonly Run[] },
): Sustained {
  const runs = [...new Set(last.stretches.map(({ runIndex }) => runIndex))].map((index) => measured[index]!)
  if (!sustained.reached || runs.length < FEWEST_RUNS) return sustained
  const meanW = roundMean(trace, runs)
  const hold = HOLDS[stage.heldBy.label]
  const isFlat = hold === 'unknown' && runsAreFlat(last.stretches, sustained.levelW.value - meanW)
  const levelW = withoutPauses(sustained.levelW, meanW, isFlat ? 'flat' : hold)
  // Runs that have no level of their own, as of a task in waves, are told by their means.
  const isUneven = levelW.high - levelW.low > NO_LEVEL_SHARE * levelW.value
  const isSteps = last.stretches.length >= MANY_PARTS * runs.length
  return { ...sustained, levelW: isUneven || isSteps ? meanOfRuns(runs, meanW) : levelW }
}

/** Mean power of the runs of a loop, by their scatter; where their ends lie is open down to the mean of whole rounds. */
function meanOfRuns(runs: readonly Run[], roundMeanW: number): Estimate {
  const powers = runs.map((run) => run.meanW)
  const byScatter = estimateFromStandardError({
    value: mean(powers)!,
    standardError: standardDeviation(powers)! / Math.sqrt(powers.length),
    degreesOfFreedom: powers.length - 1,
  })
  return { ...byScatter, low: Math.min(byScatter.low, roundMeanW) }
}

/** Whether cutting by one noise or by the other comes to the same: penalties a third apart leave the pieces as they are. */
function isNear(a: Noise, b: Noise): boolean {
  return Math.abs(a.scale / b.scale - 1) < 0.3 && Math.abs(a.autocorrelation - b.autocorrelation) < 0.1
}

/** Which ends of a run border on a pause, so that their sample may average over the edge. */
function endsOf(trace: Trace, run: IndexRange): { readonly opens: boolean; readonly closes: boolean } {
  return { opens: run.from > 0, closes: run.to < trace.timesS.length }
}

function runningPower(trace: Trace, span: Span): Float64Array {
  return concatenate(span.runs.map(({ from, to }) => trace.powerW.subarray(from, to)))
}

/** So many values tell where the top of a log is. */
const ENOUGH = 2 ** 16
/** Below any logger's last digit; it keeps a trace of nothing but zeros from dividing by nothing. */
const LEAST_NOISE_W = 1e-6

/** Least noise that the figures can carry: that of their last digit, and one part in 5,000 for what no model says. */
function noiseFloor(power: Float64Array, quantumW: number): number {
  const most = Float64Array.from(thin(power, ENOUGH))
  const top = quickselect(most, Math.floor(0.9 * most.length))
  return Math.max(Number.isFinite(quantumW) ? quantumW / Math.sqrt(12) : 0, top / 5000, LEAST_NOISE_W)
}

function spikeTimes(runs: readonly CutRun[]): readonly number[] {
  const spikesS: number[] = []
  for (const { series } of runs) {
    for (let i = 1; i < series.timesS.length - 1; i++) {
      if (series.weights[i] === 0) spikesS.push(series.timesS[i]!)
    }
  }
  return spikesS
}

/** Runs by which the noise is told: some of very many, and the long ones by stretches spread evenly over them. */
function tellingStretches(runs: readonly IndexRange[]): readonly IndexRange[] {
  const samples = runs.reduce((sum, run) => sum + run.to - run.from, 0)
  const every = Math.min(
    Math.max(1, Math.floor(samples / (STRETCHES * STRETCH))),
    Math.ceil(runs.length / STRETCHES),
  )
  return runs
    .filter((_, i) => i % every === 0)
    .flatMap((run) => {
      const spare = run.to - run.from - STRETCHES * STRETCH
      if (spare <= 0) return [run]
      return Array.from({ length: STRETCHES }, (_, k) => {
        const from = run.from + k * STRETCH + Math.floor((k * spare) / (STRETCHES - 1))
        return { from, to: from + STRETCH }
      })
    })
}
