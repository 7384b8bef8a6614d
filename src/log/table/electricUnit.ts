/** A unit of a voltage or a current, as `value * scale` in V or A. */
export interface ElectricUnit {
  readonly symbol: string
  readonly dimension: 'voltage' | 'current'
  readonly scale: number
  readonly offset: 0
}

/**
 * Unit of a voltage or a current by its symbol or name, or undefined when it is none.
 *
 * They stand apart from the units of `units.ts`: a lone `A` or `V` at the end of a header is more often a letter than a unit, so
 * only formulas, where a person has named the column, look for them.
 *
 * @example parseElectricUnit('mA')?.scale // 0.001
 */
export function parseElectricUnit(text: string): ElectricUnit | undefined {
  const bare = text.trim().replace(/[μµ]/g, 'u')
  return BY_SYMBOL.get(bare) ?? BY_LOWER_CASE.get(bare.toLowerCase())
}

// Units of the SI (BIPM, 9th edition): dimension, scale, then the symbol and its other spellings.
const TABLE: readonly (readonly [ElectricUnit['dimension'], number, ...string[]])[] = [
  ['voltage', 1, 'V', 'volt', 'volts', 'voltage'],
  ['voltage', 1e-3, 'mV', 'millivolt', 'millivolts'],
  ['voltage', 1e-6, 'uV', 'microvolt', 'microvolts'],
  ['current', 1, 'A', 'amp', 'amps', 'ampere', 'amperes', 'current'],
  ['current', 1e-3, 'mA', 'milliamp', 'milliamps', 'milliampere', 'milliamperes'],
  ['current', 1e-6, 'uA', 'microamp', 'microamps'],
]

const BY_SYMBOL: ReadonlyMap<string, ElectricUnit> = new Map(
  TABLE.flatMap(([dimension, scale, ...spellings]) =>
    spellings.map((spelling): [string, ElectricUnit] => [
      spelling,
      { symbol: spellings[0]!, dimension, scale, offset: 0 },
    ]),
  ),
)

/** A lone `a` or `v` is a letter. A machine's log has no megavolts: `current_ma` and `RAIL_MV` are in thousandths. */
const BY_LOWER_CASE: ReadonlyMap<string, ElectricUnit> = new Map(
  [...BY_SYMBOL]
    .filter(([spelling]) => spelling.length > 1)
    .map(([spelling, unit]) => [spelling.toLowerCase(), unit]),
)

/**
 * Unit of a column whose header says that it is a voltage or a current: in brackets, as its last word, by its name, or by its cells.
 *
 * @example electricUnitOf('Rail 12 current (mA)', [])?.symbol // 'mA'
 */
export function electricUnitOf(header: string, cells: readonly string[]): ElectricUnit | undefined {
  const inBrackets = /[[({<]\s*([^\][(){}<>]*?)\s*[\])}>]/.exec(header)?.[1]
  const words = header.split(/[^\p{L}\p{N}µμ]+|(?<=[a-z\d])(?=[mu]?[VA]$)/u).filter((word) => word !== '')
  const spelled = [inBrackets, words.at(-1), ...words.filter((word) => word.length > 2)]
  const inCells = cells.map((cell) => /\d\s*([µμ]?[a-zA-Z]{1,2})\s*$/.exec(cell.slice(0, 256))?.[1])
  for (const word of [...spelled, ...inCells]) {
    const unit = word === undefined ? undefined : parseElectricUnit(word)
    if (unit !== undefined) return unit
  }
  return undefined
}
