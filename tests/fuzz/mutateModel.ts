import type { RandomStream } from '../worlds/randomStream.js'
import { PROTOTYPE_KEYS } from './extremes.js'
import type { TextMutator } from './mutateText.js'

type Json = null | boolean | number | string | Json[] | { [key: string]: Json }

/** Changes that know a model for a JSON tree: values that are huge, negative, missing, of another type, too many or none. */
export const MODEL_MUTATORS: { readonly [name: string]: TextMutator } = {
  extremeNumbers: changeTree((tree, random) =>
    changeSome(tree, random, isNumber, () => random.pick(NUMBERS)),
  ),
  scaledNumbers: changeTree((tree, random) => {
    const factor = random.pick([-1, 0, 1e-12, 1e-3, 0.5, 2, 1e3, 1e12, 1e100])
    return changeSome(tree, random, isNumber, (value) => (value as number) * factor)
  }),
  otherTypes: changeTree((tree, random) =>
    changeSome(
      tree,
      random,
      () => true,
      () => random.pick<Json>([null, true, 0, '', 'x', [], {}, [[]], [null], '5', '__proto__']),
    ),
  ),
  missing: changeTree((tree, random) => {
    const { parent, key } = random.pick(placesOf(tree))
    if (Array.isArray(parent)) parent.splice(Number(key), 1)
    else delete parent[key]
    return tree
  }),
  emptyLists: changeTree((tree, random) => changeSome(tree, random, Array.isArray, () => [])),
  // One list only: lists of lists that all grow would be gigabytes.
  longLists: changeTree((tree, random) => {
    const lists = placesOf(tree).filter((place) => Array.isArray(valueAt(place)))
    if (lists.length === 0) return tree
    const place = random.pick(lists.slice(0, 60))
    const items = valueAt(place) as Json[]
    const length = random.pick([3, 30, 1500])
    put(place, items.length === 0 ? [1] : Array.from({ length }, (_, i) => items[i % items.length]!))
    return tree
  }),
  swappedFields: changeTree((tree, random) => {
    const [a, b] = [random.pick(placesOf(tree)), random.pick(placesOf(tree))]
    const held = valueAt(a)
    if (JSON.stringify(tree).length > 2e6) return tree
    put(a, structuredClone(valueAt(b)))
    put(b, structuredClone(held))
    return tree
  }),
  moreFields: changeTree((tree, random) => {
    const { parent } = random.pick(placesOf(tree))
    if (!Array.isArray(parent))
      parent[random.pick(['extra', 'value', ' ', '😀'])] = random.pick<Json>([1, 'x', {}])
    return tree
  }),
  prototypeKeys: (text, random) =>
    text.replace(
      '{',
      `{"${random.pick(PROTOTYPE_KEYS)}":${random.pick(['{"idleW":1}', '1', 'null', '{"value":1e9}'])},`,
    ),
  twiceTheKey: (text, random) =>
    text.replace(
      /"(\w+)":\s*([^,{}[\]]+)/,
      (field, key) => `${field},"${key}":${random.pick(['0', '-1', 'null', '1e309'])}`,
    ),
  // Begins at a number's first digit only: from each of a million digits in a row it would never end.
  overflowing: (text, random) =>
    text.replace(/-?(?<![\d.])\d+(?:\.\d+)?(?=[,\s}])/g, (number) =>
      random.chance(0.01) ? '1e309' : number,
    ),
  deep: (text, random) =>
    text.replace(/(?<=: ?)null/, `${'['.repeat(random.pick([100, 100_000]))}${']'.repeat(100)}`),
  otherVersion: (text, random) =>
    text.replace(
      /"version": ?\d+/,
      `"version": ${random.pick(['0', '-1', '1', '2', '3', '1.5', '"1"', '1e400', 'null', '[]'])}`,
    ),
}

const NUMBERS = [
  0,
  -0,
  1,
  -1,
  1e308,
  -1e308,
  1e-308,
  5e-324,
  2 ** 53,
  1e15,
  1e6,
  1e-6,
  0.999999,
  Number.MAX_VALUE,
] as const

interface Place {
  readonly parent: { [key: string]: Json }
  readonly key: string
}

function changeTree(change: (tree: Json, random: RandomStream) => Json): TextMutator {
  return (text, random) => {
    let tree: Json
    try {
      tree = JSON.parse(text) as Json
    } catch {
      return text
    }
    if (typeof tree !== 'object' || tree === null || placesOf(tree).length === 0) return text
    return JSON.stringify(change(tree, random))
  }
}

/** Changes one of the values that are meant, or many of them. */
function changeSome(
  tree: Json,
  random: RandomStream,
  meant: (value: Json) => boolean,
  change: (value: Json) => Json,
): Json {
  const places = placesOf(tree).filter((place) => meant(valueAt(place)))
  if (places.length === 0) return tree
  const shallow = places.slice(0, 60)
  if (random.chance(0.7)) {
    const place = random.pick(random.chance(0.5) ? shallow : places)
    put(place, change(valueAt(place)))
    return tree
  }
  const share = random.pick([0.01, 0.1, 1])
  for (const place of places) if (random.chance(share)) put(place, change(valueAt(place)))
  return tree
}

function placesOf(tree: Json): Place[] {
  const places: Place[] = []
  const visit = (value: Json): void => {
    if (typeof value !== 'object' || value === null) return
    const parent = value as { [key: string]: Json }
    for (const key of Object.keys(parent)) {
      places.push({ parent, key })
      visit(parent[key]!)
    }
  }
  visit(tree)
  return places
}

function valueAt({ parent, key }: Place): Json {
  return parent[key] ?? null
}

function put({ parent, key }: Place, value: Json): void {
  parent[key] = value
}

function isNumber(value: Json): boolean {
  return typeof value === 'number'
}
