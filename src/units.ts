import { InputError } from './errors.js'

/** What a quantity measures. Numbers inside the program are in W, J, s, degrees C and Hz. */
export type Dimension = 'power' | 'energy' | 'time' | 'temperature' | 'frequency' | 'share'

/** A unit as `si = (value + offset) * scale`: degrees C for temperature, else the SI unit. */
export interface Unit {
  readonly symbol: string
  readonly dimension: Dimension
  readonly scale: number
  readonly offset: number
}

/**
 * Quantity with its unit as people write it (`1.2 kW`, `500 mW`, `90 s`, `4 min`, `1:30`, `72 degF`) to a number in
 * W, J, s, degrees C or Hz. A plain number takes the unit of its dimension: W, J, s, degC, Hz.
 *
 * A table of our own, because a general unit library (mathjs) knows neither milli-degrees nor the glyphs and suffixes
 * that column headers use, reads `C` as coulomb and `F` as farad, and costs a noticeable start-up time.
 *
 * @param text - number or text; time also as `MM:SS`, `HH:MM:SS[.fff]` and in parts (`2 min 30 s`)
 * @param dimension - what the quantity must measure
 * @returns W, J, s, degrees C or Hz
 * @throws InputError `quantity-unreadable`, `quantity-too-large`, `unit-unknown`, `unit-wrong`, `quantity-negative`, `temperature-impossible`
 * @source unit definitions: SI Brochure (BIPM, 9th edition); degF = 9/5 degC + 32
 * @example parseQuantity('1.2 kW', 'power') // 1200
 */
export function parseQuantity(text: string | number, dimension: Dimension): number {
  const written = typeof text === 'number' ? String(text) : text.trim()
  const colons = dimension === 'time' ? parseColons(written) : undefined
  const value = colons ?? sumOfParts(written, dimension)
  if (value > MOST[dimension]) throw tooLarge(written, dimension)
  if (dimension === 'temperature') {
    if (value < ABSOLUTE_ZERO_C) {
      throw new InputError(
        'temperature-impossible',
        `expected a temperature above -273.15 degC, got "${brief(written)}"`,
      )
    }
  } else if (value < 0) {
    throw new InputError(
      'quantity-negative',
      `expected ${AN[dimension]} of zero or more, got "${brief(written)}"`,
      {
        remedy: `write it as ${EXAMPLES[dimension]}`,
      },
    )
  }
  return value
}

/**
 * Unit by its symbol or name (`mW`, `watts`, `µJ`, `°C`, `millidegC`), or undefined when it is none of ours.
 *
 * Exact symbols come first. Then case is forgiven where that can't change the meaning: `MW`, `MJ` and `MWh` are not
 * taken for milli-units.
 *
 * @param text - the unit alone, without brackets
 * @example parseUnit('mWh')?.scale // 3.6
 */
export function parseUnit(text: string): Unit | undefined {
  if (text.length > LONGEST_UNIT) return undefined
  const tidy = text
    .replace(/[μµ]/g, 'u')
    .replace(/[º˚\ufffd]/g, '°')
    .replace(/℃/g, '°C')
    .replace(/℉/g, '°F')
  const bare = tidy.replace(/[\s._-]+/g, '')
  const exact = BY_SYMBOL.get(bare)
  if (exact !== undefined) return exact
  return /^M(W|J|Wh)$/.test(bare) ? undefined : BY_LOWER_CASE.get(bare.toLowerCase())
}

/**
 * Number with the unit of its dimension, for messages: `44.2 W`, `28 s`, `95 °C`.
 *
 * @param value - W, J, s, degrees C or Hz
 * @param digits - significant digits, trailing zeros dropped
 * @example formatQuantity(44.2, 'power') // '44.2 W'
 */
export function formatQuantity(value: number, dimension: Dimension, digits = 4): string {
  return `${Number(value.toPrecision(digits))} ${BASE[dimension]}`
}

const ABSOLUTE_ZERO_C = -273.15
const LONGEST_UNIT = 24
const LONGEST_QUANTITY = 80
const BASE = { power: 'W', energy: 'J', time: 's', temperature: '°C', frequency: 'Hz', share: '%' } as const
/** Far above anything that is tested, and small enough to be reckoned with: a thousand years of runs could not be gone through. */
const MOST = { power: 1e9, energy: 1e15, time: 1e8, temperature: 1e6, frequency: 1e15, share: 1e6 } as const
const AN = {
  power: 'a power',
  energy: 'an energy',
  time: 'a time',
  temperature: 'a temperature',
  frequency: 'a frequency',
  share: 'a share',
} as const
const EXAMPLES = {
  power: '45 W, 500 mW or 1.2 kW',
  energy: '20 J, 500 mWh or 1.2 Wh',
  time: '90 s, 4 min, 1.5 h, 500 ms, 1:30 or 0:01:30',
  temperature: '22 degC, 72 degF or 295 K',
  frequency: '3.2 GHz or 3200 MHz',
  share: '80 %',
} as const

// Rows: dimension, scale to SI, offset before scaling, then the symbol and its other spellings.
const TABLE: readonly (readonly [Dimension, number, number, ...string[]])[] = [
  ['power', 1, 0, 'W', 'watt', 'watts'],
  ['power', 1e-3, 0, 'mW', 'milliwatt', 'milliwatts'],
  ['power', 1e-6, 0, 'uW', 'microwatt', 'microwatts'],
  ['power', 1e3, 0, 'kW', 'kilowatt', 'kilowatts'],
  ['energy', 1, 0, 'J', 'joule', 'joules', 'Ws', 'wattseconds'],
  ['energy', 1e-3, 0, 'mJ', 'millijoule', 'millijoules'],
  ['energy', 1e-6, 0, 'uJ', 'microjoule', 'microjoules'],
  ['energy', 1e3, 0, 'kJ', 'kilojoule', 'kilojoules'],
  ['energy', 3600, 0, 'Wh', 'watthour', 'watthours'],
  ['energy', 3.6, 0, 'mWh', 'milliwatthour', 'milliwatthours'],
  ['energy', 3.6e-3, 0, 'uWh', 'microwatthour', 'microwatthours'],
  ['energy', 3.6e6, 0, 'kWh', 'kilowatthour', 'kilowatthours'],
  ['time', 1, 0, 's', 'sec', 'secs', 'second', 'seconds'],
  ['time', 1e-3, 0, 'ms', 'msec', 'msecs', 'millisecond', 'milliseconds', 'millis'],
  ['time', 1e-6, 0, 'us', 'usec', 'usecs', 'microsecond', 'microseconds', 'micros'],
  ['time', 1e-9, 0, 'ns', 'nsec', 'nsecs', 'nanosecond', 'nanoseconds', 'nanos'],
  ['time', 60, 0, 'min', 'mins', 'minute', 'minutes'],
  ['time', 3600, 0, 'h', 'hr', 'hrs', 'hour', 'hours'],
  ['temperature', 1, 0, '°C', 'degC', 'C', 'celsius', 'degreesC', 'degreeC'],
  ['temperature', 1, 0, 'degreecelsius', 'degreescelsius'],
  ['temperature', 1e-3, 0, 'm°C', 'mdegC', 'mC', 'millidegC', 'milli°C', 'millidegreeC', 'millidegreesC'],
  ['temperature', 1e-3, 0, 'millidegrees', 'millidegree', 'mdeg', 'millideg', 'millicelsius'],
  ['temperature', 1e-3, 0, 'millidegreecelsius', 'millidegreescelsius'],
  [
    'temperature',
    5 / 9,
    -32,
    '°F',
    'degF',
    'F',
    'fahrenheit',
    'degreefahrenheit',
    'degreesfahrenheit',
    'degreesF',
  ],
  ['temperature', 1, ABSOLUTE_ZERO_C, 'K', 'kelvin', 'kelvins', 'degK', '°K'],
  ['frequency', 1, 0, 'Hz', 'hertz'],
  ['frequency', 1e3, 0, 'kHz', 'kilohertz'],
  ['frequency', 1e6, 0, 'MHz', 'megahertz'],
  ['frequency', 1e9, 0, 'GHz', 'gigahertz'],
  ['share', 1, 0, '%', 'percent', 'pct'],
]

const BY_SYMBOL = new Map<string, Unit>()
const BY_LOWER_CASE = new Map<string, Unit>()
for (const [dimension, scale, offset, ...spellings] of TABLE) {
  const unit: Unit = { symbol: spellings[0]!, dimension, scale, offset }
  for (const spelling of spellings) {
    BY_SYMBOL.set(spelling, unit)
    const lower = spelling.toLowerCase()
    if (!BY_LOWER_CASE.has(lower)) BY_LOWER_CASE.set(lower, unit)
  }
}

const NUMBER = /^[-+]?(?:\d+\.?\d*|\.\d+)(?:e[-+]?\d+)?/i

/** `M:SS`, `MM:SS[.fff]` or `HH:MM:SS[.fff]` in seconds; undefined when there is no colon. */
function parseColons(text: string): number | undefined {
  if (text.length > LONGEST_QUANTITY || !text.includes(':')) return undefined
  const parts = /^(?:(\d{1,3}):)?(\d{1,3}):(\d{1,2}(?:\.\d+)?)$/.exec(text)
  const [hours, minutes, seconds] = [Number(parts?.[1] ?? 0), Number(parts?.[2]), Number(parts?.[3])]
  const minutesFit = parts?.[1] === undefined || minutes < 60
  if (parts === null || !minutesFit || !(seconds < 60)) {
    throw new InputError(
      'quantity-unreadable',
      `expected a time as MM:SS or HH:MM:SS, got "${brief(text)}"`,
      {
        remedy: `write it as ${EXAMPLES.time}`,
      },
    )
  }
  return hours * 3600 + minutes * 60 + seconds
}

function tooLarge(text: string, dimension: Dimension): InputError {
  const most = formatQuantity(MOST[dimension], dimension)
  const message = `expected ${AN[dimension]} of at most ${most}, got "${brief(text)}"`
  return new InputError('quantity-too-large', message, { remedy: `write it as ${EXAMPLES[dimension]}` })
}

/** One number with a unit, or for times several in a row (`2 min 30 s`). */
function sumOfParts(text: string, dimension: Dimension): number {
  if (text.length > LONGEST_QUANTITY) throw unreadable(text, dimension)
  let rest = text
  let sum = 0
  for (let part = 0; part === 0 || (rest !== '' && dimension === 'time' && part < 4); part++) {
    const digits = NUMBER.exec(rest)?.[0]
    if (digits === undefined) throw unreadable(text, dimension)
    const word = /^\s*([^\d\s+.-][^\d+]*?)?\s*(?=\d|$)/.exec(rest.slice(digits.length))
    if (word === null) throw unreadable(text, dimension)
    const unit = word[1] === undefined ? undefined : unitOf(word[1], text, dimension)
    if (unit === undefined && (part > 0 || word[0].length + digits.length < rest.length))
      throw unreadable(text, dimension)
    sum += unit === undefined ? Number(digits) : (Number(digits) + unit.offset) * unit.scale
    rest = rest.slice(digits.length + word[0].length)
  }
  if (rest !== '' || !Number.isFinite(sum)) throw unreadable(text, dimension)
  return sum
}

function unitOf(word: string, text: string, dimension: Dimension): Unit {
  const unit = parseUnit(word)
  const remedy = remedyFor(text, dimension)
  if (unit === undefined) {
    throw new InputError('unit-unknown', `unit "${brief(word.trim())}" in "${brief(text)}" is not known`, {
      remedy,
    })
  }
  if (unit.dimension !== dimension) {
    throw new InputError(
      'unit-wrong',
      `expected ${AN[dimension]}, got ${AN[unit.dimension]}: "${brief(text)}"`,
      { remedy },
    )
  }
  return unit
}

function unreadable(text: string, dimension: Dimension): InputError {
  const came = text === '' ? 'nothing' : `"${brief(text)}"`
  return new InputError('quantity-unreadable', `expected ${AN[dimension]} with its unit, got ${came}`, {
    remedy: remedyFor(text, dimension),
  })
}

function remedyFor(text: string, dimension: Dimension): string {
  const comma = /\d,\d/.test(text) ? ', with a decimal point' : ''
  return `write it as ${EXAMPLES[dimension]}${comma}`
}

/** What the user wrote, short and without control characters, for a message. */
function brief(text: string): string {
  // biome-ignore lint/suspicious/noControlCharactersInRegex: these are what must not reach a terminal
  return text.slice(0, 60).replace(/[\u0000-\u001f\u007f-\u009f]/g, '\ufffd')
}
