import type { HeldLevels } from './findHeldLevels.js'
import { fitHeldPower, type HeldPowerFit } from './fitHeldPower.js'
import type { LoadRecord } from './loadRecord.js'

/** A machine that nothing holds down: the workload's demand throughout. Parameter: its power. */
export interface FlatFit extends HeldPowerFit {
  readonly kind: 'flat'
}

/** Fits one level to a whole load: what a chassis that never holds its chip down shows. */
export function fitFlat(record: LoadRecord, levels: HeldLevels): FlatFit {
  const fit = fitHeldPower(record, {
    start: [levels.sustainedW],
    within: [3],
    machine: ([peakW]) => ({
      idleW: record.idleW,
      peakW: peakW!,
      responseS: 0,
      givesWay: 'latch',
      budgets: [],
      heat: null,
      timedSteps: [],
    }),
  })
  return { kind: 'flat', ...fit }
}
