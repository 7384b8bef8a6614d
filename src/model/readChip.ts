import { readTextFile } from '../files/readTextFile.js'
import type { Chip } from '../physics/chip/chip.js'
import { chipSchema } from './modelSchema.js'
import { parseModel } from './parseModel.js'

/**
 * Reads a chip model that `writeChip` wrote.
 *
 * @throws InputError when the file is missing, is no chip model, or holds a wrong value
 */
export async function readChip(path: string): Promise<Chip> {
  return parseModel(await readTextFile(path), path, { format: 'holdwatt-chip', schema: chipSchema })
}
