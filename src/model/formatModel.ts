import type { Chip } from '../physics/chip/chip.js'
import type { Chassis } from '../physics/loop/chassis.js'
import { MODEL_VERSION } from './upgradeModel.js'

/** A chip model as the JSON text that `readChip` reads. */
export function formatChip(model: Chip): string {
  return `${JSON.stringify({ format: 'holdwatt-chip', version: MODEL_VERSION, ...model }, null, 1)}\n`
}

/** A chassis model as the JSON text that `readChassis` reads. */
export function formatChassis(model: Chassis): string {
  const fields = { format: 'holdwatt-chassis', version: MODEL_VERSION, givesWay: 'headroom', ...model }
  return `${JSON.stringify(fields, null, 1)}\n`
}
