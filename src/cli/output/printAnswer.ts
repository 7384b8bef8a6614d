import { wrapText } from '../../show/figures/wrapText.js'
import type { Style } from '../../show/terminal/style.js'
import { inkText } from '../../show/terminal/style.js'
import type { Context } from '../context.js'
import {
  answerDocument,
  jsonLine,
  jsonText,
  sayTold,
  type ToldWarning,
  withoutRepeats,
} from './answerDocument.js'
import { chooseStyle, type OutputOptions } from './outputOptions.js'
import { withoutControls } from './withoutControls.js'

interface Answer<View> {
  readonly command: string
  readonly warnings: readonly ToldWarning[]
  /** The fields of the JSON document, beside `tool`, `version`, `command` and `warnings`. */
  readonly document: () => object
  /** What the text is made from. */
  readonly view: View
  readonly say: (view: View, style: Style) => string
}

/** Prints a command's answer: one JSON document (on one line when asked), or text with its warnings below. */
export function printAnswer<View>(
  answer: Answer<View>,
  options: OutputOptions & { readonly jsonLines?: boolean },
  context: Context,
): void {
  const { command, warnings } = answer
  if (options.json === true || options.jsonLines === true) {
    const { version } = context
    const document = answerDocument({ command, version, warnings, fields: answer.document() })
    context.writeOut(`${options.jsonLines === true ? jsonLine(document) : jsonText(document)}\n`)
    return
  }
  const style = chooseStyle(options, context)
  const parts = [
    answer.say(withoutControls(answer.view), style),
    ...sayWarnings(withoutRepeats(warnings), style),
  ]
  context.writeOut(
    `${parts
      .join('\n\n')
      .replaceAll('\u00a0', ' ')
      .replace(/[ \t]+$/gm, '')}\n`,
  )
}

/** Warnings stand below the answer that they qualify. */
function sayWarnings(warnings: readonly ToldWarning[], style: Style): string[] {
  return withoutControls(warnings).map((warning) =>
    wrapText(`${inkText('Caution:', 'caution', style)} ${sayTold(warning)}`, style.width, 2),
  )
}
