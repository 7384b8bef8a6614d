import type { Chart } from '../../show/charts/chart.js'
import type { WhatIfState } from '../../show/page/whatIf/whatIfState.js'
import type { DataTable } from '../../show/tables/dataTable.js'

/** A test sheet on the desk. */
export interface SheetFile {
  readonly file: string
  readonly text: string
  /** Which of the tests of a sheet of many workloads; left out for a sheet of one. */
  readonly asked?: string
}

/** Limits of a supposed chassis, W and s; null where none is supposed. */
export interface SupposedLimits {
  readonly sustainedW: number
  readonly burstW: number | null
  readonly burstForS: number | null
  readonly shortTermW: number | null
  readonly shortTermForS: number | null
}

/**
 * What can be asked of the machines on the desk: what the commands answer, of the same sheets in the same order. `sheets` are of one chip
 * and workload and are fitted together, the machine that is asked about first. `places` are those of the sheets on the desk: they decide
 * colours and marks.
 */
export type Question =
  | { readonly kind: 'fit'; readonly sheets: readonly SheetFile[]; readonly places: readonly number[] }
  | {
      readonly kind: 'project'
      readonly sheets: readonly SheetFile[]
      readonly target: SupposedLimits | SheetFile
    }
  | { readonly kind: 'compare'; readonly sheets: readonly SheetFile[]; readonly places: readonly number[] }
  | {
      readonly kind: 'explain'
      readonly sheets: readonly [SheetFile, SheetFile]
      readonly places: readonly [number, number]
    }
  | { readonly kind: 'plan'; readonly sheets: readonly [SheetFile] }
  | { readonly kind: 'check'; readonly sheets: readonly SheetFile[] }

/** What a chart says in words and numbers. */
export type ChartWords = Pick<Chart, 'name' | 'title' | 'subtitle' | 'summary' | 'table'>

/** An answer, in the form in which every answer is shown and taken away. */
export interface DeskAnswer {
  /** The conclusion in a sentence. */
  readonly title: string
  readonly text: readonly string[]
  readonly tables: readonly DataTable[]
  readonly charts: readonly ChartWords[]
  readonly warnings: readonly string[]
  readonly cautions: string
  /** Limits of the chassis as tested, to begin a supposition with, and the powers that sliders reach; of a fit alone. */
  readonly limits: { readonly state: WhatIfState; readonly sliderW: readonly [number, number] } | null
  /** The command that gives the same figures. */
  readonly command: string
}

/** The command line that answers a question from the same sheets. */
export function commandOfQuestion(question: Question): string {
  const sheets = question.sheets.map((sheet) => quoted(nameOfSheet(sheet))).join(' ')
  if (question.kind !== 'project') return `holdwatt ${question.kind} ${sheets}`
  const { target } = question
  if ('file' in target) return `holdwatt project ${sheets} --chassis ${quoted(nameOfSheet(target))}`
  const options = [
    ['--sustained', target.sustainedW, 'W'],
    ['--short-term', target.shortTermW, 'W'],
    ['--short-term-for', target.shortTermForS, 's'],
    ['--burst', target.burstW, 'W'],
    ['--burst-for', target.burstForS, 's'],
  ] as const
  const words = options.flatMap(([name, value, unit]) => (value === null ? [] : [`${name} ${value}${unit}`]))
  return `holdwatt project ${sheets} ${words.join(' ')}`
}

/** A sheet as commands are told it, with the test that is asked for behind it. */
export function nameOfSheet({ file, asked }: Omit<SheetFile, 'text'>): string {
  return asked === undefined ? file : `${file}#${asked}`
}

/** A file name as a shell takes it. */
export function quoted(name: string): string {
  return /^[\w./-]+$/.test(name) ? name : `'${name.replaceAll("'", "'\\''")}'`
}
