import type { Warning } from '../warnings.js'
import { sayDuration, sayMoment } from './sayDuration.js'
import { sayNumber } from './sayEstimate.js'

/** A warning in a sentence: what is the matter, and what follows from it. */
export function sayWarning(warning: Warning): string {
  switch (warning.code) {
    case 'extrapolated': {
      const [low, high] = warning.measuredRangeW
      return `${sayNumber(warning.powerW, 3, 'W')} lies outside the measured ${sayNumber(low, 3)} to ${sayNumber(high, 3, 'W')}: the interval there rests on what chips do in general.`
    }
    case 'not-settled':
      return `The log ends at ${sayMoment(warning.atS)}, before the power could be seen to settle: the settled level is an extrapolation.`
    case 'run-length-unknown':
      return `How long a run takes is not known: ${sayDuration(warning.supposedS)} was supposed; durations and energy are left out.`
    case 'runs-placed-by-scores':
      return `${warning.file}: the log shows ${warning.found} runs for ${warning.scored} scores; the load was divided by the scores, as fixed work would be. Give start and end of each run to be sure.`
    case 'runs-differ-from-scores':
      return `${warning.file}: the log shows ${warning.found} runs for ${warning.scored} scores; they were paired in order from the first, the rest left out. Give start and end of each run.`
    case 'no-load':
      return `${warning.file}: no load was found: the power never rises clearly above idle.`
    case 'run-without-power':
      return `${warning.file}: no sample lies inside the run at ${sayMoment(warning.atS)}: it was left out of the fit.`
  }
}
