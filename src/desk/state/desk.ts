import type { LogOptions } from '../../log/trace.js'
import type { Question, SheetFile } from '../work/question.js'
import { askedTest } from './reviewTests.js'
import { sheetFields } from './sheetFields.js'
import { loadsInUse, optionsOfTrial, withTrialOptions } from './trialOptions.js'

/** A log that lies on the desk; its bytes are kept beside the desk, by its id. */
export interface DeskLog {
  readonly id: string
  readonly name: string
  readonly options: LogOptions
}

/** A test sheet that lies on the desk, as the text that the command reads too. */
export interface DeskSheet {
  readonly id: string
  /** Its file name. */
  readonly file: string
  readonly text: string
  /** Which test of a sheet of many workloads is shown; left out: the first. */
  readonly asked?: string
}

/** All that a person has laid out: what is undone, kept and saved is this. */
export interface Desk {
  readonly logs: readonly DeskLog[]
  readonly sheets: readonly DeskSheet[]
}

export const EMPTY_DESK: Desk = { logs: [], sheets: [] }

/** The desk with one log changed; `null` takes it away. */
export function withLog(desk: Desk, id: string, change: Partial<DeskLog> | null): Desk {
  return { ...desk, logs: changed(desk.logs, id, change) }
}

/**
 * The desk with a log read in another way. Sheets that read it as it was read follow, so that what a person corrects is kept in them.
 *
 * @param places - for each load before, its place after
 */
export function withOptions(
  desk: Desk,
  id: string,
  after: LogOptions,
  places?: readonly (number | undefined)[],
): Desk {
  const log = desk.logs.find((each) => each.id === id)
  if (log === undefined) return desk
  const change = { before: log.options, after, places }
  const sheets = desk.sheets.map((sheet) => {
    const text = withTrialOptions(sheet.text, log.name, change)
    return text === sheet.text ? sheet : { ...sheet, text }
  })
  return withLog({ ...desk, sheets }, id, { options: after })
}

/** Sheets that are about one load of a log, told by its number. */
export function sheetsOfLoad({ sheets }: Desk, log: DeskLog, number: number): readonly DeskSheet[] {
  return sheets.filter(({ text }) => loadsInUse(text, log.name).includes(number))
}

/** The desk with logs that nothing was chosen for read as the sheets on it say. */
export function readAsSheetsSay(desk: Desk): Desk {
  const logs = desk.logs.map((log) => {
    if (Object.keys(log.options).length > 0) return log
    for (const { text } of desk.sheets) {
      const options = optionsOfTrial(text, log.name)
      if (options !== null) return { ...log, options }
    }
    return log
  })
  return { ...desk, logs }
}

/** The desk with one sheet changed; `null` takes it away. */
export function withSheet(desk: Desk, id: string, change: Partial<DeskSheet> | null): Desk {
  return { ...desk, sheets: changed(desk.sheets, id, change) }
}

/** A sheet and those of the same chip and workload, its own first: they are fitted together. */
export function fittedTogether({ sheets }: Desk, id: string): readonly SheetFile[] {
  const own = sheets.find((sheet) => sheet.id === id)
  if (own === undefined) return []
  const others = sheets.filter((sheet) => sheet !== own && chipKey(sheet) === chipKey(own))
  return [own, ...others.filter(isScored)].map(sheetFile)
}

/** What a sheet's scores make of a watt. */
export function fitQuestion(desk: Desk, id: string): Extract<Question, { readonly kind: 'fit' }> {
  return { kind: 'fit', sheets: fittedTogether(desk, id), places: [placeOf(desk, id)] }
}

/** Place of a sheet on the desk: it decides colour and mark. */
export function placeOf({ sheets }: Desk, id: string): number {
  return sheets.findIndex((sheet) => sheet.id === id)
}

/** Sheets that can be asked about: those with scores. */
export function scoredSheets({ sheets }: Desk): readonly DeskSheet[] {
  return sheets.filter(isScored)
}

export function sheetFile(sheet: DeskSheet): SheetFile {
  const asked = askedTest(sheet)
  return { file: sheet.file, text: sheet.text, ...(asked === undefined ? {} : { asked }) }
}

/** Logs, and tables, that sheets name. */
export function logsOfSheets<T extends { readonly name: string }>(
  logs: readonly T[],
  sheets: readonly SheetFile[],
): readonly T[] {
  const name = (path: string) => path.split(/[\\/]/).at(-1)!
  return logs.filter((log) => sheets.some(({ text }) => text.includes(name(log.name))))
}

function isScored(sheet: DeskSheet): boolean {
  return (sheetFields(sheet.text, askedTest(sheet))?.scored ?? 0) > 0
}

function chipKey(sheet: DeskSheet): string {
  const fields = sheetFields(sheet.text, askedTest(sheet))
  return JSON.stringify(fields && [fields.chip, fields.workload, fields.score, fields.better])
}

function changed<T extends { readonly id: string }>(
  items: readonly T[],
  id: string,
  change: Partial<T> | null,
): readonly T[] {
  if (change === null) return items.filter((item) => item.id !== id)
  return items.map((item) => (item.id === id ? { ...item, ...change } : item))
}

/** A name that no other file on the desk has: `loop.csv`, `loop-2.csv`. */
export function freeName(name: string, taken: readonly string[]): string {
  if (!taken.includes(name)) return name
  const [, stem = name, ending = ''] = /^(.*?)(\.[^.]*)?$/s.exec(name) ?? []
  let number = 2
  while (taken.includes(`${stem}-${number}${ending}`)) number += 1
  return `${stem}-${number}${ending}`
}
