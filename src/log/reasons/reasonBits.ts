import { InputError } from '../../errors.js'
import { plainText } from '../table/plainText.js'
import { reasonFlags } from './reasonFlags.js'

/** Flags of `REASON` by the bits of a mask. */
export type ReasonBits = ReadonlyMap<bigint, number>

/**
 * Names of a mask's bits as a header or a user writes them: `1 limit 2 heat`, `0x4=power, 0x8=heat`, `bit 0: idle`.
 *
 * Numbers are values of bits; they are places, counted from 0, where the text says `bit` before them, or where one of them is 0 or no
 * power of two.
 *
 * @returns undefined when no bit is named
 * @example findReasonBits('held.bits (1 limit 2 heat)') // Map { 1n => REASON.powerLimit, 2n => REASON.heat }
 */
export function findReasonBits(text: string): ReasonBits | undefined {
  const short = text.slice(0, LONGEST_TEXT)
  const inside = /[[({<]([^\][(){}<>]*)[\])}>]/.exec(short)?.[1]
  return (inside === undefined ? undefined : bitsIn(inside)) ?? bitsIn(short)
}

/**
 * Names of bits that a user gave.
 *
 * @throws InputError `reason-bits-unreadable`
 */
export function parseReasonBits(text: string): ReasonBits {
  const bits = findReasonBits(text)
  if (bits !== undefined) return bits
  throw new InputError(
    'reason-bits-unreadable',
    `expected names of bits such as "4=power 8=heat 1=idle", got "${plainText(text)}"`,
    { remedy: 'write each bit as its value, =, and its meaning: power, heat, idle, demand or other' },
  )
}

/** What a mask says: the flags of each of its bits, and `other` for a bit without a name. */
export function flagsOfMask(mask: bigint, bits: ReasonBits, unnamed: number): number {
  let flags = 0
  let rest = mask
  for (const [bit, meaning] of bits) {
    if ((mask & bit) === 0n) continue
    flags |= meaning
    rest &= ~bit
  }
  return rest === 0n ? flags : flags | unnamed
}

const LONGEST_TEXT = 400
const BITS = 64n
const NAMED_BIT =
  /(bit\s{0,3})?\b(0x[\da-f]{1,16}|\d{1,19})\s{0,3}[:=]?\s{0,3}(\p{L}[\p{L}\p{N}]*(?:[ _/.-]\p{L}[\p{L}\p{N}]*)*)/giu

interface NamedBit {
  readonly isPlace: boolean
  readonly isHex: boolean
  readonly value: bigint
  readonly name: string
}

function bitsIn(text: string): ReasonBits | undefined {
  const named = [...text.matchAll(NAMED_BIT)].map(
    ([, bit, number, name]): NamedBit => ({
      isPlace: bit !== undefined,
      isHex: /^0x/i.test(number!),
      value: BigInt(number!),
      name: name!,
    }),
  )
  if (named.length === 0) return undefined
  const places = named.every(({ value, isHex }) => value < BITS && !isHex) && named.some(isPlaceOnly)
  return new Map(named.map(({ value, name }) => [places ? 1n << value : value, reasonFlags(name)]))
}

function isPlaceOnly({ isPlace, value }: NamedBit): boolean {
  return isPlace || value === 0n || (value & (value - 1n)) !== 0n
}
