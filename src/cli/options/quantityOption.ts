import { InvalidArgumentError, Option } from 'commander'
import { InputError } from '../../errors.js'
import { type Dimension, formatQuantity, parseQuantity } from '../../units.js'

interface QuantityBounds {
  /** Whether zero is a value: a pause may be none, a power may not. */
  readonly zero?: boolean
}

/** An option that takes a quantity with its unit (`71W`, `4 min`), as W, s or degrees C. */
export function quantityOption(
  flags: string,
  help: string,
  dimension: Dimension,
  bounds: QuantityBounds = {},
): Option {
  return new Option(flags, help).argParser((text: string) => quantityArgument(text, dimension, bounds))
}

/** A quantity of the command line; what is wrong with it is said as commander says such things. */
export function quantityArgument(text: string, dimension: Dimension, bounds: QuantityBounds = {}): number {
  const value = complaintOf(() => parseQuantity(text, dimension))
  if (dimension !== 'temperature' && (value < 0 || (value === 0 && bounds.zero !== true))) {
    throw new InvalidArgumentError(`Expected more than ${formatQuantity(0, dimension)}.`)
  }
  return value
}

/** What a parser of text gives; what it objects to is said as commander says such things. */
export function complaintOf<T>(parse: () => T): T {
  try {
    return parse()
  } catch (error) {
    if (!(error instanceof InputError)) throw error
    throw new InvalidArgumentError(`${error.message}. ${error.details.remedy ?? ''}`.trim())
  }
}
