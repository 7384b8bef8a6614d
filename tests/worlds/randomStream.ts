/** A seeded stream of random numbers: the worlds' only source of chance. */
export interface RandomStream {
  /** Uniform in [low, high). */
  uniform(low: number, high: number): number
  /** Whole number in [low, high]. */
  integer(low: number, high: number): number
  /** Log-uniform in [low, high). */
  logUniform(low: number, high: number): number
  /** Standard normal. */
  normal(): number
  chance(probability: number): boolean
  pick<T>(items: readonly T[]): T
  shuffle<T>(items: readonly T[]): T[]
}

/**
 * Small fast counting generator (Doty-Humphrey's sfc32 scheme), seeded by one number.
 *
 * The worlds have a generator of their own so that no line of the code under test takes part in making them.
 */
export function randomStream(seed: number): RandomStream {
  const next = sfc32(seed)
  const uniform = (low: number, high: number) => low + (high - low) * next()
  const integer = (low: number, high: number) => Math.floor(uniform(low, high + 1))
  return {
    uniform,
    integer,
    logUniform: (low, high) => low * (high / low) ** next(),
    normal: () => Math.sqrt(-2 * Math.log(1 - next())) * Math.cos(2 * Math.PI * next()),
    chance: (probability) => next() < probability,
    pick: (items) => items[integer(0, items.length - 1)]!,
    shuffle: (items) => {
      const out = [...items]
      for (let i = out.length - 1; i > 0; i--) {
        const j = integer(0, i)
        const held = out[i]!
        out[i] = out[j]!
        out[j] = held
      }
      return out
    },
  }
}

function sfc32(seed: number): () => number {
  let a = seed | 0
  let b = 0x9e3779b9 | 0
  let c = 0x243f6a88 | 0
  let counter = 1
  const next = () => {
    const sum = (((a + b) | 0) + counter) | 0
    counter = (counter + 1) | 0
    a = b ^ (b >>> 9)
    b = (c + (c << 3)) | 0
    c = ((c << 21) | (c >>> 11)) + sum
    c |= 0
    return (sum >>> 0) / 4294967296
  }
  for (let i = 0; i < 20; i++) next()
  return next
}
