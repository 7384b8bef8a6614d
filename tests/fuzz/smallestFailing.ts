import type { FuzzCase } from './fuzzCase.js'
import { judgeCase } from './judgeCase.js'

/** The failing case with as many changes left out as can be while it still fails; undefined when it doesn't fail. */
export async function smallestFailing(
  fuzzCase: FuzzCase,
): Promise<{ readonly fuzzCase: FuzzCase; readonly failure: string } | undefined> {
  const failure = await failureOf(fuzzCase)
  if (failure === undefined) return undefined
  for (let i = 0; i < fuzzCase.changes.length; i++) {
    const smaller = await smallestFailing({ ...fuzzCase, changes: fuzzCase.changes.toSpliced(i, 1) })
    if (smaller !== undefined) return smaller
  }
  return { fuzzCase, failure }
}

async function failureOf(fuzzCase: FuzzCase): Promise<string | undefined> {
  try {
    await judgeCase(fuzzCase)
    return undefined
  } catch (error) {
    return error instanceof Error ? (error.stack ?? error.message) : String(error)
  }
}
