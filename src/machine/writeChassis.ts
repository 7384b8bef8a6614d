import { existsSync, readFileSync } from 'node:fs'
import type { Chassis } from '../curves/chassis.js'
import { chassisSchema } from './modelSchema.js'
import { MODEL_VERSION, modelFormatOf } from './parseModel.js'
import { writeFileSafely } from './writeFileSafely.js'

/**
 * Writes a chassis model as JSON that `readChassis` reads. An existing file is replaced only when it is a chassis model itself, or
 * with `force`.
 *
 * @throws InputError `file-exists`, `file-not-writable`
 */
export function writeChassis(path: string, model: Chassis, options: { readonly force?: boolean } = {}): void {
  const checked = chassisSchema.parse(model)
  const json = JSON.stringify({ format: 'holdwatt-chassis', version: MODEL_VERSION, ...checked }, null, 1)
  const mayReplace = () => options.force === true || isOurs(path)
  writeFileSafely(path, `${json}\n`, { mayReplace })
}

function isOurs(path: string): boolean {
  return existsSync(path) && modelFormatOf(readFileSync(path, 'utf8')) === 'holdwatt-chassis'
}
