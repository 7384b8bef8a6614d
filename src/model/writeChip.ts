import { readFile } from 'node:fs/promises'
import { writeFileSafely } from '../files/writeFileSafely.js'
import type { Chip } from '../physics/chip/chip.js'
import { formatChip } from './formatModel.js'
import { modelFormatOf } from './parseModel.js'

/**
 * Writes a chip model as JSON that `readChip` reads. An existing file is replaced only when it is a chip model itself, or
 * with `force`.
 *
 * @throws InputError `file-exists`, `file-not-writable`
 */
export async function writeChip(
  path: string,
  model: Chip,
  options: { readonly force?: boolean } = {},
): Promise<void> {
  const mayReplace = async () =>
    options.force === true || modelFormatOf(await readFile(path, 'utf8')) === 'holdwatt-chip'
  await writeFileSafely(path, formatChip(model), { mayReplace })
}
