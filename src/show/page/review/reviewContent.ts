import type { ReviewedMachine } from '../../../machine/review/fitReview.js'
import type { ReadReview } from '../../../machine/review/readReview.js'
import { reviewWarnings } from '../../../machine/review/reviewWarnings.js'
import { cautionsFor } from '../../../predict/projection/caution.js'
import { type Review, reviewMachines } from '../../../predict/review/reviewMachines.js'
import { sayCautions } from '../../text/sayCaution.js'
import { type PageContent, type PageFacts, publicFacts, wordedWarning } from '../pageContent.js'

/** All that the page of a review shows, before it is worded and drawn. */
export interface ReviewContent
  extends Pick<PageContent, 'version' | 'command' | 'inputs' | 'findings' | 'warnings' | 'cautions'> {
  readonly review: Review
  /** Power of the comparison that somebody chose; null for what each workload and mode has. */
  readonly atW: number | null
  /** The sheets with their logs, for how it was measured. */
  readonly read: readonly ReadReview[]
}

/**
 * What the page of a review shows, with warnings and cautions in words.
 *
 * @param options.atW - power of the comparison at equal power; left out: for each workload and mode halfway between what the machines held
 */
export function reviewContent(
  read: readonly ReadReview[],
  machines: readonly ReviewedMachine[],
  facts: PageFacts,
  options: { readonly atW?: number } = {},
): ReviewContent {
  const review = reviewMachines(machines, options)
  const warnings = reviewWarnings(machines).map((warning) => {
    const { code, message } = wordedWarning(warning)
    return { code, message: `${warning.about}: ${message}` }
  })
  return {
    ...publicFacts(facts, warnings),
    review,
    atW: options.atW ?? null,
    read,
    cautions: cautionsOf(review),
  }
}

/** Whoever reads what more power would give may try it. */
function cautionsOf({ results }: Review): string {
  const known = results.flatMap(({ machines }) =>
    machines.flatMap((of) => (of.elasticity === null ? [] : [of])),
  )
  if (known.length === 0) return ''
  const [testedW, heldByHeat] = [
    Math.max(...known.map(({ powerW }) => powerW ?? 0)),
    known.some(({ heldBy }) => heldBy === 'heat'),
  ]
  return sayCautions(cautionsFor({ supposedW: SUPPOSED * testedW, testedW, heldByHeat }))
}

/** The page tells what a tenth more power would give. */
const SUPPOSED = 1.1
