import type * as z from 'zod'
import { InputError } from '../errors.js'
import { type ModelFormat, type RawModel, upgradeModel } from './upgradeModel.js'

interface ModelKind<Model> {
  readonly format: ModelFormat
  readonly schema: z.ZodType<Model>
}

/**
 * Reads a JSON model of this or an earlier version and checks every field of it.
 *
 * @param file - its name, for messages
 * @throws InputError `model-not-json`, `model-wrong-format`, `model-too-new`, `model-invalid` naming the field
 */
export function parseModel<Model>(json: string, file: string, kind: ModelKind<Model>): Model {
  const raw = parseJson(json, file)
  const format = fieldOf(raw, 'format')
  if (format !== kind.format) {
    const came = typeof format === 'string' ? `\`${format.slice(0, 40)}\`` : 'none'
    throw new InputError(
      'model-wrong-format',
      `expected a model with \`"format": "${kind.format}"\`, got ${came}`,
      {
        where: { file },
        remedy: `write one with: holdwatt fit SHEET.yaml --${kind.format.replace('holdwatt-', '')} FILE.json`,
      },
    )
  }
  const parsed = kind.schema.safeParse(upgradeModel(raw as RawModel, kind.format, file))
  if (parsed.success) return parsed.data
  const issue = parsed.error.issues[0]!
  throw new InputError('model-invalid', `${issue.path.join('.')}: ${issue.message}`, {
    where: { file },
    remedy: 'fit the model anew rather than mend it by hand',
  })
}

/** The format that a JSON text claims, or undefined: tells a chip from a chassis from something else. */
export function modelFormatOf(json: string): string | undefined {
  try {
    const format = fieldOf(JSON.parse(json), 'format')
    return typeof format === 'string' ? format : undefined
  } catch {
    return undefined
  }
}

function parseJson(json: string, file: string): unknown {
  try {
    return JSON.parse(json)
  } catch (error) {
    const reason = error instanceof Error ? error.message.replace(/\s+/g, ' ') : 'unreadable'
    throw new InputError('model-not-json', `this is not valid JSON: ${reason}`, {
      where: { file },
      remedy: 'fit the model anew: holdwatt fit SHEET.yaml --chip FILE.json',
    })
  }
}

function fieldOf(raw: unknown, name: string): unknown {
  return typeof raw === 'object' && raw !== null
    ? (raw as { readonly [name: string]: unknown })[name]
    : undefined
}
