import leven from 'leven'
import type * as z from 'zod'
import { InputError } from '../errors.js'
import { buildTrial } from './buildTrial.js'
import { parseYamlTree, type YamlTree, type YamlValue } from './parseYamlTree.js'
import { sheetKeys, sheetSchema } from './sheetSchema.js'
import type { TestSheet } from './testSheet.js'

/**
 * Reads a YAML test sheet: one machine and one workload, as tested (section 2 of cli/README.md).
 *
 * @param text - YAML
 * @param file - the sheet's path, for messages and for finding its logs
 * @throws InputError `sheet-…` with file, line and column, what was expected, what it got and what to do; when several
 *   values are wrong, the others are in `details.others`
 * @example parseSheet(text, 'heron.yaml').machine // 'Heron 14'
 */
export function parseSheet(text: string, file: string): TestSheet {
  const tree = parseYamlTree(text, file)
  if (typeof tree.value === 'string' || Array.isArray(tree.value)) {
    throw new InputError(
      'sheet-not-a-sheet',
      'a test sheet begins with keys such as `machine:` and `chip:`',
      {
        where: tree.locate([]),
        remedy: 'give a YAML test sheet; a log alone is read by `holdwatt stages` and `holdwatt check`',
      },
    )
  }
  const parsed = sheetSchema.safeParse(tree.value)
  if (!parsed.success) throw firstWithOthers(sayIssues(parsed.error.issues, tree))
  const { machine, chip, chassis, ambient, workload, trials } = parsed.data
  const faults: InputError[] = []
  const built = trials.flatMap((raw, index) => {
    try {
      return [buildTrial(raw, { workload, file, locate: (path) => tree.locate(['trials', index, ...path]) })]
    } catch (error) {
      if (!(error instanceof InputError)) throw error
      faults.push(error)
      return []
    }
  })
  if (faults.length > 0) throw firstWithOthers(faults)
  return {
    file,
    machine,
    chip,
    chassis,
    ambientC: ambient ?? null,
    workload,
    workloadAt: tree.locate(['workload', 'score']),
    trials: built,
  }
}

function firstWithOthers(faults: readonly InputError[]): InputError {
  const [first, ...others] = faults
  return new InputError(first!.code, first!.message, { ...first!.details, others })
}

/** Nobody mends more than this from one message. */
const MOST_UNKNOWN = 20

/** Unknown keys come first: a mistyped key is the cause of the missing one, which is then not told again. */
function sayIssues(issues: readonly z.core.$ZodIssue[], tree: YamlTree): InputError[] {
  const unknown = issues.filter((issue) => issue.code === 'unrecognized_keys')
  const meant = new Set(
    unknown.flatMap(({ keys, path }) =>
      keys.slice(0, MOST_UNKNOWN).map((key) => sayPath([...path, nearestKey(key, keysOf(path)) ?? ''])),
    ),
  )
  const others = issues.filter(
    (issue) => issue.code !== 'unrecognized_keys' && !meant.has(sayPath(issue.path)),
  )
  return [...unknown, ...others].flatMap((issue) => sayIssue(issue, tree))
}

function sayIssue(issue: z.core.$ZodIssue, tree: YamlTree): InputError[] {
  if (issue.code === 'unrecognized_keys') {
    return issue.keys.slice(0, MOST_UNKNOWN).map((key) => unknownKey(key, issue.path, tree))
  }
  const where = tree.locate(issue.path)
  const params = issue.code === 'custom' ? issue.params : undefined
  const code = typeof params?.code === 'string' ? params.code : 'sheet-value-invalid'
  const remedy = typeof params?.remedy === 'string' ? params.remedy : 'see the example sheet in the README'
  const came = params?.code === undefined ? `, got ${sayWhatCame(valueAt(tree.value, issue.path))}` : ''
  return [new InputError(code, `${sayPath(issue.path)}${issue.message}${came}`, { where, remedy })]
}

function unknownKey(key: string, path: readonly PropertyKey[], tree: YamlTree): InputError {
  const known = keysOf(path)
  const nearest = nearestKey(key, known)
  const message = `${sayPath(path)}the key \`${shorten(key)}\` is not known here`
  const remedy =
    nearest === undefined
      ? `known here: ${known.join(', ')}`
      : `was \`${nearest}\` meant? Known here: ${known.join(', ')}`
  return new InputError('sheet-key-unknown', message, { where: tree.locateKey([...path, key]), remedy })
}

/** Keys known in the part of a sheet that a path leads to. */
function keysOf(path: readonly PropertyKey[]): readonly string[] {
  const part = path.findLast((step) => typeof step === 'string') ?? 'sheet'
  return sheetKeys[String(part)] ?? sheetKeys.sheet!
}

/** `trials[2].runs[1].score: `, counted from 1 as people count. */
function sayPath(path: readonly PropertyKey[]): string {
  const text = path.map((step) => (typeof step === 'number' ? `[${step + 1}]` : `.${String(step)}`)).join('')
  return text === '' ? '' : `${text.replace(/^\./, '')}: `
}

function valueAt(value: YamlValue | undefined, path: readonly PropertyKey[]): YamlValue | undefined {
  let at: YamlValue | undefined = value
  for (const step of path) {
    if (at === undefined || typeof at === 'string') return undefined
    at = (at as { readonly [key: PropertyKey]: YamlValue })[step]
  }
  return at
}

function sayWhatCame(value: YamlValue | undefined): string {
  if (value === undefined || value === '') return 'nothing'
  if (typeof value === 'string') return `\`${shorten(value)}\``
  return Array.isArray(value) ? 'a list' : 'a group of keys'
}

function shorten(text: string): string {
  return text.length > 60 ? `${text.slice(0, 57)}…` : text
}

/**
 * The known word that a mistyped one was most likely meant to be; undefined when none is near.
 *
 * Near: an edit distance (Levenshtein) of at most a third of the longer word's length, and at least 1 is allowed.
 */
function nearestKey(word: string, known: readonly string[]): string | undefined {
  const ranked = known
    .map((candidate) => ({
      candidate,
      distance: leven(word.slice(0, 40).toLowerCase(), candidate.toLowerCase()),
    }))
    .sort((a, b) => a.distance - b.distance)
  const best = ranked[0]
  if (best === undefined) return undefined
  const allowed = Math.max(1, Math.floor(Math.max(word.length, best.candidate.length) / 3))
  return best.distance <= allowed ? best.candidate : undefined
}
