import { mean } from '../../numeric/statistics/moments.js'
import { leakageHeat, USUAL_CEILING_C, USUAL_LOAD_C, USUAL_ROOM_C } from '../../physics/chip/leakageHeat.js'
import type { PowerProfile } from './profileRun.js'

/** How warm the silicon was in each run, in kelvins of leakage heat above the temperature that the curve is told at. */
export interface RunHeat {
  readonly heatK: readonly number[]
  /** Whether temperatures were logged; if not, the level common to all runs of a sheet is a guess. */
  readonly measured: boolean
  /** Degrees C: the mean of all runs, to a whole degree, or the usual one where none was logged. */
  readonly referenceC: number
}

/**
 * Leakage heat of every run: from the log's temperatures, else from how the usual machine warms under the logged power. A curve is told at the
 * temperature of its own runs: what leaks at another is known to a factor of two at best.
 *
 * Without temperatures each sheet's last run is taken to be at the usual temperature under load, and earlier ones cooler or
 * hotter as the power before and during them says. Runs noted by hand, without a log, count as settled.
 *
 * @param runs - with the name of the sheet that each belongs to
 */
export function runHeat(
  runs: readonly { readonly sheet: string; readonly profile: PowerProfile }[],
): RunHeat {
  if (runs.every(({ profile }) => profile.meanC !== undefined)) {
    const referenceC = Math.round(mean(runs.map(({ profile }) => profile.meanC!))!)
    const heatK = runs.map(({ profile }) => leakageHeat(profile.meanC!, referenceC))
    return { measured: true, heatK, referenceC }
  }
  const settledW = new Map(
    runs.map(({ sheet, profile }) => [sheet, profile.lastWarmingW ?? profile.warmingW]),
  )
  const heatK = runs.map(({ sheet, profile }) => {
    const settled = settledW.get(sheet)
    if (settled === undefined || profile.warmingW === undefined) return 0
    const guessedC = USUAL_ROOM_C + (USUAL_LOAD_C - USUAL_ROOM_C) * (profile.warmingW / settled)
    return leakageHeat(Math.min(USUAL_CEILING_C, guessedC), USUAL_LOAD_C)
  })
  return { measured: false, heatK, referenceC: USUAL_LOAD_C }
}
