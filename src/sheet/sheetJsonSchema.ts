import * as z from 'zod'
import { reviewSchema, sheetSchema } from './sheetSchema.js'
import { RUNS_HERE, runForms } from './trialSchema.js'

/**
 * The shape of a test sheet as a JSON Schema, for editors that complete and check as one types. It is made from the schema that reads
 * sheets, so that the two agree on every key; what depends on several values (units, times, which metric belongs to which workload) is left
 * to `holdwatt check`.
 *
 * A value may be a number or a text: `15210` and `22 degC` stand beside each other in a sheet.
 *
 * @returns a document of draft 2020-12
 * @source JSON Schema draft 2020-12, Core and Validation
 * @example sheetJsonSchema().$schema // 'https://json-schema.org/draft/2020-12/schema'
 */
export function sheetJsonSchema(): { readonly $schema: string; readonly [key: string]: unknown } {
  return {
    $schema: 'https://json-schema.org/draft/2020-12/schema',
    title: 'holdwatt test sheet',
    description: 'One machine as tested, with one workload or many: logs, scores, power modes.',
    type: 'object',
    if: { required: ['workloads'] },
    // biome-ignore lint/suspicious/noThenProperty: a keyword of JSON Schema
    then: partSchema(reviewSchema([]), []),
    else: partSchema(sheetSchema, ['score']),
  }
}

type SchemaNode = Record<string, unknown>

/** A part of the sheet; metrics that a sheet names itself are any further keys of its runs. */
function partSchema(schema: z.ZodType, metrics: readonly string[]): SchemaNode {
  const { $schema: _, ...part } = z.toJSONSchema(schema, {
    target: 'draft-2020-12',
    io: 'input',
    unrepresentable: 'any',
    override: ({ jsonSchema }) => {
      const node = jsonSchema as SchemaNode
      if (node.title === RUNS_HERE.title) {
        delete node.title
        const { list, table } = runForms(metrics)
        node.anyOf = [runList(partSchema(list, metrics), metrics), partSchema(table, metrics)]
      }
      if (node.type === 'string' && node.enum === undefined) node.type = ['string', 'number']
      // Names of keys are texts always.
      if (node.propertyNames !== undefined)
        node.propertyNames = { ...(node.propertyNames as SchemaNode), type: 'string' }
    },
  })
  return part
}

function runList(list: SchemaNode, metrics: readonly string[]): SchemaNode {
  if (metrics.length > 0) return list
  return {
    ...list,
    items: { ...(list.items as SchemaNode), additionalProperties: { type: ['string', 'number'] } },
  }
}
