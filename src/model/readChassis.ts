import { readTextFile } from '../files/readTextFile.js'
import type { Chassis } from '../physics/loop/chassis.js'
import { chassisSchema } from './modelSchema.js'
import { parseModel } from './parseModel.js'

/**
 * Reads a chassis model that `writeChassis` wrote.
 *
 * @throws InputError when the file is missing, is no chassis model, or holds a wrong value
 */
export async function readChassis(path: string): Promise<Chassis> {
  return parseModel(await readTextFile(path), path, { format: 'holdwatt-chassis', schema: chassisSchema })
}
