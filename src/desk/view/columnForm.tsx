import { useContext } from 'preact/hooks'
import { parseRunTime } from '../../log/time/parseRunTime.js'
import type { LogOptions } from '../../log/trace.js'
import { parseQuantity } from '../../units.js'
import { DeskContext } from '../reach/deskContext.js'
import { useAsked } from '../reach/useAsked.js'
import { type DeskLog, withLog } from '../state/desk.js'
import type { LogFile } from '../work/logFile.js'

const COLUMNS = [
  ['power', 'Power'],
  ['time', 'Time'],
  ['temperature', 'Temperature'],
  ['clock', 'Clock'],
] as const

/** Which columns of a log are read, and which part of it: chosen by a person where the log leaves a doubt. */
export function ColumnForm({
  log,
  file,
  open,
}: {
  readonly log: DeskLog
  readonly file: LogFile
  readonly open: boolean
}) {
  const { change, say } = useContext(DeskContext)
  const { latest } = useAsked('columns', { log: file })
  const set = (key: keyof LogOptions, parse: (text: string) => unknown) => (text: string) => {
    const { [key]: _before, ...others } = log.options
    try {
      const options = text.trim() === '' ? others : { ...others, [key]: parse(text.trim()) }
      change((desk) => withLog(desk, log.id, { options: options as LogOptions }))
    } catch {
      say(`“${text}” can’t be read as a time.`)
    }
  }
  const asIs = (text: string) => text
  return (
    <details open={open}>
      <summary>
        Columns and part of the log{Object.keys(log.options).length > 0 ? ' (chosen by you)' : ''}
      </summary>
      <div class="names">
        {COLUMNS.map(([key, label]) => (
          <label key={key}>
            <span>{label}</span>
            <select
              value={log.options[key] ?? ''}
              onChange={(event) => set(key, asIs)(event.currentTarget.value)}
            >
              <option value="">found by itself</option>
              {[...new Set(latest ?? [])].map((name) => (
                <option key={name} value={name}>
                  {name}
                </option>
              ))}
            </select>
          </label>
        ))}
        <Time
          label="Seconds between samples, if it has no times"
          value={log.options.everyS?.toString() ?? ''}
          set={set('everyS', (text) => parseQuantity(/[a-z]/i.test(text) ? text : `${text} s`, 'time'))}
        />
        <Time
          label="From (12:30, or 750 s)"
          value={log.options.from?.text ?? ''}
          set={set('from', parseRunTime)}
        />
        <Time label="To" value={log.options.to?.text ?? ''} set={set('to', parseRunTime)} />
        <Time
          label="Which machine, if it holds several"
          value={log.options.device ?? ''}
          set={set('device', asIs)}
        />
      </div>
    </details>
  )
}

function Time({
  label,
  value,
  set,
}: {
  readonly label: string
  readonly value: string
  readonly set: (text: string) => void
}) {
  return (
    <label>
      <span>{label}</span>
      <input type="text" value={value} onChange={(event) => set(event.currentTarget.value)} />
    </label>
  )
}
