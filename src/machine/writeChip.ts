import { existsSync, readFileSync } from 'node:fs'
import type { Chip } from '../curves/chip.js'
import { chipSchema } from './modelSchema.js'
import { MODEL_VERSION, modelFormatOf } from './parseModel.js'
import { writeFileSafely } from './writeFileSafely.js'

/**
 * Writes a chip model as JSON that `readChip` reads. An existing file is replaced only when it is a chip model itself, or
 * with `force`.
 *
 * @throws InputError `file-exists`, `file-not-writable`
 */
export function writeChip(path: string, model: Chip, options: { readonly force?: boolean } = {}): void {
  const checked = chipSchema.parse(model)
  const json = JSON.stringify({ format: 'holdwatt-chip', version: MODEL_VERSION, ...checked }, null, 1)
  const mayReplace = () => options.force === true || isOurs(path)
  writeFileSafely(path, `${json}\n`, { mayReplace })
}

function isOurs(path: string): boolean {
  return existsSync(path) && modelFormatOf(readFileSync(path, 'utf8')) === 'holdwatt-chip'
}
