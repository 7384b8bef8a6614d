import { sayWarning } from '../show/sayWarning.js'
import type { Warning } from '../warnings.js'

/** A warning, and the machine that it is about where a command speaks of several. */
export type ToldWarning = Warning & { readonly about?: string }

/** Warnings of one machine among several. */
export function about(machine: string, warnings: readonly Warning[]): readonly ToldWarning[] {
  return warnings.map((warning) => ({ ...warning, about: machine }))
}

/** A warning in a sentence, with the machine that it is about. */
export function sayTold(warning: ToldWarning): string {
  return warning.about === undefined ? sayWarning(warning) : `${warning.about}: ${sayWarning(warning)}`
}
