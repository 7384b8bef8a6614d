import type { Chassis } from '../curves/chassis.js'
import type { LoopMachine } from '../curves/loopMachine.js'
import { kroneckerPoint } from '../numeric/kroneckerPoint.js'
import { normalQuantile } from '../numeric/normalQuantile.js'
import { machineFromChassis, scoresNeeded } from './machineFromChassis.js'

/** So many equally probable machines out of those that a fitted chassis leaves possible, evenly spread. */
export function drawMachines(chassis: Chassis, count: number): LoopMachine[] {
  const needed = scoresNeeded(chassis)
  return Array.from({ length: count }, (_, k) => {
    const scores = kroneckerPoint(k, needed).map((share) =>
      normalQuantile(Math.min(1 - 1e-9, Math.max(1e-9, share))),
    )
    return machineFromChassis(chassis, { demandW: null }, scores)
  })
}
