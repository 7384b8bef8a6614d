import * as z from 'zod'
import { InputError } from '../errors.js'
import { type Dimension, parseQuantity } from '../units.js'

/** A text with something to see in it. Control characters are refused, so that no name can drive a terminal. */
export function name(expected: string) {
  return z
    .string({ error: `expected ${expected}` })
    .trim()
    .min(1, `expected ${expected}`)
    .max(200, 'expected at most 200 characters')
    .regex(/^\P{Cc}*$/u, 'expected a text without control characters')
    .describe(expected)
}

export function quantity(dimension: Dimension) {
  return parsed((text) => parseQuantity(text, dimension))
}

/** Runs a parser of text, turning its complaint into one about this place in the sheet. */
export function parsed<T>(parse: (text: string) => T): z.ZodType<T, string> {
  return z
    .string({ error: 'expected one value, not a list or a group of keys' })
    .transform((text, context): T => {
      try {
        return parse(text)
      } catch (error) {
        if (!(error instanceof InputError)) throw error
        const remedy = error.details.remedy
        context.addIssue({ code: 'custom', message: error.message, params: { code: error.code, remedy } })
        return z.NEVER
      }
    })
}

export function positive(schema: z.ZodType<number, string>) {
  return schema.refine((value) => value > 0, 'expected more than zero')
}

export function notNegative(schema: z.ZodType<number, string>) {
  return schema.refine((value) => value >= 0, 'expected zero or more')
}

export function objectNeeded(keys: string) {
  return (issue: { code?: string }) =>
    issue.code === 'invalid_type' ? `expected the keys ${keys}` : undefined
}
