import { randomStream } from '../worlds/randomStream.js'
import { type Base, baseOf } from './fuzzBase.js'
import { BYTE_MUTATORS } from './mutateBytes.js'
import { DESK_MUTATORS } from './mutateDesk.js'
import { FORMULA_MUTATORS } from './mutateFormula.js'
import { MODEL_MUTATORS } from './mutateModel.js'
import { SHEET_MUTATORS } from './mutateSheet.js'
import { TABLE_MUTATORS } from './mutateTable.js'
import { TEXT_MUTATORS, type TextMutator } from './mutateText.js'

export type FuzzKind =
  | 'log'
  | 'session'
  | 'pairs'
  | 'formula'
  | 'sheet'
  | 'scores'
  | 'desk'
  | 'chip'
  | 'chassis'

/** One input to try: what it is made from and what is done to it. The same case makes the same bytes. */
export interface FuzzCase {
  readonly kind: FuzzKind
  /** Whether it goes through the command line rather than the functions below it. */
  readonly asCommand: boolean
  readonly base: number
  readonly changes: readonly { readonly name: string; readonly seed: number }[]
}

/** The case with this number in the series of this seed. */
export function drawCase(seed: number, number: number): FuzzCase {
  const random = randomStream(seed * 1_000_003 + number)
  const kind = random.pick(DRAWN)
  const names = Object.keys(MUTATORS[kind])
  const count = random.pick([1, 1, 1, 2, 2, 3, 5])
  return {
    kind,
    asCommand: random.chance(COMMAND_SHARE[kind]),
    base: random.integer(0, 999),
    changes: Array.from({ length: count }, () => ({
      name: random.pick(names),
      seed: random.integer(0, 1e9),
    })),
  }
}

/** How often each kind comes up, out of twenty. */
const DRAWN: readonly FuzzKind[] = [
  ...Array<FuzzKind>(6).fill('log'),
  'session',
  'pairs',
  'pairs',
  'formula',
  'formula',
  'sheet',
  'sheet',
  'sheet',
  'scores',
  'scores',
  'desk',
  'desk',
  'chip',
  'chassis',
]

/** Share of the cases that go through whole commands; a desk has none. */
const COMMAND_SHARE: { readonly [kind in FuzzKind]: number } = {
  log: 0.05,
  session: 0.02,
  pairs: 0.02,
  formula: 0.02,
  sheet: 0.02,
  scores: 0.02,
  desk: 0,
  chip: 0.02,
  chassis: 0.02,
}

/** The bytes of a case: its base with the changes, in their order; those of bytes come last. */
export function makeInput({ kind, base, changes }: FuzzCase): Uint8Array {
  const start = baseOf(kind, randomStream(7919 + base))
  let text = new TextDecoder(start.encoding).decode(start.bytes)
  for (const { name, seed } of changes) {
    const change = MUTATORS[kind][name]
    if (typeof change === 'function') text = change(text.slice(0, MOST_CHARACTERS), randomStream(seed))
  }
  let bytes: Uint8Array = encoded(text.slice(0, MOST_CHARACTERS), start.encoding)
  for (const { name, seed } of changes) bytes = BYTE_MUTATORS[name]?.(bytes, randomStream(seed)) ?? bytes
  return bytes
}

// Changes can feed each other; a case of more than this tells nothing new about the next size up.
const MOST_CHARACTERS = 4_000_000

const bytesOnly = Object.fromEntries(Object.keys(BYTE_MUTATORS).map((name) => [name, undefined]))
const MUTATORS: { readonly [kind in FuzzKind]: { readonly [name: string]: TextMutator | undefined } } = {
  log: { ...TEXT_MUTATORS, ...TABLE_MUTATORS, ...bytesOnly },
  session: { ...TEXT_MUTATORS, ...TABLE_MUTATORS, ...bytesOnly },
  pairs: { ...TEXT_MUTATORS, ...TABLE_MUTATORS, ...bytesOnly },
  scores: { ...TEXT_MUTATORS, ...TABLE_MUTATORS, ...bytesOnly },
  formula: { ...TEXT_MUTATORS, ...FORMULA_MUTATORS },
  desk: { ...TEXT_MUTATORS, ...MODEL_MUTATORS, ...DESK_MUTATORS },
  sheet: { ...TEXT_MUTATORS, ...SHEET_MUTATORS, ...bytesOnly },
  chip: { ...TEXT_MUTATORS, ...MODEL_MUTATORS },
  chassis: { ...TEXT_MUTATORS, ...MODEL_MUTATORS },
}

function encoded(text: string, encoding: Base['encoding']): Uint8Array {
  if (encoding === 'utf-8') return new TextEncoder().encode(text)
  if (encoding === 'windows-1252') return Uint8Array.from(text, (character) => character.charCodeAt(0) & 0xff)
  const little = encoding === 'utf-16le'
  const view = new DataView(new ArrayBuffer(2 + 2 * text.length))
  view.setUint16(0, 0xfeff, little)
  for (let i = 0; i < text.length; i++) view.setUint16(2 + 2 * i, text.charCodeAt(i), little)
  return new Uint8Array(view.buffer)
}
