import { mean, standardDeviation } from '../../numeric/statistics/moments.js'
import { correlationFactor } from '../../numeric/statistics/noise.js'
import type { ChassisFit } from './chooseChassisFit.js'
import type { LoadRecord } from './loadRecord.js'
import { predictPower } from './predictPower.js'

/**
 * A looped load's fit with the burst power of its first run: bursts after pauses start warmer, draw more, and pull the fitted
 * peak away from what a rested machine shows.
 *
 * The first run's burst is what the fitted machine predicts at its peak; its mean replaces the peak, with the standard error of
 * a mean of correlated samples. Fewer than three samples of it leave the fit as it is, and so does a single run, whose fit saw
 * nothing else.
 */
export function withFirstBurst(record: LoadRecord, fit: ChassisFit): ChassisFit {
  if (record.passes.length < 2 || fit.kind === 'flat') return fit
  const burst = firstBurst(record, fit)
  if (burst.length < LEAST_SAMPLES) return fit
  const meanW = mean(burst)!
  const widening = correlationFactor(record.autocorrelation)
  const standardError = standardDeviation(burst)! * Math.sqrt(widening / burst.length)
  const parameters = [meanW, ...fit.parameters.slice(1)]
  return {
    ...fit,
    parameters,
    machine: fit.machineFor(parameters),
    logErrors: fit.logErrors && [standardError / meanW, ...fit.logErrors.slice(1)],
  }
}

const LEAST_SAMPLES = 3
/** Share of its peak down to which a predicted power counts as the burst. */
const AT_PEAK = 0.995

function firstBurst(record: LoadRecord, { machine }: ChassisFit): number[] {
  const predicted = predictPower(machine, record)
  const powers: number[] = []
  for (let i = 0; i < predicted.length && record.pass[i]! <= 0; i++) {
    if (record.pass[i] !== 0) continue
    if (predicted[i]! < AT_PEAK * machine.peakW) break
    powers.push(record.powerW[i]!)
  }
  return powers
}
