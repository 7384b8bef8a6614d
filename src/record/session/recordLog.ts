import { formatRun, type RecordedRun, type RunEnd } from './recordedRun.js'
import type { RecordingWorld } from './recordingWorld.js'
import { type Sampled, type Sampler, type SamplerPlan, startSampler } from './startSampler.js'

/** What is done while recording: runs of a command, counted from 1, or nothing for a time. */
export type RecordedWork =
  | {
      readonly kind: 'runs'
      readonly first: number
      readonly last: number
      readonly gapS: number
      /** Idle time recorded before the first run and after the last. */
      readonly beforeS: number
      readonly afterS: number
      /** Starts a run; resolves when it has ended. */
      readonly start: (number: number) => Promise<RunEnd>
    }
  | { readonly kind: 'time'; readonly forS: number }

/** What is to be recorded, and how. */
export interface RecordingPlan extends SamplerPlan {
  readonly work: RecordedWork
  /** Resolves when the recording is to stop early; a running command is still waited for. */
  readonly stop: Promise<unknown>
}

/** What was recorded. */
export interface Recording extends Sampled {
  readonly runs: readonly RecordedRun[]
}

/**
 * Records all sensors at an even pace below a header that is there already: some time idle, each run of the command, the pauses between
 * them, and some time afterwards; or nothing but a time. A line tells of each run.
 *
 * Samples are due at multiples of the interval from the first one, so that lateness never adds up; one that is missed
 * altogether is left out rather than squeezed in.
 */
export async function recordLog(plan: RecordingPlan, world: RecordingWorld): Promise<Recording> {
  const sampler = startSampler(plan, world)
  let stopped = false
  plan.stop.then(
    () => {
      stopped = true
    },
    () => undefined,
  )
  const { work, stop } = plan
  const runs: RecordedRun[] = []
  if (work.kind === 'time') {
    await sampleUntil(sampler, { phase: 'recording', forS: work.forS, end: stop })
    sampler.take('recording', MIN_STEP_S)
  } else {
    await sampleUntil(sampler, { phase: 'before', forS: work.beforeS, end: stop })
    for (let number = work.first; number <= work.last && !stopped; number++) {
      if (number > work.first) await sampleUntil(sampler, { phase: 'pause', forS: work.gapS, end: stop })
      if (!stopped) runs.push(await recordRun(number, work, { sampler, world }))
    }
    await sampleUntil(sampler, { phase: 'after', forS: work.afterS, end: stop })
    sampler.take('after', MIN_STEP_S)
  }
  return { ...sampler.counts(), runs }
}

// Two samples closer than this would share their millisecond stamp.
const MIN_STEP_S = 0.002

/** One run, with samples where it begins and where it ends. */
async function recordRun(
  number: number,
  { first, start }: Extract<RecordedWork, { kind: 'runs' }>,
  { sampler, world }: { readonly sampler: Sampler; readonly world: RecordingWorld },
): Promise<RecordedRun> {
  sampler.take(number === first ? 'before' : 'pause')
  const startS = sampler.elapsedS()
  const end = start(number)
  await sampleUntil(sampler, { phase: `run ${number}`, forS: Number.POSITIVE_INFINITY, end })
  const endS = sampler.elapsedS()
  sampler.take(`run ${number}`)
  const run = { number, startS, endS, ...(await end) }
  world.writeLine(formatRun(run))
  await world.onRun?.(run)
  return run
}

interface RecordedStretch {
  readonly phase: string
  readonly forS: number
  readonly end: Promise<unknown>
}

async function sampleUntil(sampler: Sampler, { phase, forS, end }: RecordedStretch): Promise<void> {
  const cut = new AbortController()
  // What went wrong with the command is for whoever awaits it.
  const abort = () => cut.abort()
  end.then(abort, abort)
  // Something that is over already is seen before the first sample.
  await Promise.resolve()
  const untilS = sampler.elapsedS() + forS
  while (!cut.signal.aborted && sampler.elapsedS() < untilS) {
    sampler.take(phase)
    await sampler.waitForNext(cut.signal, untilS - sampler.elapsedS())
  }
}
