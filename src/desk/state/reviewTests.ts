import { parseReview } from '../../sheet/parseReview.js'
import { testLabel } from '../../sheet/reviewSheet.js'

/** Part of a sheet on the desk that decides which of its tests is shown. */
interface AskedSheet {
  readonly text: string
  /** Which test of a sheet of many workloads a person chose. */
  readonly asked?: string | undefined
}

/**
 * The tests of a sheet of many workloads that can be shown, as a command is told them behind the sheet: each workload by each metric, in all
 * modes and in one; null for a sheet of one workload, or one that can't be read.
 */
export function reviewTests(text: string): readonly string[] | null {
  const known = seen.get(text)
  if (known !== undefined) return known
  const tests = readTests(text)
  if (seen.size >= MOST_SEEN) seen.clear()
  seen.set(text, tests)
  return tests
}

/** The test that is shown: the one that was chosen, else the first; undefined where there is nothing to choose. */
export function askedTest({ text, asked }: AskedSheet): string | undefined {
  const tests = reviewTests(text)
  return tests === null || (asked !== undefined && tests.includes(asked)) ? asked : tests[0]
}

/** Whether a sheet is of many workloads, even where it can't be read. */
export function isReviewText(text: string): boolean {
  return /^workloads[ \t]*:/m.test(text)
}

/** Every part of the desk asks for the tests of the same few texts. */
const seen = new Map<string, readonly string[] | null>()
const MOST_SEEN = 100

function readTests(text: string): readonly string[] | null {
  if (!isReviewText(text)) return null
  try {
    const powered = parseReview(text, 'sheet').tests.filter(({ sheet }) => sheet.trials.length > 0)
    const names = new Map<string, string[]>()
    for (const test of powered) {
      const name = testLabel({ ...test, mode: null })
      names.set(name, [...(names.get(name) ?? []), testLabel(test)])
    }
    return [...names].flatMap(([name, modes]) => (modes.length > 1 ? [name, ...modes] : modes))
  } catch {
    return null
  }
}
