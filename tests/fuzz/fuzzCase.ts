import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import { type RandomStream, randomStream } from '../worlds/randomStream.js'
import { BYTE_MUTATORS } from './mutateBytes.js'
import { MODEL_MUTATORS } from './mutateModel.js'
import { SHEET_MUTATORS } from './mutateSheet.js'
import { TABLE_MUTATORS } from './mutateTable.js'
import { TEXT_MUTATORS, type TextMutator } from './mutateText.js'
import { randomLog } from './randomTable.js'

export type FuzzKind = 'log' | 'sheet' | 'chip' | 'chassis'

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
  const kind = random.pick<FuzzKind>([
    'log',
    'log',
    'log',
    'log',
    'log',
    'log',
    'sheet',
    'sheet',
    'chip',
    'chassis',
  ])
  const names = Object.keys(MUTATORS[kind])
  const count = random.pick([1, 1, 1, 2, 2, 3, 5])
  return {
    kind,
    asCommand: random.chance(kind === 'log' ? 0.05 : 0.02),
    base: random.integer(0, 999),
    changes: Array.from({ length: count }, () => ({
      name: random.pick(names),
      seed: random.integer(0, 1e9),
    })),
  }
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
  sheet: { ...TEXT_MUTATORS, ...SHEET_MUTATORS, ...bytesOnly },
  chip: { ...TEXT_MUTATORS, ...MODEL_MUTATORS },
  chassis: { ...TEXT_MUTATORS, ...MODEL_MUTATORS },
}

interface Base {
  readonly bytes: Uint8Array
  readonly encoding: 'utf-8' | 'utf-16le' | 'utf-16be' | 'windows-1252'
}

function baseOf(kind: FuzzKind, random: RandomStream): Base {
  if (kind === 'log') {
    const { bytes, dialect } = randomLog(random)
    return { bytes, encoding: dialect.encoding === 'utf-8-bom' ? 'utf-8' : dialect.encoding }
  }
  return { bytes: Buffer.from(random.pick(textsOf(kind))), encoding: 'utf-8' }
}

// Like every script and test, this runs in the project's own folder.
const read = (...path: string[]) => readFileSync(join(...path), 'utf8')
const known = new Map<FuzzKind, readonly string[]>()

function textsOf(kind: Exclude<FuzzKind, 'log'>): readonly string[] {
  const texts = known.get(kind) ?? TEXTS[kind]()
  known.set(kind, texts)
  return texts
}

const TEXTS: { readonly [kind in Exclude<FuzzKind, 'log'>]: () => readonly string[] } = {
  sheet: () =>
    ['heron', 'heron-compile', 'ibis', 'bittern', 'bittern-noted'].map((name) =>
      read('samples', `${name}.yaml`),
    ),
  // A dozen draws are as good as hundreds for finding faults, and twenty times as fast.
  chip: () =>
    ['kestrel-16', 'kestrel-16-compile', 'merlin-12'].map((name) =>
      fewDraws(read('models', 'chips', `${name}.json`)),
    ),
  chassis: () =>
    ['heron-slim', 'bittern-deep', 'ibis-flat'].map((name) => read('models', 'chassis', `${name}.json`)),
}

function fewDraws(json: string): string {
  const chip = JSON.parse(json) as { draws: { weight: number }[] }
  const draws = chip.draws.filter((_, i) => i % 20 === 0)
  return JSON.stringify(
    { ...chip, draws: draws.map((draw) => ({ ...draw, weight: 1 / draws.length })) },
    null,
    1,
  )
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
