import { InputError } from '../../errors.js'
import { plainText } from '../../log/table/plainText.js'

/** Which load a workload is, as a person says it. */
export interface LoadChoice {
  /** Null: of every machine. */
  readonly machine: string | null
  readonly workload: string
  /** Null: in every mode. */
  readonly mode: string | null
  /** `none`: its power was not logged. */
  readonly load: 'none' | { readonly log: string | null; readonly number: number | null }
}

/**
 * Reads which load a workload is: `film encode @ battery = heron-battery.csv#6`, `film encode = 6` (of the log of each mode), `drive copy = none`.
 *
 * @throws InputError `place-unreadable`
 */
export function parseLoadChoice(text: string): LoadChoice {
  const at = text.lastIndexOf('=')
  const [name, load] = [text.slice(0, Math.max(0, at)).trim(), text.slice(at + 1).trim()]
  const between = name.lastIndexOf('@')
  const [workload, mode] =
    between < 0 ? [name, null] : [name.slice(0, between).trim(), name.slice(between + 1).trim()]
  if (at < 0 || workload === '' || mode === '') throw unreadable(text)
  return { machine: null, workload, mode, load: parseLoadName(load) }
}

/**
 * Reads the name of a load: `heron-battery.csv#6`, `heron-battery.csv` where it has one, `6`, or `none`.
 *
 * @throws InputError `place-unreadable`
 */
export function parseLoadName(text: string): LoadChoice['load'] {
  if (/^none$/i.test(text)) return 'none'
  const parts = /^([^#]*)(?:#([1-9]\d{0,3}))?$/.exec(/^[1-9]\d{0,3}$/.test(text) ? `#${text}` : text)
  if (text === '' || parts === null) throw unreadable(text)
  const log = parts[1]!.trim()
  return { log: log === '' ? null : log, number: parts[2] === undefined ? null : Number(parts[2]) }
}

function unreadable(text: string): InputError {
  return new InputError('place-unreadable', `expected which load a workload is, got "${plainText(text)}"`, {
    remedy:
      'write "film encode @ battery=heron-battery.csv#6", "film encode=6", or "drive copy=none" where no power was logged',
  })
}
