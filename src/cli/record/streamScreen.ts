import { isKnownToPercent } from '../../record/session/judgeStage.js'
import type { StreamState } from '../../record/session/streamWatch.js'
import { plotLive } from '../../show/terminal/plotLive.js'
import type { Context } from '../context.js'
import { chooseStyle } from '../output/outputOptions.js'
import { withoutControls } from '../output/withoutControls.js'
import type { RecordJob, RecordOptions } from './recordJob.js'

/** What is told on stderr while another logger's lines come in. */
export interface StreamScreen {
  readonly show: (state: StreamState | undefined) => void
  readonly close: () => void
}

const MOST_COLUMNS = 80

/** A plot that is drawn anew on a terminal; elsewhere one line when the power is known well enough. */
export function streamScreen(job: RecordJob, options: RecordOptions, context: Context): StreamScreen {
  const isLive = options.live && context.stderrIsTerminal && context.env.TERM !== 'dumb'
  const style = chooseStyle(options, { ...context, stdoutIsTerminal: true })
  let [shown, told] = [0, false]
  const erase = () => {
    if (shown > 0) context.writeErr(`\r\u001b[${shown}A\u001b[J`)
    shown = 0
  }
  return {
    show: (state) => {
      if (state === undefined) return
      const known = state.stage !== undefined && isKnownToPercent(state.stage)
      if (isLive) {
        const lines = plotLive(viewOf(withoutControls(job.log), state, known), {
          ...style,
          width: Math.min(style.width, MOST_COLUMNS),
        })
        erase()
        context.writeErr(`\u001b[?7l${lines.map((line) => `${line}\n`).join('')}\u001b[?7h`)
        shown = lines.length
      } else if (known && !told) context.writeErr(`${ENOUGH}\n`)
      told ||= known
    },
    close: erase,
  }
}

const ENOUGH = 'The sustained power is known to a per cent: the load may end.'

function viewOf(path: string, { log: { trace }, stage }: StreamState, known: boolean) {
  const last = trace.timesS.length - 1
  const temperatureC = trace.temperatureC?.[last]
  return {
    path,
    elapsedS: trace.timesS[last]!,
    doing: known ? 'the sustained power is known to a per cent: the load may end' : 'logging',
    trace,
    traceStartS: 0,
    powerW: trace.powerW[last],
    temperatureC: Number.isNaN(temperatureC) ? undefined : temperatureC,
    clockHz: undefined,
    stage,
    unfinished: '',
  }
}
