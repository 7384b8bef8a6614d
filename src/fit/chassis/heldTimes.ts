import { halfWayS, type LoopMachine } from '../../physics/loop/loopMachine.js'
import { simulatePasses } from '../../physics/loop/simulateLoop.js'

/** How long an uninterrupted load from idle stays at its burst, and then at the level after it; null when without end. */
export interface HeldTimes {
  readonly burstS: number | null
  readonly shortTermS: number | null
}

/** A power within this share of a level is still at it. */
const AT_LEVEL = 0.01
/** Long enough for any budget or heat sink to have settled. */
const LONG_LOAD_S = 4 * 3600

/**
 * Runs a machine without pause and reads off how long its first levels are held: until power is half way down from the
 * peak, and from there until it is half way down from `shortTermW` (null: there is none).
 */
export function heldTimes(machine: LoopMachine, shortTermW: number | null): HeldTimes {
  let burstS: number | null = null
  let reached = false
  let shortTermEndS: number | null = null
  const pass = { gapBeforeS: 0, work: null, durationS: LONG_LOAD_S }
  simulatePasses(machine, { passes: [pass], rate: () => 1 }, ({ startS, powerW }) => {
    if (burstS === null && powerW < machine.peakW * (1 - AT_LEVEL / 10)) burstS = startS
    if (shortTermW === null || burstS === null || shortTermEndS !== null) return
    if (powerW < shortTermW * (1 - AT_LEVEL)) shortTermEndS = startS
    else if (powerW < shortTermW * (1 + AT_LEVEL)) reached = true
  })
  const shortTermS = reached && shortTermEndS !== null && burstS !== null ? shortTermEndS - burstS : null
  return { burstS: burstS === null ? null : burstS + halfWayS(machine.responseS), shortTermS }
}
