import type { AuditedFile, CheckedFile } from '../../audit/checkFile.js'
import { checkTogether } from '../../audit/checkTogether.js'
import { isUnsafe } from '../../audit/finding.js'
import { findingsTable } from '../../show/tables/findingsTable.js'
import { sayFindings } from '../../show/terminal/sayFindings.js'
import { sayFindingsTable } from '../../show/terminal/sayFindingsTable.js'
import type { Style } from '../../show/terminal/style.js'
import type { Context } from '../context.js'
import { chosenColumns, type LogOptionValues } from '../options/logOptions.js'
import { answerDocument, jsonText } from '../output/answerDocument.js'
import type { OutputOptions } from '../output/outputOptions.js'
import { archiveAnswers } from './archiveAnswers.js'
import type { ArchiveOptions } from './archiveOptions.js'
import type { ArchiveRequest } from './archiveRequest.js'
import { type ArchiveTasks, archiveTasks, LOG_ENDINGS, SHEET_ENDINGS } from './archiveTasks.js'
import { printLines } from './printLines.js'
import { printTable } from './printTable.js'

type Checking = ArchiveRequest<'check'> & { readonly options: OutputOptions }

/** More files than this are told on a line each: nobody reads so many pages. */
const MOST_IN_FULL = 10

/**
 * `holdwatt check` of many files. Sheets that were named one by one are also held against each other, as for a comparison;
 * those of a folder, a pattern or a list, and those told line by line, are not: an archive holds many workloads.
 */
export async function manyChecks(
  words: readonly string[],
  options: ArchiveOptions & LogOptionValues & OutputOptions,
  context: Context,
): Promise<void> {
  const command = 'check'
  const endings = [...LOG_ENDINGS, ...SHEET_ENDINGS]
  const found = await archiveTasks({ command, words, options, endings }, context)
  const request = { command, logOptions: chosenColumns(options), options } as const
  if (options.jsonLines === true) return printLines(found, request, context)
  if (options.json === true) return printFindings(found, request, context)
  const inFull = found.named && found.total !== undefined && found.total <= MOST_IN_FULL
  const say = (rows: readonly AuditedFile[], style: Style) => {
    const files = together(rows, found)
    endUnsafe(files, found, context)
    return inFull ? sayFindings(files, style) : sayFindingsTable(files, style)
  }
  const tables = (rows: readonly AuditedFile[]) => {
    const files = together(rows, found)
    endUnsafe(files, found, context)
    return [findingsTable(files)]
  }
  await printTable(found, request, { keep: (row) => row, say, tables }, context)
}

async function printFindings(found: ArchiveTasks, request: Checking, context: Context): Promise<void> {
  const rows: AuditedFile[] = []
  const failed = new Map<number, object>()
  let index = 0
  for await (const answer of archiveAnswers(found, { ...request, wants: 'row' }, context)) {
    if (answer.kind === 'done') rows.push(answer.row!)
    else failed.set(index, { path: answer.paths[0], findings: [], error: answer.error })
    index += 1
  }
  const checked = together(rows, found)
  endUnsafe(checked, found, context)
  const next = checked[Symbol.iterator]()
  const files = Array.from({ length: index }, (_, i) => failed.get(i) ?? next.next().value)
  const { version } = context
  context.writeOut(
    `${jsonText(answerDocument({ command: 'check', version, warnings: [], fields: { files } }))}\n`,
  )
}

/** Findings with those of sheets held against each other, where the user gave them together. */
function together(rows: readonly AuditedFile[], { named }: ArchiveTasks): readonly CheckedFile[] {
  return named ? checkTogether(rows) : rows.map(({ path, findings }) => ({ path, findings }))
}

/** Together sheets may be unsafe that were not alone; bad input among the files is graver, and stays. */
function endUnsafe(files: readonly CheckedFile[], found: ArchiveTasks, context: Context): void {
  const isWhole = files.length === found.total && found.faults.length === 0
  if (isWhole && files.some(({ findings }) => findings.some(isUnsafe))) context.setExit(3)
}
