/** Values that every open segment will get beyond those it has: their number, mean and sum of squares about it. */
export interface Trailing {
  length: number
  mean: number
  squares: number
}

/** A segment that may begin, at levels between two. */
export interface Offer {
  /** What everything before it costs, its edge included. */
  cost: number
  start: number
  from: number
  to: number
}

/**
 * Least cost of a series so far as a function of the open segment's level: intervals of levels, each with the start that is
 * best there and its cost w (x - c)² + f. It changes in place, as the inner loop over millions of values needs.
 *
 * Storing each cost by its own minimum (c, f) instead of by polynomial coefficients keeps all digits: nothing cancels.
 */
export class OpenLevels {
  /** Least cost over all levels, trailing values included. */
  leastCost = Number.POSITIVE_INFINITY
  /** Level that has it. */
  leastAt = 0
  /** Start of the segment that has it. */
  leastStart = 0
  private pieces = new Pieces()
  private spare = new Pieces()

  /** Before the first value any level from `low` to `high` costs nothing, in a segment that starts at 0. */
  constructor(low: number, high: number) {
    this.pieces.append(low, high, 0, low, 0, 0)
  }

  /**
   * Begins a new segment where it costs less than all others. Levels at which an old segment costs more than a new one are
   * given up for good, offered or not: whatever comes, beginning again is better.
   */
  offer({ cost, start, from: offerFrom, to: offerTo }: Offer): void {
    const { pieces, spare: out } = this
    const { from, to, weight, centre, floor, count } = pieces
    let filled = offerFrom
    out.clear(2 * count + 1)
    for (let i = 0; i < count; i++) {
      const room = cost - floor[i]!
      if (room < 0) continue
      const w = weight[i]!
      const c = centre[i]!
      let a = from[i]!
      let b = to[i]!
      const lowOver = w * (a - c) * (a - c) > room
      const highOver = w * (b - c) * (b - c) > room
      if ((lowOver && a > c) || (highOver && b < c)) continue
      if ((lowOver || highOver) && a < offerTo && b > offerFrom) {
        const reach = Math.sqrt(room / w)
        if (lowOver) a = c - reach
        if (highOver) b = c + reach
      }
      if (a > filled && filled < offerTo) out.append(filled, Math.min(a, offerTo), 0, filled, cost, start)
      if (b > filled) filled = b
      out.append(a, b, w, c, floor[i]!, pieces.start[i]!)
    }
    if (filled < offerTo) out.append(filled, offerTo, 0, filled, cost, start)
    this.spare = pieces
    this.pieces = out
  }

  /** Adds (x - value)² to every segment. */
  add(value: number): void {
    const { weight, centre, floor, count } = this.pieces
    for (let i = 0; i < count; i++) {
      const before = weight[i]!
      const after = before + 1
      const gap = value - centre[i]!
      const share = gap / after
      weight[i] = after
      // With weight 0 the centre has no meaning, and this sets it to the value.
      centre[i]! += share
      floor[i]! += share * gap * before
    }
  }

  /** The least of all pieces: at the bottom of a piece's parabola, or at the end of the piece that is nearest to it. */
  findLeast({ length, mean, squares }: Readonly<Trailing>): void {
    const { from, to, weight, centre, floor, start, count } = this.pieces
    let least = Number.POSITIVE_INFINITY
    for (let i = 0; i < count; i++) {
      const w = weight[i]!
      let bottom = floor[i]!
      let at = centre[i]!
      if (length > 0) {
        bottom += squares + ((w * length) / (w + length)) * (at - mean) * (at - mean)
        at += (length / (w + length)) * (mean - at)
      }
      if (bottom >= least) continue
      const inside = Math.max(from[i]!, Math.min(to[i]!, at))
      const cost = bottom + (w + length) * (inside - at) * (inside - at)
      if (cost < least) {
        least = cost
        this.leastAt = inside
        this.leastStart = start[i]!
      }
    }
    this.leastCost = least
  }
}

/** Columns of pieces; as many as `count` are in use. */
class Pieces {
  count = 0
  from = new Float64Array(64)
  to = new Float64Array(64)
  weight = new Float64Array(64)
  centre = new Float64Array(64)
  floor = new Float64Array(64)
  start = new Int32Array(64)

  /** Empties the columns and makes room. */
  clear(capacity: number): void {
    this.count = 0
    if (capacity <= this.from.length) return
    this.from = new Float64Array(2 * capacity)
    this.to = new Float64Array(2 * capacity)
    this.weight = new Float64Array(2 * capacity)
    this.centre = new Float64Array(2 * capacity)
    this.floor = new Float64Array(2 * capacity)
    this.start = new Int32Array(2 * capacity)
  }

  append(from: number, to: number, weight: number, centre: number, floor: number, start: number): void {
    const i = this.count++
    this.from[i] = from
    this.to[i] = to
    this.weight[i] = weight
    this.centre[i] = centre
    this.floor[i] = floor
    this.start[i] = start
  }
}
