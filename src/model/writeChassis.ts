import { readFile } from 'node:fs/promises'
import { writeFileSafely } from '../files/writeFileSafely.js'
import type { Chassis } from '../physics/loop/chassis.js'
import { formatChassis } from './formatModel.js'
import { modelFormatOf } from './parseModel.js'

/**
 * Writes a chassis model as JSON that `readChassis` reads. An existing file is replaced only when it is a chassis model itself, or
 * with `force`.
 *
 * @throws InputError `file-exists`, `file-not-writable`
 */
export async function writeChassis(
  path: string,
  model: Chassis,
  options: { readonly force?: boolean } = {},
): Promise<void> {
  const mayReplace = async () =>
    options.force === true || modelFormatOf(await readFile(path, 'utf8')) === 'holdwatt-chassis'
  await writeFileSafely(path, formatChassis(model), { mayReplace })
}
