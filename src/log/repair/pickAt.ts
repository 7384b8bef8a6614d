import { indices } from '../../numeric/indices.js'

/**
 * Values at these places, in their order. Where that is all of them as they stand, as in a log that needs no mending, it is the
 * values themselves and no copy: not to be written to.
 */
export function pickAt<T extends Float64Array | Int32Array>(values: T, places: Int32Array): T {
  if (areAll(places, values.length)) return values
  const picked = values.slice(0, places.length) as T
  for (let i = 0; i < places.length; i++) picked[i] = values[places[i]!]!
  return picked
}

function areAll(places: Int32Array, count: number): boolean {
  if (places.length !== count) return false
  const all = indices(count)
  if (places.buffer === all.buffer && places.byteOffset === all.byteOffset) return true
  for (let i = 0; i < count; i++) if (places[i] !== i) return false
  return true
}
