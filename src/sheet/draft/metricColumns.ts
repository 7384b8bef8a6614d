import { InputError } from '../../errors.js'
import { listNames } from '../../log/table/listNames.js'
import { plainText } from '../../log/table/plainText.js'
import { secondsPer } from '../parseScore.js'
import { RUN_KEYS } from '../sheetSchema.js'
import { isScore, type ScoreCells, scoreCells } from './scoreCells.js'

/** A metric: what its values are in, and which direction is better; null where that is not certain. */
export interface TableMetric {
  readonly name: string
  readonly unit: string
  readonly better: 'higher' | 'lower' | null
}

/** A metric as a person names it: what is not said is taken from the table. */
export interface AskedMetric {
  readonly name: string
  readonly unit: string | null
  readonly better: 'higher' | 'lower' | null
}

/** A column of a table that holds the values of a metric; several of one metric, numbered, are runs one after another. */
export interface MetricColumn {
  readonly metric: TableMetric
  readonly index: number
  readonly read: ScoreCells
}

/**
 * Reads which columns hold scores, which direction is better and in which unit: `fps, low higher fps, time lower s`.
 *
 * @throws InputError `metric-unreadable`
 * @example parseMetrics('time lower s') // [{ name: 'time', better: 'lower', unit: 's' }]
 */
export function parseMetrics(text: string): readonly AskedMetric[] {
  return text.split(',').map((part) => {
    const words = part.trim().split(/\s+/)
    const at = words.findIndex((word, index) => index > 0 && /^(higher|lower)$/i.test(word))
    const name = (at < 0 ? words : words.slice(0, at)).join(' ')
    if (name === '') {
      throw new InputError('metric-unreadable', `expected metrics, got "${plainText(text)}"`, {
        remedy: 'write --metrics "fps, low higher fps, time lower s": column, which is better, unit',
      })
    }
    const unit = at < 0 ? '' : words.slice(at + 1).join(' ')
    return {
      name,
      better: at < 0 ? null : (words[at]!.toLowerCase() as 'higher' | 'lower'),
      unit: unit === '' ? null : unit,
    }
  })
}

/** What of a table the columns of scores are found in. */
export interface MetricSource {
  readonly headings: readonly string[]
  readonly lines: readonly (readonly string[])[]
  /** Which columns say where a run lies: they hold no score. */
  readonly isPlace: (index: number) => boolean
  readonly asked: readonly AskedMetric[] | undefined
  readonly file: string
}

/**
 * The columns of a table that hold scores: those asked for, else every column of numbers that says nothing else.
 *
 * A heading is the metric's name, with its unit in brackets (`time [s]`); columns that differ in a number at the end (`run 1`, `run 2`) are
 * runs of one metric. Which direction is better is certain of times (lower), of rates, frames and points (higher); of others it is null.
 *
 * @throws InputError `score-column-missing`, `metric-name-taken`, `score-comma`
 */
export function metricColumns(source: MetricSource): readonly MetricColumn[] {
  const { headings, lines, isPlace, asked, file } = source
  const cellsOf = (index: number) =>
    lines.map((row) => (row[index] ?? '').trim()).filter((cell) => cell !== '')
  const open = headings.flatMap((_, index) => {
    const cells = cellsOf(index)
    // A run that crashed, or was left out, makes no column of words.
    const scores = cells.filter(isScore).length
    return !isPlace(index) && scores > 0 && 2 * scores > cells.length ? [index] : []
  })
  const named = open.map((index) => ({ index, ...partsOf(headings, index) }))
  const columns =
    asked === undefined
      ? named.map((column) => ({ ...column, ask: undefined }))
      : asked.flatMap((ask) => {
          const same = headings
            .map((heading, index) => ({ index, ...partsOf(headings, index), heading }))
            .filter(({ name, heading }) => isSame(name, ask.name) || isSame(heading, ask.name))
          if (same.length === 0) throw noColumn(ask.name, headings, file)
          return same.map((column) => ({ ...column, ask }))
        })
  if (columns.length === 0) throw noColumn(undefined, headings, file)
  return columns.map(({ index, name, unit, ask }) => {
    if (RUN_KEYS.includes(name.toLowerCase())) throw nameTaken(name, file)
    const cells = cellsOf(index)
    const asked = { name, unit: ask?.unit ?? unit, better: ask?.better ?? null }
    return { index, metric: metricOf(asked, cells.filter(isScore)), read: scoreCells(lines, index, file) }
  })
}

/** What is known of a metric from its name, unit and values. */
export function metricOf({ name, unit, better }: AskedMetric, values: readonly string[]): TableMetric {
  const isTime = unit === null && values.length > 0 && values.every((value) => TIME_WITH_UNIT.test(value))
  const word = unit ?? (isTime ? 's' : /^score$/i.test(name) ? 'points' : name)
  return { name, unit: word, better: better ?? certainDirection(word) }
}

/** A time is better when it is shorter; work or frames in a time, and points, when they are more. */
function certainDirection(unit: string): 'higher' | 'lower' | null {
  if (secondsPer(unit) !== undefined) return 'lower'
  return /(^(fps|points?|pts|punkte?|puntos|punti|点)$)|(\S\s*\/\s*(s|sec|second|min|minute|h|hour)$)/i.test(
    unit,
  )
    ? 'higher'
    : null
}

const TIME_WITH_UNIT =
  /^(\d{1,3}(:\d{2}){1,2}(\.\d+)?|\d[\d.]*\s*(ms|s|secs?|seconds?|min|minutes?|h|hours?))$/i
/** `time [s]` is a name and a unit; the number of a run at its end counts where other columns have the same name. */
function partsOf(
  headings: readonly string[],
  index: number,
): { readonly name: string; readonly unit: string | null } {
  const own = splitHeading(headings[index]!)
  const stem = withoutNumber(own.name)
  const isNumbered =
    stem !== own.name &&
    headings.some((heading, other) => {
      const { name } = splitHeading(heading)
      return other !== index && name !== withoutNumber(name) && isSame(withoutNumber(name), stem)
    })
  if (!isNumbered) return own
  return { ...own, name: /^(run|score|pass)?$/i.test(stem) ? 'score' : stem }
}

/** A unit stands in the first words of a heading; the pattern costs the square of a text's length. */
const LONGEST_HEADING = 200

function splitHeading(heading: string): { readonly name: string; readonly unit: string | null } {
  const parts = /^([^[(]*)[[(]([^\])]+)[\])]\s*$/.exec(heading.slice(0, LONGEST_HEADING))
  const name = parts?.[1]?.trim() ?? ''
  return name === '' ? { name: heading, unit: null } : { name, unit: parts![2]!.trim() }
}

function withoutNumber(name: string): string {
  const at = name.slice(-8).search(/[\s_#-]*\d{1,3}$/)
  return at < 0 ? name : name.slice(0, Math.max(0, name.length - 8) + at)
}

function isSame(a: string, b: string): boolean {
  return a.trim().toLowerCase() === b.trim().toLowerCase()
}

function noColumn(asked: string | undefined, headings: readonly string[], file: string): InputError {
  const wanted = asked === undefined ? 'columns of scores' : `a column "${plainText(asked)}"`
  return new InputError('score-column-missing', `expected ${wanted}, got ${listNames(headings)}`, {
    where: { file, line: 1 },
    remedy: 'name the columns with --metrics "fps, time lower s"',
  })
}

function nameTaken(name: string, file: string): InputError {
  return new InputError('metric-name-taken', `a metric can't be named "${name}": it is a key of a run`, {
    where: { file, line: 1 },
    remedy: 'give the column another heading, such as `duration`',
  })
}
