import leven from 'leven'
import type * as z from 'zod'
import { InputError } from '../errors.js'
import type { YamlTree, YamlValue } from './parseYamlTree.js'
import { sheetKeys } from './sheetSchema.js'

/** One error that carries all: the first, with the others in its details. */
export function firstWithOthers(faults: readonly InputError[]): InputError {
  const [first, ...others] = faults
  return new InputError(first!.code, first!.message, { ...first!.details, others })
}

/** Nobody mends more than this from one message. */
const MOST_UNKNOWN = 20

/** Unknown keys come first: a mistyped key is the cause of the missing one, which is then not told again. */
export function sayIssues(
  issues: readonly z.core.$ZodIssue[],
  tree: YamlTree,
  metrics: readonly string[],
): InputError[] {
  const unknown = issues.filter((issue) => issue.code === 'unrecognized_keys')
  const meant = new Set(
    unknown.flatMap(({ keys, path }) =>
      keys
        .slice(0, MOST_UNKNOWN)
        .map((key) => sayPath([...path, nearestKey(key, keysOf(path, metrics)) ?? ''])),
    ),
  )
  const others = issues.filter(
    (issue) => issue.code !== 'unrecognized_keys' && !meant.has(sayPath(issue.path)),
  )
  return [...unknown, ...others].flatMap((issue) => sayIssue(issue, tree, metrics))
}

function sayIssue(issue: z.core.$ZodIssue, tree: YamlTree, metrics: readonly string[]): InputError[] {
  if (issue.code === 'unrecognized_keys') {
    return issue.keys.slice(0, MOST_UNKNOWN).map((key) => unknownKey(key, issue.path, { tree, metrics }))
  }
  const where = tree.locate(issue.path)
  const params = issue.code === 'custom' ? issue.params : undefined
  const code = typeof params?.code === 'string' ? params.code : 'sheet-value-invalid'
  const remedy = typeof params?.remedy === 'string' ? params.remedy : 'see the example sheet in the README'
  const came = params?.code === undefined ? `, got ${sayWhatCame(valueAt(tree.value, issue.path))}` : ''
  return [new InputError(code, `${sayPath(issue.path)}${issue.message}${came}`, { where, remedy })]
}

function unknownKey(
  key: string,
  path: readonly PropertyKey[],
  { tree, metrics }: { readonly tree: YamlTree; readonly metrics: readonly string[] },
): InputError {
  const known = keysOf(path, metrics)
  const nearest = nearestKey(key, known)
  const message = `${sayPath(path)}the key \`${shorten(key)}\` is not known here`
  const remedy =
    nearest === undefined
      ? `known here: ${known.join(', ')}`
      : `was \`${nearest}\` meant? Known here: ${known.join(', ')}`
  return new InputError('sheet-key-unknown', message, { where: tree.locateKey([...path, key]), remedy })
}

/** Keys known in the part of a sheet that a path leads to. */
function keysOf(path: readonly PropertyKey[], metrics: readonly string[]): readonly string[] {
  const part = path.includes('metrics')
    ? 'metrics'
    : (path.findLast((step) => typeof step === 'string') ?? 'sheet')
  const known = sheetKeys[String(part)] ?? sheetKeys.sheet!
  return part === 'runs' ? [...new Set([...metrics, ...known])] : known
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
export function nearestKey(word: string, known: readonly string[]): string | undefined {
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
