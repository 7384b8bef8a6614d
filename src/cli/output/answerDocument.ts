import { sayWarning } from '../../show/text/sayWarning.js'
import type { Warning } from '../../warnings.js'
import { escapeUnsafe } from './withoutControls.js'

/**
 * A command's JSON document (section 3 of cli/README.md): `tool`, `version`, `command` and `warnings`, then the command's own fields.
 * Two sheets, or a fit and a projection from it, may have the same warning: it is told once.
 */
export function answerDocument(answer: {
  readonly command: string
  readonly version: string
  readonly warnings: readonly ToldWarning[]
  readonly fields: object
}): object {
  const { command, version } = answer
  const warnings = withoutRepeats(answer.warnings).map((warning) => {
    return { code: warning.code, message: sayTold(warning) }
  })
  return { tool: 'holdwatt', version, command, warnings, ...answer.fields }
}

/** The warnings, none twice. */
export function withoutRepeats(warnings: readonly ToldWarning[]): readonly ToldWarning[] {
  return [...new Map(warnings.map((warning) => [JSON.stringify(warning), warning])).values()]
}

/**
 * A document as JSON text. A statistic that is undefined or not finite is `null`: JSON knows no NaN.
 *
 * @source RFC 8259, section 6: "Numeric values that cannot be represented in the grammar below (such as Infinity and
 *   NaN) are not permitted"
 */
export function jsonText(document: object): string {
  return escapeUnsafe(JSON.stringify(document, plainValue, 2))
}

/** The same on one line. */
export function jsonLine(document: object): string {
  return escapeUnsafe(JSON.stringify(document, plainValue))
}

function plainValue(_key: string, value: unknown): unknown {
  if (value === undefined) return null
  if (typeof value === 'number') return Number.isFinite(value) ? value : null
  return ArrayBuffer.isView(value) && !(value instanceof DataView) ? Array.from(value as Float64Array) : value
}

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
