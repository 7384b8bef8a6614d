import { readTextFile } from '../files/readTextFile.js'
import { chassisSchema, chipSchema } from '../model/modelSchema.js'
import { modelFormatOf, parseModel } from '../model/parseModel.js'
import type { Chip } from '../physics/chip/chip.js'
import type { Chassis } from '../physics/loop/chassis.js'
import { parseSheet } from '../sheet/parseSheet.js'
import { splitSheetPath } from '../sheet/readSheet.js'
import type { TestSheet } from '../sheet/testSheet.js'

/** What a path on the command line turned out to hold. */
export type Subject =
  | { readonly kind: 'chip'; readonly path: string; readonly chip: Chip }
  | { readonly kind: 'chassis'; readonly path: string; readonly chassis: Chassis }
  | { readonly kind: 'sheet'; readonly path: string; readonly sheet: TestSheet }

/**
 * Reads a model or a test sheet, told apart by what they hold: a JSON object with a model's `format`, else YAML.
 *
 * @throws InputError when it is neither
 */
export async function readSubject(path: string): Promise<Subject> {
  const { file, asked } = splitSheetPath(path)
  const text = await readTextFile(file)
  const format = /^\s*\{/.test(text) ? modelFormatOf(text) : undefined
  if (format === 'holdwatt-chassis') {
    return { kind: 'chassis', path, chassis: parseModel(text, path, { format, schema: chassisSchema }) }
  }
  if (format !== undefined || path.endsWith('.json')) {
    return {
      kind: 'chip',
      path,
      chip: parseModel(text, path, { format: 'holdwatt-chip', schema: chipSchema }),
    }
  }
  return { kind: 'sheet', path, sheet: parseSheet(text, file, asked) }
}
