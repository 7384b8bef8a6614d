import { sayWarning } from '../show/sayWarning.js'
import type { Style } from '../show/style.js'
import { inkText } from '../show/style.js'
import { wrapText } from '../show/wrapText.js'
import type { Warning } from '../warnings.js'
import type { Context } from './context.js'
import { chooseStyle, type OutputOptions } from './outputOptions.js'
import { withoutControls } from './withoutControls.js'

/** A warning, and the machine that it is about where a command speaks of several. */
export type ToldWarning = Warning & { readonly about?: string }

interface Answer<View> {
  readonly command: string
  readonly warnings: readonly ToldWarning[]
  /** The fields of the JSON document, beside `tool`, `version`, `command` and `warnings`. */
  readonly document: () => object
  /** What the text is made from. */
  readonly view: View
  readonly say: (view: View, style: Style) => string
}

/** Prints a command's answer: one JSON document, or text with its warnings below. */
export function printAnswer<View>(answer: Answer<View>, options: OutputOptions, context: Context): void {
  const { command } = answer
  const told = withoutRepeats(answer.warnings)
  if (options.json === true) {
    const warnings = told.map((warning) => ({
      code: warning.code,
      message: sayTold(warning),
    }))
    const head = { tool: 'holdwatt', version: context.version, command, warnings }
    context.writeOut(`${jsonText({ ...head, ...answer.document() })}\n`)
    return
  }
  const style = chooseStyle(options, context)
  const parts = [answer.say(withoutControls(answer.view), style), ...sayWarnings(told, style)]
  context.writeOut(
    `${parts
      .join('\n\n')
      .replaceAll('\u00a0', ' ')
      .replace(/[ \t]+$/gm, '')}\n`,
  )
}

/** Two sheets, or a fit and a projection from it, may have the same to say. */
function withoutRepeats(warnings: readonly ToldWarning[]): readonly ToldWarning[] {
  return [...new Map(warnings.map((warning) => [JSON.stringify(warning), warning])).values()]
}

/** Warnings stand below the answer that they qualify. */
function sayWarnings(warnings: readonly ToldWarning[], style: Style): string[] {
  return withoutControls(warnings).map((warning) =>
    wrapText(`${inkText('Mind:', 'caution', style)} ${sayTold(warning)}`, style.width, 2),
  )
}

function sayTold(warning: ToldWarning): string {
  return warning.about === undefined ? sayWarning(warning) : `${warning.about}: ${sayWarning(warning)}`
}

/** Warnings of one machine among several. */
export function about(machine: string, warnings: readonly Warning[]): readonly ToldWarning[] {
  return warnings.map((warning) => ({ ...warning, about: machine }))
}

/**
 * One JSON document. A statistic that is undefined or not finite is `null`: JSON knows no NaN.
 *
 * @source RFC 8259, section 6: "Numeric values that cannot be represented in the grammar below (such as Infinity and
 *   NaN) are not permitted"
 */
export function jsonText(document: object): string {
  return JSON.stringify(document, plainValue, 2)
}

function plainValue(_key: string, value: unknown): unknown {
  if (value === undefined) return null
  if (typeof value === 'number') return Number.isFinite(value) ? value : null
  return ArrayBuffer.isView(value) && !(value instanceof DataView) ? Array.from(value as Float64Array) : value
}
