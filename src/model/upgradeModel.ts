import { InputError } from '../errors.js'

/** The two kinds of model file, as their `format` field names them. */
export type ModelFormat = 'holdwatt-chip' | 'holdwatt-chassis'

/** The version of the model files that this program writes. It reads this one and all before it, and none that is newer. */
export const MODEL_VERSION = 2

/** A model file's fields as they came, not yet checked. */
export type RawModel = { readonly [field: string]: unknown }

/**
 * Brings a model of an earlier version to the present one, step by step; a field that is there is never touched.
 *
 * - 1 to 2: a chassis without `givesWay` was written when budgets held power at their limit from the moment they were used up
 *   (`latch`); since version 2 every chassis says which of the two it does. Chips are the same.
 *
 * @param raw - the fields, with `format` as given
 * @param file - its name, for messages
 * @throws InputError `model-too-new`, `model-invalid` when the version is none
 */
export function upgradeModel(raw: RawModel, format: ModelFormat, file: string): RawModel {
  const { version } = raw
  if (typeof version !== 'number' || !Number.isInteger(version) || version < 1)
    throw versionless(version, file)
  if (version > MODEL_VERSION) throw tooNew(version, file)
  return UPGRADES.slice(version - 1).reduce((model, upgrade) => upgrade(model, format), raw)
}

type Upgrade = (model: RawModel, format: ModelFormat) => RawModel

/** The first leads from version 1 to 2, and so on: one for each version but the present. */
const UPGRADES: readonly Upgrade[] = [sayHowBudgetsGiveWay]

function sayHowBudgetsGiveWay(model: RawModel, format: ModelFormat): RawModel {
  const upgraded = { ...model, version: 2 }
  return format === 'holdwatt-chassis' && !('givesWay' in model)
    ? { ...upgraded, givesWay: 'latch' }
    : upgraded
}

function tooNew(version: number, file: string): InputError {
  return new InputError(
    'model-too-new',
    `this model was written by a newer holdwatt (model version ${version}; this one reads up to ${MODEL_VERSION})`,
    { where: { file }, remedy: 'update holdwatt, or fit the model anew from its sheets with this one' },
  )
}

function versionless(version: unknown, file: string): InputError {
  const came = version === undefined ? 'none' : JSON.stringify(version)?.slice(0, 40)
  return new InputError('model-invalid', `version: expected a whole number from 1 up, got ${came}`, {
    where: { file },
    remedy: 'fit the model anew rather than mend it by hand',
  })
}
