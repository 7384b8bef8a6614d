import { secondsPer } from '../parseScore.js'

/** What a column of a table of scores says beside the score. */
export type PlaceKind = keyof typeof HEADINGS

/** Which column says what, counted from 0. */
export type PlaceColumns = { readonly [place in PlaceKind | 'runs']?: number }

/** Headings by what their column says, in lower case: English, and those of German, French and Japanese tables. */
const HEADINGS = {
  machine: [
    ...['machine', 'laptop', 'notebook', 'computer', 'device', 'model'],
    ...[
      'maschine',
      'gerät',
      'rechner',
      'modell',
      'ordinateur',
      'appareil',
      'modèle',
      'portable',
      '機種',
      'マシン',
    ],
  ],
  workload: [
    ...['workload', 'task', 'test', 'benchmark', 'game'],
    ...['aufgabe', 'arbeit', 'spiel', 'anwendung', 'tâche', 'essai', 'jeu', 'テスト', '作業'],
  ],
  mode: ['mode', 'power mode', 'profile', 'supply', 'modus', 'profil', 'betriebsart', 'モード'],
  log: ['log', 'file', 'log file', 'datei', 'logdatei', 'fichier', 'ファイル'],
  load: ['load'],
  start: ['start', 'start time', 'started', 'begin', 'time', 'startzeit', 'beginn', 'début', '開始'],
  end: ['end', 'end time', 'ended', 'endzeit', 'ende', 'fin', '終了'],
  chip: ['chip', 'processor', 'prozessor', 'processeur', 'プロセッサ', 'チップ'],
  chassis: ['chassis', 'gehäuse', 'châssis'],
  unit: ['unit', 'einheit', 'unité', '単位'],
} as const

/** Headings that hold neither a score nor a place. */
const OTHERS = new Set([
  ...['run', 'pass', 'date', 'note', 'notes', 'comment', '#'],
  ...['lauf', 'durchlauf', 'datum', 'anmerkung', 'remarque', '備考'],
])

/** Headings that say of how many runs a score is the mean, and those that number single runs. */
const COUNTS = ['runs', 'n', 'count']
const NUMBERS = ['run', 'pass', '#', 'lauf', 'durchlauf']
const COUNT = /^([1-9]\d{0,3}|10000)$/

/**
 * Finds the columns that say where the run of each row lies, by their headings. Start and end may have a unit of time behind them.
 *
 * @param isScore - which columns are known to hold scores: they say nothing else
 */
export function findPlaces(
  headings: readonly string[],
  lines: readonly (readonly string[])[],
  isScore: (index: number) => boolean,
): PlaceColumns {
  const found = (Object.keys(HEADINGS) as PlaceKind[]).flatMap((place) => {
    for (const name of HEADINGS[place]) {
      const index = headings.findIndex((heading, at) => nameOf(heading, place) === name && !isScore(at))
      if (index >= 0) return [[place, index] as const]
    }
    return []
  })
  const runs = headings.findIndex((_, index) => !isScore(index) && isCount(headings, lines, index))
  return { ...Object.fromEntries(found), ...(runs < 0 ? {} : { runs }) }
}

/** Whether a column says where a run lies, or what is no score either. */
export function isPlace(index: number, headings: readonly string[], places: PlaceColumns): boolean {
  return Object.values(places).includes(index) || OTHERS.has(headings[index]!.toLowerCase())
}

/** Headings of columns of words that say nothing here, though their rows differ: a machine under a heading that is not known, say. */
export function unreadColumns(
  headings: readonly string[],
  lines: readonly (readonly string[])[],
  isRead: (index: number) => boolean,
): readonly string[] {
  return headings.filter((heading, index) => {
    const cells = new Set(lines.map((row) => (row[index] ?? '').trim()).filter((cell) => cell !== ''))
    return (
      !isRead(index) && heading !== '' && cells.size > 1 && [...cells].every((cell) => /^\p{L}/u.test(cell))
    )
  })
}

/** Whether a column numbers the rows' runs, so that each is of a single one. */
export function hasRunNumbers(headings: readonly string[]): boolean {
  return headings.some((heading) => NUMBERS.includes(heading.toLowerCase()))
}

/** Whole numbers under a heading of counts. */
function isCount(headings: readonly string[], lines: readonly (readonly string[])[], index: number): boolean {
  if (!COUNTS.includes(headings[index]!.toLowerCase())) return false
  const cells = lines.map((row) => (row[index] ?? '').trim()).filter((cell) => cell !== '')
  return cells.length > 0 && cells.every((cell) => COUNT.test(cell))
}

/** A time with its unit behind it: `Start (s)`, `end [min]`, `start_s`. */
const WITH_UNIT = /^(.{1,40}?)(?:\s*[([]\s*(\p{L}{1,8})\s*[)\]]|_(\p{L}{1,8}))$/u

/** A heading in lower case; of a time without its unit. A bare `time` may say when, but `time (s)` is a score. */
function nameOf(heading: string, place: PlaceKind): string {
  const lower = heading.toLowerCase()
  if ((place !== 'start' && place !== 'end') || timeUnit(heading) === null) return lower
  const bare = WITH_UNIT.exec(lower)![1]!.trim()
  return bare === 'time' ? lower : bare
}

/** The unit of time that a heading names; null without one. */
export function timeUnit(heading: string): string | null {
  const match = WITH_UNIT.exec(heading)
  const unit = match?.[2] ?? match?.[3]
  return unit !== undefined && secondsPer(unit) !== undefined ? unit : null
}
