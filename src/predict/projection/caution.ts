/**
 * What should be said where someone might act on a figure: codes here, wording in `show/sayCaution.ts`.
 *
 * - `raised-limits`: the figure supposes more power than the machine was seen to hold
 * - `hot-surfaces`: power that heat held down, or more of it, makes surfaces hotter
 * - `battery-and-mains`: more power than tested is drawn from battery or mains adapter
 * - `makers-limits`: the maker's limits, and qualified people, decide what a machine may be set to
 */
export type Caution = 'raised-limits' | 'hot-surfaces' | 'battery-and-mains' | 'makers-limits'

/**
 * Cautions for a figure that supposes `supposedW` in a machine that was seen to hold `testedW`.
 *
 * @param powers - watts supposed and watts held as tested (null: unknown); whether heat held the power
 * @returns codes in the order in which they should be said; none when no more power is supposed than was seen
 * @example cautionsFor({ supposedW: 88, testedW: 44, heldByHeat: false })
 */
export function cautionsFor(powers: {
  readonly supposedW: number
  readonly testedW: number | null
  readonly heldByHeat: boolean
}): readonly Caution[] {
  const { supposedW, testedW, heldByHeat } = powers
  // A watt or a per cent more is within what a held level moves by itself.
  const raises = testedW === null || supposedW > testedW * 1.02
  if (!raises) return heldByHeat ? ['hot-surfaces', 'makers-limits'] : []
  return ['raised-limits', 'hot-surfaces', 'battery-and-mains', 'makers-limits']
}
