import { InputError } from '../../errors.js'
import type { Context, ExitStatus } from '../context.js'
import { withoutControls } from './withoutControls.js'

interface Failure {
  readonly text: string
  readonly status: ExitStatus
}

/**
 * What stderr says when a command fails: for bad input `file:line: what was wrong` and what to do (exit 2); for
 * anything else one line and exit 1, with the stack when HOLDWATT_DEBUG is set.
 */
export function sayFailure(error: unknown, env: Context['env']): Failure {
  if (error instanceof InputError) {
    const all = [error, ...(error.details.others ?? [])]
    const shown = all.slice(0, MOST_FAULTS).map(sayInputError)
    const rest = all.length > MOST_FAULTS ? `… and ${all.length - MOST_FAULTS} more\n` : ''
    return { text: shown.join('') + rest, status: 2 }
  }
  const message = error instanceof Error ? error.message : String(error)
  const debug = env.HOLDWATT_DEBUG !== undefined && env.HOLDWATT_DEBUG !== ''
  const stack = debug && error instanceof Error ? `${error.stack}\n` : ''
  const hint = debug ? '' : ' (HOLDWATT_DEBUG=1 shows where)'
  return {
    text: `holdwatt: a fault of the tool: ${oneLine(message).slice(0, 300)}${hint}\n${stack}`,
    status: 1,
  }
}

const MOST_FAULTS = 10

function sayInputError(error: InputError): string {
  const { where, remedy } = error.details
  const place = [where?.file, where?.line].filter((part) => part !== undefined).join(':')
  const head = `${oneLine(place === '' ? 'holdwatt' : place)}: ${oneLine(error.message)}\n`
  return remedy === undefined ? head : `${head}  ${oneLine(remedy)}\n`
}

function oneLine(text: string): string {
  return withoutControls(text.replace(/\s+/g, ' ').trim())
}
