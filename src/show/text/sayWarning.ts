import type { Warning } from '../../warnings.js'
import { capitalised } from '../figures/capitalised.js'
import { groupDigits } from '../figures/digits.js'
import { sayDuration, sayMoment } from '../figures/sayDuration.js'
import {
  sayCount,
  sayGivenPower,
  sayMeasuredScore,
  sayPercent,
  sayPower,
  sayPowers,
} from '../figures/sayEstimate.js'

/** A warning in a sentence: what is the matter, and what follows from it. */
export function sayWarning(warning: Warning): string {
  switch (warning.code) {
    case 'extrapolated':
      return `${sayPower(warning.powerW)} lies outside the measured ${sayPowers(warning.measuredRangeW)}. There the interval rests on typical chip behaviour.`
    case 'not-settled':
      return warning.bounds
        ? `The load ends at ${sayMoment(warning.atS)}, too soon for a sustained power: only its floor and ceiling can be told.`
        : `The load ends at ${sayMoment(warning.atS)}, before the power settles. The sustained power is an extrapolation.`
    case 'samples-too-far-apart':
      return `In the load from ${sayMoment(warning.atS)} on power comes and goes between samples that are ${sayDuration(warning.intervalS)} apart and hold an instant each: only its mean is told, and that roughly. Log energy, or means over each interval, or sample several times as often.`
    case 'gap-in-load':
      return `The log has no samples for ${sayDuration(warning.forS)} from ${sayMoment(warning.atS)} on, in the middle of a load: a stage that began there is dated too late or missed.`
    case 'run-length-unknown':
      return `The length of a run is not known; ${sayDuration(warning.supposedS)} was assumed. Durations and energy are left out.`
    case 'runs-placed-by-scores':
      return `${warning.file}: the log shows ${sayCount(warning.found, 'run')} for ${sayCount(warning.scored, 'score')}. The load was divided in proportion to the scores, as fixed work would be. Give start and end of each run to be sure; a test of fixed time needs them.`
    case 'runs-differ-from-scores':
      return `${warning.file}: the log shows ${sayCount(warning.found, 'run')} for ${sayCount(warning.scored, 'score')}. They were paired in order from the first, and the rest were left out. Give start and end of each run.`
    case 'mean-of-other-runs':
      return `${warning.file}: the log shows ${sayCount(warning.found, 'run')} where the sheet has the mean of ${warning.runs}, from ${sayMoment(warning.atS)} on. All of them were taken for it. Check its times, and the number.`
    case 'no-load':
      return `${warning.file}: no load found. The power never rises clearly above idle.`
    case 'loads-given':
      return `${warning.file}: ${warning.loads === 1 ? 'the load begins and ends' : `the ${warning.loads} loads begin and end`} where a person set it${warning.loads === 1 ? '' : ''}, not where the log shows it.`
    case 'score-unplaced':
      return `${warning.file}:${warning.line}: this score was left out: ${warning.reason}.`
    case 'columns-unread':
      return `${warning.file}: ${warning.columns.length === 1 ? 'the column' : 'the columns'} ${warning.columns.map((name) => `"${name}"`).join(', ')} ${warning.columns.length === 1 ? 'was' : 'were'} not read. If one holds machines, workloads or modes, head it "machine", "workload" or "mode".`
    case 'score-point-open':
      return `${warning.file}:${warning.line}: "${warning.cell}" was read as a fraction, and so were the scores under the same heading. If the point separates thousands, write them without it.`
    case 'log-much-mended':
      return `${warning.file}: ${sayCount(warning.broken, 'sample')} had to be repaired or left out, and ${groupDigits(warning.samples, 0)} are left. Times or powers of this log are broken, so results from it may be wrong. holdwatt check lists the repairs.`
    case 'read-as-thousands':
      return `${warning.file}: ${warning.detail}.`
    case 'run-without-power':
      return `${warning.file}: the run at ${sayMoment(warning.atS)} has no sample of power and was left out of the fit.`
    case 'run-cut-off':
      return `${warning.file}: the log does not hold all of the run at ${sayMoment(warning.atS)}, which was left out of the fit.`
    case 'rate-lags':
      return `${warning.file}: the pace comes ${sayDuration(Math.abs(warning.lagS))} ${warning.lagS > 0 ? 'after' : 'before'} its power in the log, and was moved by that.`
    case 'rate-wanders':
      return `${warning.file}: the pace wanders over ${sayDuration(warning.correlationS)} at a time, so that the log holds ${sayCount(warning.blocks, 'block')} only that are nearly independent. The intervals may be too narrow: log for longer.`
    case 'scored-runs-few':
      return `${capitalised(sayNumberWord(warning.runs))} scored ${warning.runs === 1 ? 'run does' : 'runs do'} not show how much runs vary. The intervals rest on typical run-to-run variation.`
    case 'powers-alike':
      return `All runs were made at ${sayPowers(warning.measuredRangeW)}, so how the score changes with power rests on typical chip behaviour. Test a second power mode.`
    case 'run-off-curve':
      return `The run at ${sayMoment(warning.startS)}, which scored ${sayMeasuredScore(warning.score)}, is ${sayPercent(Math.abs(warning.offPct))} ${warning.offPct < 0 ? 'below' : 'above'} the curve of the other runs and counts for less.`
    case 'scores-scatter':
      return `Runs at equal power vary by ${sayPercent(warning.scatterPct)}, more than those of a quiet machine. The intervals are wider for it.`
    case 'levels-disagree':
      return `The score at ${sayPower(warning.higherW)} is ${sayPercent(warning.fallPct)} below that at ${sayPower(warning.lowerW)}, more than runs vary. One of the two was measured at another setting: another power mode, fewer active cores, or a limit that did not hold. Leave it out, or put it in a sheet of its own.`
    case 'level-clocks-disagree':
      return `From ${sayPower(warning.lowerW)} to ${sayPower(warning.higherW)} the clock ${sayChange(warning.clockPct)} and the speed ${sayChange(warning.scorePct)}, which one setting can't do. One of the two was measured at another: other active cores, another memory speed, or a limit that did not hold. Leave it out, or put it in a sheet of its own.`
    case 'level-partly-capped':
      return `${capitalised(sayPower(warning.powerW))} is a mean: the power was at its limit for ${sayPercent(warning.cappedPct, 0)} of the time, and the task asked for less in the rest. A limit of ${sayPower(warning.powerW)} would score less.`
    case 'simple-form-better':
      return `${warning.form === 'exponential' ? 'An' : 'A'} ${warning.form} predicts levels that are left out to within ${sayPercent(warning.formMissPct)} on average, and the score curve to within ${sayPercent(warning.missPct)}. The intervals are wider for it.`
    case 'idle-not-seen':
      return `The log shows no idle power; ${sayGivenPower(Number(warning.supposedW.toPrecision(2)))} was assumed. Hold times count from there.`
    case 'modes-mixed':
      return `The trials were made in several power modes (${warning.modes.join(', ')}). ${
        warning.main === undefined
          ? 'The chassis is that of the longest load.'
          : `Chassis and scores as tested are those of the first, ${warning.main}.`
      }`
    case 'heat-explains-better':
      return 'The stages look like power limits, but heat fits the log better. The chassis was fitted as held by heat.'
    case 'timed-step-explains-better':
      return 'The power drops a set time after the load begins, whatever the power before. The chassis was fitted with a timed step, not with a running average.'
    case 'chassis-fit-poor':
      return 'The chassis model fits the log poorly. Do not rely on its hold times.'
    case 'chassis-misses-steady':
      return `The chassis model fails: in its own test it draws ${sayPercent(Math.abs(warning.missedPct))} ${warning.missedPct < 0 ? 'less' : 'more'} power than was measured in the last runs. Its sustained power was set to the measured power, and heat is left out of projections.`
    case 'budget-varies':
      return `One time constant does not explain all ${warning.runs} bursts. That of run ${warning.worstRun} differs by ${sayPercent(Math.abs(warning.burstDeviationPct), 0)}.`
    case 'record-temperature-missing':
      return 'No processor temperature was found, so this log cannot show whether heat or a power limit holds the power.'
    case 'record-clock-missing':
      return 'No processor clock was found. The log has no clock column.'
    case 'record-counter-still':
      return 'The energy counter never moved. This system does not keep it, as in many virtual machines, and the power in this log is not real.'
    case 'record-counters-denied':
      return `${capitalised(sayNumberWord(warning.count))} energy ${warning.count === 1 ? 'counter was' : 'counters were'} left out, as this user may not read ${warning.count === 1 ? 'it' : 'them'}.`
    case 'record-output-dropped':
      return `${warning.bytes} bytes of the command’s output were dropped, as their reader did not keep up or has gone. The log is complete.`
    case 'record-incomplete':
      return `In ${warning.count} of ${sayCount(warning.samples, 'sample')} a counter or sensor of the power did not answer. Those cells are empty.`
    case 'record-clock-limited':
      return `The system lets the processor go up to ${sayPercent(warning.pct, 0)} of its highest clock only. Scores and powers are those of that limit.`
    case 'record-energy-unknown':
      return `For ${warning.count} of ${sayCount(warning.samples, 'sample')} the energy since the previous sample is not known, after a break in the log or a counter that started again. Readers of the log skip them.`
    case 'record-command-failed': {
      const end =
        warning.signal === null ? `ended with status ${warning.status}` : `was ended by ${warning.signal}`
      return warning.of === 1
        ? `The command ${end}. Check that it did its work before you use this log.`
        : `${sayRunNumbers(warning.runs, warning.of)} failed (the first ${end}) and ${warning.runs.length === 1 ? 'is' : 'are'} left out of the sheet.`
    }
    case 'record-score-missing': {
      const why =
        warning.unreadable === null
          ? 'no line of the output matches the pattern'
          : `"${warning.unreadable}" is no score (expected a plain number, without a comma)`
      return `${sayRunNumbers(warning.runs, warning.of)} gave no score: ${why}. The sheet has a place for each.`
    }
    case 'record-score-is-time':
      return 'Without --score the score of a run is its time. That is right when every run does the same work.'
    case 'record-slept':
      return `The machine slept for ${sayDuration(warning.forS)} at ${sayMoment(warning.atS)}. The log has a gap there, and a run around it is left out of the sheet.`
    case 'record-interrupted':
      return `Interrupted at ${sayMoment(warning.atS)}; everything until then is kept. The same command with --resume continues.`
    case 'record-power-unclear':
      return `No counter covers a whole processor package. Choose one with --power: ${warning.columns.join(', ')}.`
  }
}

/** Small numbers in words, as at the beginning of a sentence. */
function sayChange(percent: number): string {
  return `${percent < 0 ? 'falls' : 'rises'} by ${sayPercent(Math.abs(percent))}`
}

function sayNumberWord(count: number): string {
  return ['no', 'one', 'two', 'three', 'four', 'five', 'six'][count] ?? String(count)
}

function sayRunNumbers(runs: readonly number[], of: number): string {
  if (runs.length === of) return of === 1 ? 'The run' : `All ${of} runs`
  const shown = runs.slice(0, 5).join(', ')
  return `Run${runs.length === 1 ? '' : 's'} ${shown}${runs.length > 5 ? ` and ${runs.length - 5} more` : ''} of ${of}`
}
