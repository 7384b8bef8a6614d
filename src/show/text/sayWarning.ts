import type { Warning } from '../../warnings.js'
import { sayDuration, sayMoment } from './sayDuration.js'
import { groupDigits, sayNumber } from './sayEstimate.js'

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
    case 'score-unplaced':
      return `${warning.file}:${warning.line}: this score was left out: ${warning.reason}.`
    case 'log-much-mended':
      return `${warning.file}: ${warning.broken} samples were mended or set aside, ${warning.samples} are left: times or powers of this log are broken (holdwatt check tells how), and what was found in it may be wrong.`
    case 'run-without-power':
      return `${warning.file}: no sample lies inside the run at ${sayMoment(warning.atS)}: it was left out of the fit.`
    case 'run-cut-off':
      return `${warning.file}: the log does not hold the whole run at ${sayMoment(warning.atS)}: it was left out of the fit.`
    case 'scored-runs-few':
      return `${warning.runs === 1 ? 'One scored run' : `${warning.runs} scored runs`} can’t show how much runs scatter: the intervals rest on what runs do in general.`
    case 'powers-alike': {
      const [low, high] = warning.measuredRangeW
      return `All runs were made between ${sayNumber(low, 3)} and ${sayNumber(high, 3, 'W')}: how the score changes with power rests on what chips do in general. A second power mode would tell.`
    }
    case 'run-off-curve':
      return `The run at ${sayMoment(warning.startS)} is ${groupDigits(Math.abs(warning.offPct), 1)} % ${warning.offPct < 0 ? 'below' : 'above'} what its power and the other runs say: it was given less weight.`
    case 'scores-scatter':
      return `Runs at equal power scatter by ${groupDigits(warning.scatterPct, 1)} %, more than a quiet machine's: the intervals are wider for it.`
    case 'idle-not-seen':
      return `The log shows no idle power: ${sayNumber(warning.supposedW, 2, 'W')} was supposed, and hold times count from there.`
    case 'modes-mixed':
      return `The trials were made in several power modes (${warning.modes.join(', ')}): the chassis is that of the longest load.`
    case 'heat-explains-better':
      return 'The stages look like set limits, but heat reproduces the power better: the chassis was fitted as held by heat.'
    case 'timed-step-explains-better':
      return 'The drops come a set time after the load began, whatever the power before: a timed step, not a running average.'
    case 'chassis-fit-poor':
      return `No model of the chassis reproduces the measured power well (off by ${sayNumber(warning.noiseWidths, 2)} noise widths): take its hold times with caution.`
    case 'chassis-misses-steady':
      return `The chassis model fails: in its own test it draws ${groupDigits(Math.abs(warning.missedPct), 1)} % ${warning.missedPct < 0 ? 'less' : 'more'} power than was measured in the last runs. Its sustained power was set to the measured power, and no heat is projected with it.`
    case 'budget-varies':
      return `One time constant does not explain all ${warning.runs} bursts: that of run ${warning.worstRun} is off by ${groupDigits(Math.abs(warning.burstDeviationPct), 0)} %.`
    case 'record-temperature-missing':
      return 'No temperature of the processor was found, so whether heat or a set limit holds the power down can’t be told from this recording.'
    case 'record-clock-missing':
      return 'No processor clock was found; the recording goes without.'
    case 'record-counter-still':
      return 'The energy counter answered but never moved: this system does not keep it (as in many virtual machines), and the power in this log is none.'
    case 'record-counters-denied':
      return `${warning.count === 1 ? 'One energy counter' : `${warning.count} energy counters`} could not be read for want of permission and ${warning.count === 1 ? 'was' : 'were'} left out.`
    case 'record-incomplete':
      return `In ${warning.count} of ${warning.samples} samples an energy counter did not answer; those cells are empty.`
    case 'record-energy-unknown':
      return `For ${warning.count} of ${warning.samples} samples the energy since the one before is not known (after a pause of the recording, or a counter that began anew); readers set them aside.`
    case 'record-command-failed': {
      const end =
        warning.signal === null ? `ended with status ${warning.status}` : `was ended by ${warning.signal}`
      return warning.of === 1
        ? `The command ${end}: look whether it did its work before concluding from this recording.`
        : `${sayRunNumbers(warning.runs, warning.of)} failed (the first ${end}) and ${warning.runs.length === 1 ? 'is' : 'are'} left out of the sheet.`
    }
    case 'record-score-missing': {
      const why =
        warning.unreadable === null
          ? 'no line of the output fits the pattern'
          : `"${warning.unreadable}" is no score (expected a plain number, without a comma)`
      return `${sayRunNumbers(warning.runs, warning.of)} gave no score: ${why}. The sheet has a place for each.`
    }
    case 'record-score-is-time':
      return 'No --score was given: the time of each run is its score, which is right when every run does the same work.'
    case 'record-slept':
      return `The machine slept for ${sayDuration(warning.forS)} at ${sayMoment(warning.atS)}; the log has a gap there, and a run around it is left out of the sheet.`
    case 'record-interrupted':
      return `Interrupted at ${sayMoment(warning.atS)}; everything until then was kept. The same command with --resume goes on.`
    case 'record-power-unclear':
      return `No counter is that of a whole processor package: pick one with --power, of ${warning.columns.join(', ')}.`
  }
}

function sayRunNumbers(runs: readonly number[], of: number): string {
  if (runs.length === of) return of === 1 ? 'The run' : `All ${of} runs`
  const shown = runs.slice(0, 5).join(', ')
  return `Run${runs.length === 1 ? '' : 's'} ${shown}${runs.length > 5 ? ` and ${runs.length - 5} more` : ''} of ${of}`
}
