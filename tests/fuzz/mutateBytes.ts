import type { RandomStream } from '../worlds/randomStream.js'

export type ByteMutator = (bytes: Uint8Array, random: RandomStream) => Uint8Array

/** Changes below the level of text: encodings that disagree, flipped bits, binary in the middle. */
export const BYTE_MUTATORS: { readonly [name: string]: ByteMutator } = {
  flippedBits: (bytes, random) => {
    const out = Uint8Array.from(bytes)
    for (let times = random.integer(1, 30); times > 0 && out.length > 0; times--)
      out[random.integer(0, out.length - 1)]! ^= 1 << random.integer(0, 7)
    return out
  },
  swappedBytes: (bytes, random) => {
    const out = Uint8Array.from(bytes)
    for (let at = random.integer(0, 1); at + 1 < out.length; at += 2) out.subarray(at, at + 2).reverse()
    return out
  },
  binaryInside: (bytes, random) => {
    const at = random.integer(0, bytes.length)
    const binary = Uint8Array.from({ length: random.integer(1, 600) }, () => random.integer(0, 255))
    return joined(bytes.subarray(0, at), binary, bytes.subarray(at))
  },
  cutAnywhere: (bytes, random) => bytes.slice(0, random.integer(0, bytes.length)),
  nulPadded: (bytes, random) => joined(bytes, new Uint8Array(random.pick([1, 512, 100_000]))),
  wideWithoutMark: (bytes, random) => {
    const little = random.chance(0.5)
    return Uint8Array.from({ length: 2 * bytes.length }, (_, i) =>
      i % 2 === (little ? 0 : 1) ? bytes[i >> 1]! : 0,
    )
  },
  markDoubled: (bytes) => joined(Uint8Array.of(0xef, 0xbb, 0xbf, 0xef, 0xbb, 0xbf), bytes),
  markOfAnother: (bytes, random) =>
    joined(
      Uint8Array.from(
        random.pick([
          [0xff, 0xfe],
          [0xfe, 0xff],
          [0xff, 0xfe, 0, 0],
        ]),
      ),
      bytes,
    ),
  twoEncodings: (bytes, random) => {
    const at = random.integer(0, bytes.length)
    const rest = bytes.subarray(at)
    return joined(
      bytes.subarray(0, at),
      Uint8Array.from({ length: 2 * rest.length }, (_, i) => (i % 2 ? 0 : rest[i >> 1]!)),
    )
  },
  brokenUtf8: (bytes, random) => {
    const at = random.integer(0, bytes.length)
    const broken = random.pick([[0xc3], [0xe2, 0x82], [0xf0, 0x9f, 0x98], [0xed, 0xa0, 0x80], [0xff]])
    return joined(bytes.subarray(0, at), Uint8Array.from(broken), bytes.subarray(at))
  },
  packed: (bytes) => joined(Uint8Array.of(0x1f, 0x8b, 8, 0, 0, 0, 0, 0, 0, 3), bytes),
}

function joined(...parts: readonly Uint8Array[]): Uint8Array {
  return new Uint8Array(Buffer.concat(parts))
}
