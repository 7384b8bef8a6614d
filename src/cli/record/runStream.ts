import { readGrowing } from '../../files/readGrowing.js'
import { withFormulas } from '../../log/formula/withFormulas.js'
import { isKnownToPercent } from '../../record/session/judgeStage.js'
import { sheetKeeper } from '../../record/session/sheetKeeper.js'
import { type StreamState, streamWatch } from '../../record/session/streamWatch.js'
import { writeRecording } from '../../record/session/writeRecording.js'
import { sayDuration } from '../../show/figures/sayDuration.js'
import { sayEstimate } from '../../show/figures/sayEstimate.js'
import type { Context } from '../context.js'
import { printAnswer } from '../output/printAnswer.js'
import { withoutControls } from '../output/withoutControls.js'
import type { RecordJob, RecordOptions } from './recordJob.js'
import { streamScreen } from './streamScreen.js'

/**
 * Logs what another logger writes, from standard input or a file that grows: keeps its lines as they come, shows the power so far
 * and where it goes, and ends with the stream, with Ctrl-C, or when the sustained power is known.
 *
 * @throws InputError `usage`, those of reading and writing, and what was wrong with lines that are no log
 */
export async function runStream(job: RecordJob, options: RecordOptions, context: Context): Promise<void> {
  const end = new AbortController()
  const watch = streamWatch(
    await withFormulas({
      file: options.follow ?? 'standard input',
      everyS: options.every,
      ...(options.power === undefined ? {} : { power: options.power }),
    }),
  )
  const input = options.follow === undefined ? context.readIn?.() : undefined
  const pieces = options.follow === undefined ? (input ?? []) : readGrowing(options.follow, end.signal)
  const file = await writeRecording(job.log, { head: [], force: options.force === true })
  const screen = streamScreen(job, options, context)
  const stopListening = listen(() => end.abort())
  let settled = false
  const look = (): void => {
    const state = watch.judge()
    screen.show(state)
    settled = state?.stage !== undefined && isKnownToPercent(state.stage)
    if (settled && options.until === 'settled') end.abort()
  }
  const pace = pacer()
  try {
    for await (const piece of untilAborted(pieces, end.signal)) {
      file.write(piece)
      watch.push(piece)
      pace(look)
    }
  } finally {
    screen.close()
    stopListening()
    // Its writer may never end by itself.
    input?.destroy?.()
    await file.close()
  }
  const state = watch.judge()
  if (state === undefined) throw watch.fault()
  await writeStreamSheet(job, options, state)
  printStream(job, options, { state, settled }, context)
}

/** Pieces until the signal, without waiting for one more. */
async function* untilAborted(
  pieces: AsyncIterable<Uint8Array> | Iterable<Uint8Array>,
  signal: AbortSignal,
): AsyncGenerator<Uint8Array> {
  const aborted = new Promise<'aborted'>((resolve) => {
    if (signal.aborted) resolve('aborted')
    signal.addEventListener('abort', () => resolve('aborted'), { once: true })
  })
  const iterator = (async function* () {
    yield* pieces
  })()
  for (;;) {
    const piece = iterator.next()
    // One that comes after the end, or fails then, is nobody's.
    piece.catch(() => undefined)
    const next = await Promise.race([piece, aborted])
    if (next === 'aborted' || next.done === true) return
    yield next.value
    if (signal.aborted) return
  }
}

const SIGNALS: readonly NodeJS.Signals[] = ['SIGINT', 'SIGTERM', 'SIGHUP']

function listen(onSignal: () => void): () => void {
  for (const signal of SIGNALS) process.on(signal, onSignal)
  return () => {
    for (const signal of SIGNALS) process.off(signal, onSignal)
  }
}

/** Looks at most once a second, and never for more than a fiftieth of the time: reading all lines anew takes longer and longer. */
function pacer(): (action: () => void) => void {
  let nextMs = 0
  return (action) => {
    const beforeMs = performance.now()
    if (beforeMs < nextMs) return
    action()
    const tookMs = performance.now() - beforeMs
    nextMs = beforeMs + Math.max(LEAST_BETWEEN_MS, tookMs / LARGEST_SHARE)
  }
}

const LEAST_BETWEEN_MS = 1000
const LARGEST_SHARE = 0.02

/** A sheet whose runs wait for their scores. */
async function writeStreamSheet(
  job: RecordJob,
  options: RecordOptions,
  { loads }: StreamState,
): Promise<void> {
  const runs = loads.flatMap((load) => load.runs)
  const begun = {
    log: job.log,
    power: options.power ?? null,
    runs: runs.map(({ startS, endS }, i) => ({
      number: i + 1,
      startS,
      endS,
      status: 0,
      signal: null,
      score: null,
    })),
    sleeps: [],
  }
  await sheetKeeper(job.sheet, job.head, begun, options.force === true).write()
}

interface EndedStream {
  readonly state: StreamState
  readonly settled: boolean
}

function printStream(job: RecordJob, options: RecordOptions, ended: EndedStream, context: Context): void {
  const { log, loads } = ended.state
  const load = loads.at(-1)
  const { timesS } = log.trace
  printAnswer(
    {
      command: 'log',
      warnings: [],
      document: () => ({
        log: {
          path: job.log,
          samples: timesS.length,
          durationS: timesS.at(-1),
          powerColumn: log.columns.power,
        },
        sheet: job.sheet,
        settled: ended.settled,
        sustained: load?.sustained,
      }),
      view: withoutControls(job),
      say: ({ log: path, sheet }) =>
        [
          `${timesS.length} samples in ${sayDuration(timesS.at(-1)!)}: ${path}`,
          load === undefined
            ? 'No load was found.'
            : `Sustained power ${sayEstimate(load.sustained.levelW, 'W')}, ${load.sustained.reached ? 'measured' : 'extrapolated: the power had not settled'}.`,
          `The sheet waits for the scores of its runs: ${sheet}`,
        ].join('\n'),
    },
    options,
    context,
  )
}
