/**
 * Bytes that came and are not used up yet. What is added is copied, for it belongs to the caller; the room for it is used again and
 * again, since fresh memory costs more than the copy.
 */
export class PendingBytes {
  private room = new Uint8Array(0)
  private from = 0
  private to = 0

  /** The bytes as they stand, until more are added. */
  get bytes(): Uint8Array {
    return this.room.subarray(this.from, this.to)
  }

  add(more: Uint8Array): void {
    const length = this.to - this.from
    if (length + more.length > this.room.length) {
      const larger = new Uint8Array(Math.max(length + more.length, 2 * length))
      larger.set(this.bytes)
      this.room = larger
    } else this.room.copyWithin(0, this.from, this.to)
    this.room.set(more, length)
    this.from = 0
    this.to = length + more.length
  }

  /** Takes away the first ones. */
  drop(count: number): void {
    this.from += count
  }
}
