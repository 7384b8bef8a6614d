import { parseUnit, type Unit } from '../../units.js'
import { plainText } from './plainText.js'

/** A column of the table by what its header says. */
export interface Column {
  readonly index: number
  /** The header as written, fit for messages. */
  readonly header: string
  /** The header without its unit, lower case, words single-spaced. */
  readonly name: string
  readonly unit: Unit | undefined
}

/**
 * Name and unit from a column's header: `Package (W)`, `CPU [°C]`, `power_mw`, `temp_millidegC`, `Power, W`,
 * `energyUj`, `Zeit in s`. A unit in brackets comes first; then the last word or two; then the last hump of camel case.
 *
 * Short suffixes that are also words or abbreviations (`_c`, `_s`, `_min`) count only beside a name that fits.
 *
 * @param header - the cell
 * @param unitCell - the cell below it, when the table has a row of units
 * @example describeColumn('power_mw', 1).unit?.symbol // 'mW'
 */
export function describeColumn(header: string, index: number, unitCell?: string): Column {
  const shown = plainText(unitCell ? `${header} [${bare(unitCell)}]` : header)
  const parts = unitInBrackets(shown) ?? unitInLastWords(shown) ?? unitInCamelCase(shown)
  const words = (parts?.rest ?? shown).replace(/([a-z\d])([A-Z])/g, '$1 $2').toLowerCase()
  return { index, header: shown, name: words.replace(/[^\p{L}\p{N}]+/gu, ' ').trim(), unit: parts?.unit }
}

interface UnitAndRest {
  readonly unit: Unit
  readonly rest: string
}

const TIME_NAME =
  /time|elapsed|epoch|unix|stamp|date|since|second|dur[ae]|zeit|dauer|sek|temps|tiempo|tempo|tid\b|czas|aika|время|时间|時間|(^|[^a-z])ts?([^a-z]|$)/i
const TEMPERATURE_NAME = /temp|therm|tctl|tdie|tj|hot|cpu|core|die|pkg|package|soc|junction|sensor|grad|温度/i

function bare(unitCell: string): string {
  return unitCell.trim().replace(/^[[({<](.*)[\])}>]$/, '$1')
}

function unitInBrackets(header: string): UnitAndRest | undefined {
  const groups = [...header.matchAll(/[[({<（【]([^\][(){}<>（）【】]*)[\])}>）】]/g)].reverse()
  for (const group of groups) {
    const unit = parseAny(group[1]!) ?? parseAny(group[1]!.trim().split(/[\s,;:]+/)[0]!)
    if (unit !== undefined) return { unit, rest: header.replace(group[0], ' ') }
  }
  return undefined
}

/** Units of all-capital headers (`POWER_MW`) mean the small prefix: a machine's log has no megawatts. */
function parseAny(text: string, header = ''): Unit | undefined {
  const unit = parseUnit(text)
  return (
    unit ?? (header !== '' && header === header.toUpperCase() ? parseUnit(text.toLowerCase()) : undefined)
  )
}

function unitInLastWords(header: string): UnitAndRest | undefined {
  const words = header.split(/[\s_\-./,:;|=]+/).filter((word) => word !== '')
  for (const count of [3, 2, 1]) {
    if (words.length < count) continue
    const rest = words.slice(0, words.length - count).join(' ')
    const unit = parseAny(words.slice(-count).join(''), header)
    if (unit !== undefined && nameFits(rest, unit, words.at(-1)!)) return { unit, rest }
  }
  return undefined
}

function nameFits(name: string, unit: Unit, word: string): boolean {
  if (unit.dimension === 'time') return name === '' || TIME_NAME.test(name)
  if (unit.dimension === 'temperature' && /^[cfk]$/i.test(word)) return TEMPERATURE_NAME.test(name)
  return true
}

function unitInCamelCase(header: string): UnitAndRest | undefined {
  const milli = /^(.*(?:power|package|pkg|total|cpu|soc|energy))([muµk](?:W|J|Wh))$/i.exec(header)
  const milliUnit = milli === null ? undefined : parseUnit(milli[2]!)
  if (milliUnit !== undefined) return { unit: milliUnit, rest: milli![1]! }
  for (const boundary of header.matchAll(/(?<=[a-z\d])(?=[A-Z])/g)) {
    const [rest, word] = [header.slice(0, boundary.index), header.slice(boundary.index)]
    const unit = parseUnit(word) ?? parseUnit(word.toLowerCase())
    if (unit !== undefined && nameFits(rest, unit, word)) return { unit, rest }
  }
  return undefined
}
