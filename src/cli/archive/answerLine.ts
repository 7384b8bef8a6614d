import { jsonLine } from '../output/answerDocument.js'
import type { ArchiveAnswer } from './workers/archiveTask.js'

/**
 * The answer to one task on one line: the document that `--json` prints for these files, with `path` before it (and `paths`,
 * where several sheets were fitted together), or `path` and an `error`.
 */
export function answerLine(
  answer: ArchiveAnswer,
  head: { readonly command: string; readonly version: string },
): string {
  const { paths } = answer
  const place = { path: paths[0]!, ...(paths.length > 1 ? { paths } : {}) }
  if (answer.kind === 'done') return `${jsonLine(place).slice(0, -1)},${answer.document.slice(1)}\n`
  const { command, version } = head
  return `${jsonLine({ ...place, tool: 'holdwatt', version, command, warnings: [], error: answer.error })}\n`
}
