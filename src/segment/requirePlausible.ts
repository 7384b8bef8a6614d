import { InputError, type InputLocation } from '../errors.js'
import type { ParsedLog } from '../log/trace.js'
import { quantile } from '../numeric/statistics/quantile.js'
import type { Load } from './load.js'

/** No single machine draws as much: the column holds milliwatts, or something else. Common practice, no source. */
const MOST_W = 10_000

/** Nobody logs a load so slowly: the column of times holds milliseconds, or something else. Common practice, no source. */
const SLOWEST_S = 100

/** What can't be: power that no machine draws (W), or samples so far apart that no load could be seen in them (s); null for what can. */
export function findImplausible(
  { trace }: Pick<ParsedLog, 'trace'>,
  loads: readonly Load[],
): { readonly powerW: number | null; readonly intervalS: number | null } {
  const powerW =
    loads.length === 0
      ? quantile(trace.powerW, 0.5)
      : Math.max(...loads.map((load) => load.sustained.levelW.value))
  return {
    powerW: powerW > MOST_W ? powerW : null,
    intervalS: trace.intervalS >= SLOWEST_S ? trace.intervalS : null,
  }
}

/**
 * Refuses a log whose power no machine draws: every figure from it would be wrong.
 *
 * @param file - the log's name
 * @throws InputError `power-implausible`
 */
export function requirePlausible(
  log: ParsedLog,
  loads: readonly Load[],
  file: string,
  where?: InputLocation,
): void {
  const { powerW } = findImplausible(log, loads)
  if (powerW === null) return
  const kilowatts = (watts: number) => `${Number((watts / 1000).toPrecision(3))} kW`
  const message = `expected what one machine draws, at most ${kilowatts(MOST_W)}, got ${kilowatts(powerW)} in column "${log.columns.power}"`
  throw new InputError('power-implausible', message, {
    where: where ?? { file },
    remedy: 'where the column holds milliwatts, name them in its header: power_mw, or Power [mW]',
  })
}
