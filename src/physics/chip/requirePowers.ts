import { InputError } from '../../errors.js'
import { formatQuantity } from '../../units.js'
import type { Chip } from './chip.js'

/**
 * How far beyond its measured powers a chip is asked about, as a ratio: from a tenth of the lowest to ten times the highest. No voltage-frequency
 * range of a processor spans as much; common practice, no source.
 */
const REACH = 10

/**
 * Refuses powers that say nothing of a chip: slips of the keyboard, or another unit.
 *
 * @throws InputError `power-out-of-reach`, with the bounds
 */
export function requirePowers({ name, measuredRangeW }: Chip, powersW: readonly number[]): void {
  const [lowW, highW] = [measuredRangeW[0] / REACH, measuredRangeW[1] * REACH]
  const wrongW = powersW.find((powerW) => !(powerW >= lowW && powerW <= highW))
  if (wrongW === undefined) return
  const watts = (powerW: number) => formatQuantity(powerW, 'power', 3)
  throw new InputError(
    'power-out-of-reach',
    `expected ${watts(lowW)} to ${watts(highW)} for ${name}, got ${watts(wrongW)}`,
    {
      remedy: `its runs were measured from ${watts(measuredRangeW[0])} to ${watts(measuredRangeW[1])}; farther than ten times beyond them nothing can be said`,
    },
  )
}
