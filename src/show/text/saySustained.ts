import type { Load } from '../../segment/load.js'
import { sayEstimate, sayNumber } from '../figures/sayEstimate.js'

/** What a load sustains, or how far that is known: `44.2 W (44.1 to 44.3)`, `230 to 520 W, too short`. */
export function saySustained({ sustained: { levelW, reached, bounds } }: Load): string {
  if (bounds !== null)
    return `${sayNumber(bounds.floorW, 2)} to ${sayNumber(bounds.ceilingW, 2, 'W')}, too short`
  return `${sayEstimate(levelW, 'W')}${reached ? '' : ', not settled'}`
}
