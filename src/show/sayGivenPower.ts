import { groupDigits, NO_BREAK } from './sayEstimate.js'

/** A power that somebody chose, as it was written: `45 W`, `47.5 W`. It was not measured, so it has no digits to show. */
export function sayGivenPower(powerW: number): string {
  return `${groupDigits(powerW, powerW % 1 === 0 ? 0 : 1)}${NO_BREAK}W`
}
