import { InputError } from '../../errors.js'
import type { DeskFault } from './deskJob.js'

/** An error as the desk shows it: the file and line with what is wrong, and what to do. */
export function deskFault(error: unknown): DeskFault {
  if (error instanceof InputError) {
    const { where, remedy } = error.details
    const place = [where?.file, where?.line === undefined ? undefined : `line ${where.line}`]
    const named = place.filter((part) => part !== undefined).join(', ')
    return {
      code: error.code,
      message: named === '' ? error.message : `${named}: ${error.message}`,
      remedy: forDesk(error.code, remedy ?? ''),
    }
  }
  // What the browser itself refuses: too little memory, or a file that is gone from the disk.
  const words = error instanceof Error ? error.message : String(error)
  return { code: 'fault', message: `This could not be done: ${words.slice(0, 300)}`, remedy: '' }
}

/** Remedies name options of the command; on the desk the same choice stands under "Columns". */
function forDesk(code: string, remedy: string): string {
  const formula = /--power (?:"([^"]+\*[^"]+)"|'([^']+\*[^']+)')$/.exec(remedy)
  if (formula !== null) return `write this formula below, under “Columns”: ${formula[1] ?? formula[2]}`
  if (code === 'header-missing')
    return `${remedy}. If it is a table of scores, take it off: its rows are pasted where the machine is named, below its log`
  if (/holdwatt review\b/.test(remedy)) return 'on the desk, lay one sheet for each workload and mode'
  return /--(power|time|temperature|clock|device|every|reason-bits)\b/.test(remedy)
    ? 'choose the column below, under “Columns”'
    : remedy
}
