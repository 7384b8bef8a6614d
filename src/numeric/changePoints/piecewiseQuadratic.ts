/** The least value of a piecewise quadratic, where it lies, and the label of the piece it lies on. */
export interface Least {
  value: number
  at: number
  label: number
}

/**
 * A function on an interval, made of quadratics a (x - m)² + v that each carry a label. It changes in place, as the inner
 * loop of a segmentation over many values needs.
 *
 * Storing each piece by its own minimum (m, v) instead of by polynomial coefficients keeps all digits: nothing cancels.
 */
export class PiecewiseQuadratic {
  private count = 1
  private right: Float64Array
  private weight: Float64Array
  private centre: Float64Array
  private floor: Float64Array
  private label: Int32Array
  private spare: PiecewiseQuadratic | undefined

  /** The constant 0 on [low, high], with label 0. */
  constructor(
    private low: number,
    private readonly high: number,
    capacity = 64,
  ) {
    this.right = new Float64Array(capacity)
    this.weight = new Float64Array(capacity)
    this.centre = new Float64Array(capacity)
    this.floor = new Float64Array(capacity)
    this.label = new Int32Array(capacity)
    this.reset()
  }

  /** Back to the constant 0, with label 0. */
  reset(): void {
    this.count = 1
    this.right[0] = this.high
    this.weight[0] = 0
    this.centre[0] = 0
    this.floor[0] = 0
    this.label[0] = 0
  }

  /** Number of pieces. */
  get pieces(): number {
    return this.count
  }

  /** Replaces the function by `value`, with a label, wherever it is higher. */
  cap(value: number, label: number): void {
    const out = this.emptied()
    let left = this.low
    for (let i = 0; i < this.count; i++) {
      const right = this.right[i]!
      const depth = value - this.floor[i]!
      const weight = this.weight[i]!
      if (depth <= 0) out.push(right, 0, 0, value, label)
      else if (weight === 0) out.copy(this, i, right)
      else {
        const reach = Math.sqrt(depth / weight)
        const from = this.centre[i]! - reach
        const to = this.centre[i]! + reach
        if (from >= right || to <= left) out.push(right, 0, 0, value, label)
        else {
          if (from > left) out.push(from, 0, 0, value, label)
          out.copy(this, i, Math.min(to, right))
          if (to < right) out.push(right, 0, 0, value, label)
        }
      }
      left = right
    }
    this.swap(out)
  }

  /** Adds min((x - y)², limit): the same near y, a constant farther off. */
  addBounded(y: number, limit: number): void {
    const reach = Math.sqrt(limit)
    this.split(y - reach)
    this.split(y + reach)
    let left = this.low
    for (let i = 0; i < this.count; i++) {
      const right = this.right[i]!
      const middle = 0.5 * (left + right)
      if (Math.abs(middle - y) >= reach) this.floor[i]! += limit
      else {
        const before = this.weight[i]!
        const gap = y - this.centre[i]!
        this.weight[i] = before + 1
        this.centre[i] = before === 0 ? y : this.centre[i]! + gap / (before + 1)
        this.floor[i]! += (gap * gap * before) / (before + 1)
      }
      left = right
    }
  }

  /** The least value of this function plus weight (x - centre)² + floor. */
  leastWith(weight: number, centre: number, floor: number): Least {
    const best: Least = { value: Number.POSITIVE_INFINITY, at: 0, label: 0 }
    let left = this.low
    for (let i = 0; i < this.count; i++) {
      const right = this.right[i]!
      const own = this.weight[i]!
      const total = own + weight
      const middle = total > 0 ? (own * this.centre[i]! + weight * centre) / total : left
      const at = Math.max(left, Math.min(right, middle))
      const value = this.floor[i]! + own * (at - this.centre[i]!) ** 2 + floor + weight * (at - centre) ** 2
      if (value < best.value) {
        best.value = value
        best.at = at
        best.label = this.label[i]!
      }
      left = right
    }
    return best
  }

  /** The least value of this function plus another one on the same interval. */
  leastWithOther(other: PiecewiseQuadratic): Least {
    let best: Least = { value: Number.POSITIVE_INFINITY, at: 0, label: 0 }
    const part = new PiecewiseQuadratic(this.low, this.high, 1)
    let left = this.low
    let i = 0
    let j = 0
    while (i < this.count && j < other.count) {
      const right = Math.min(this.right[i]!, other.right[j]!)
      part.set(left, right, this, i)
      const found = part.leastWith(other.weight[j]!, other.centre[j]!, other.floor[j]!)
      if (found.value < best.value) best = found
      left = right
      if (this.right[i]! <= right) i++
      if (other.right[j]! <= right) j++
    }
    return best
  }

  private set(left: number, right: number, from: PiecewiseQuadratic, i: number): void {
    this.low = left
    this.count = 0
    this.copy(from, i, right)
  }

  private split(at: number): void {
    let left = this.low
    for (let i = 0; i < this.count; i++) {
      const right = this.right[i]!
      if (at > left && at < right) {
        const out = this.emptied()
        for (let k = 0; k < this.count; k++) {
          if (k === i) out.copy(this, k, at)
          out.copy(this, k, this.right[k]!)
        }
        this.swap(out)
        return
      }
      left = right
    }
  }

  private emptied(): PiecewiseQuadratic {
    const spare = this.spare ?? new PiecewiseQuadratic(this.low, this.high, this.right.length)
    spare.count = 0
    return spare
  }

  private swap(out: PiecewiseQuadratic): void {
    const { right, weight, centre, floor, label } = this
    this.right = out.right
    this.weight = out.weight
    this.centre = out.centre
    this.floor = out.floor
    this.label = out.label
    this.count = out.count
    out.right = right
    out.weight = weight
    out.centre = centre
    out.floor = floor
    out.label = label
    this.spare = out
  }

  private copy(from: PiecewiseQuadratic, i: number, right: number): void {
    this.append(right, from.weight[i]!, from.centre[i]!, from.floor[i]!, from.label[i]!)
  }

  private push(right: number, weight: number, centre: number, floor: number, label: number): void {
    const last = this.count - 1
    // Neighbouring pieces that are the same constant with the same label are one piece.
    const flat = last >= 0 && weight === 0 && this.weight[last] === 0
    if (flat && this.label[last] === label && this.floor[last] === floor) {
      this.right[last] = right
      return
    }
    this.append(right, weight, centre, floor, label)
  }

  private append(right: number, weight: number, centre: number, floor: number, label: number): void {
    if (this.count === this.right.length) this.grow()
    const i = this.count++
    this.right[i] = right
    this.weight[i] = weight
    this.centre[i] = centre
    this.floor[i] = floor
    this.label[i] = label
  }

  private grow(): void {
    const longer = (array: Float64Array): Float64Array => {
      const copy = new Float64Array(2 * array.length)
      copy.set(array)
      return copy
    }
    this.right = longer(this.right)
    this.weight = longer(this.weight)
    this.centre = longer(this.centre)
    this.floor = longer(this.floor)
    this.label = Int32Array.from(longer(Float64Array.from(this.label)))
  }
}
