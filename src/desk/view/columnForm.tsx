import { useContext } from 'preact/hooks'
import { looksLikeFormula } from '../../log/formula/looksLikeFormula.js'
import { parseRunTime } from '../../log/time/parseRunTime.js'
import type { LogOptions } from '../../log/trace.js'
import { parseQuantity } from '../../units.js'
import { DeskContext } from '../reach/deskContext.js'
import { useAsked } from '../reach/useAsked.js'
import { type DeskLog, withOptions } from '../state/desk.js'
import type { LogFile } from '../work/logFile.js'
import { TextField } from './textField.js'

const COLUMNS = [
  ['power', 'Power'],
  ['time', 'Time'],
  ['temperature', 'Temperature'],
  ['clock', 'Clock'],
] as const

/** Choices that read other samples, or other times: loads that a person set lie elsewhere then. */
const MOVES_LOADS: ReadonlySet<keyof LogOptions> = new Set(['time', 'device', 'everyS', 'from', 'to'])

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
    const { [key]: _before, ...rest } = log.options
    const { loads, ...columns } = rest as LogOptions
    const isMoved = loads !== undefined && MOVES_LOADS.has(key)
    try {
      const chosen = text.trim() === '' ? {} : { [key]: parse(text.trim()) }
      change((desk) => withOptions(desk, log.id, { ...(isMoved ? columns : rest), ...chosen } as LogOptions))
      if (isMoved) say('The loads that you set are gone, as other samples are read. Undo brings them back.')
    } catch {
      say(`“${text}” can’t be read as a time.`)
      return false
    }
    return true
  }
  // A column that has the name comes first, as it does where the log is read.
  const { power = '' } = log.options
  const isFormula = looksLikeFormula(power) && !(latest ?? []).includes(power)
  const isChosen = Object.keys(log.options).some((key) => key !== 'loads')
  const asIs = (text: string) => text
  return (
    <details open={open}>
      <summary>Columns and part of the log{isChosen ? ' (chosen by you)' : ''}</summary>
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
        <TextField
          label="Power by a formula (volts * amps)"
          value={isFormula ? power : ''}
          set={set('power', asIs)}
        />
        <TextField
          label="Seconds between samples, if it has no times"
          value={log.options.everyS?.toString() ?? ''}
          set={set('everyS', (text) => parseQuantity(/[a-z]/i.test(text) ? text : `${text} s`, 'time'))}
        />
        <TextField
          label="From (12:30, or 750 s)"
          value={log.options.from?.text ?? ''}
          set={set('from', parseRunTime)}
        />
        <TextField label="To" value={log.options.to?.text ?? ''} set={set('to', parseRunTime)} />
        <TextField
          label="Which machine, if it holds several"
          value={log.options.device ?? ''}
          set={set('device', asIs)}
        />
      </div>
    </details>
  )
}
