import { InvalidArgumentError } from 'commander'
import { quantityArgument } from './quantityOption.js'

/** 200 steps: more than a plot shows, and seconds of work. */
const MOST_STEPS = 200

/**
 * Sustained power of a target: one power (`71W`), or a sweep as `FIRST:LAST:STEP` (`40W:100W:5W`).
 *
 * @returns the powers in W, rising; one for a single power
 * @throws InvalidArgumentError when it is neither, or the sweep has no or too many steps
 */
export function parseSweep(text: string): readonly number[] {
  const parts = text.split(':')
  if (parts.length !== 1 && parts.length !== 3) {
    throw new InvalidArgumentError('Expected a power such as 71W, or a sweep such as 40W:100W:5W.')
  }
  const [firstW, lastW, stepW] = parts.map((part) => quantityArgument(part, 'power'))
  if (lastW === undefined || stepW === undefined) return [firstW!]
  // A hair more than the last, so that 40:100:0.1 reaches 100 in binary fractions too.
  const steps = Math.floor((lastW - firstW!) / stepW + 1e-9) + 1
  if (steps < 2 || steps > MOST_STEPS) {
    throw new InvalidArgumentError(
      `Expected a sweep of 2 to ${MOST_STEPS} steps from low to high, got ${Math.max(0, steps)}.`,
    )
  }
  return Array.from({ length: steps }, (_, index) => Number((firstW! + index * stepW).toPrecision(12)))
}

/** Powers to compare at: `40W,55W,70W`, in W. */
export function parsePowers(text: string): readonly number[] {
  const parts = text.split(',').filter((part) => part.trim() !== '')
  if (parts.length === 0 || parts.length > MOST_STEPS) {
    throw new InvalidArgumentError(`Expected 1 to ${MOST_STEPS} powers such as 40W,55W,70W.`)
  }
  return parts.map((part) => quantityArgument(part, 'power'))
}
