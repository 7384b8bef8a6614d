import { sayMoment } from '../../show/figures/sayDuration.js'

/** A moment of a log to a tenth of a second, where it has tenths: `12:31`, `12:31.4`. */
export function sayEdge(seconds: number): string {
  const tenths = Math.round(10 * seconds)
  const part = tenths % 10
  return `${sayMoment(Math.floor(tenths / 10))}${part === 0 ? '' : `.${part}`}`
}
