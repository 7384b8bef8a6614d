import { countingUp } from '../numeric/countingUp.js'

/** Places of the values that are numbers: not to be written to. */
export function placesOf(values: Float64Array): Int32Array {
  const first = values.findIndex(Number.isNaN)
  if (first < 0) return countingUp(values.length)
  const places = new Int32Array(values.length - 1)
  places.set(countingUp(first))
  let count = first
  for (let i = first + 1; i < values.length; i++) if (!Number.isNaN(values[i])) places[count++] = i
  return places.subarray(0, count)
}
