/**
 * Warmth of silicon as its leakage feels it: kelvins above a reference, stretched as leakage grows exponentially.
 *
 *   (exp(g (T - reference)) - 1) / g, g = 0.0125 per kelvin
 *
 * ln rate at equal package power falls in proportion to it: what leaks more is not there for the clock.
 *
 * @param temperatureC - degrees C
 * @param referenceC - degrees C at which the result is 0
 * @source leakage doubles in about 55 K near 80 degrees C: common practice, no source
 * @example leakageHeat(90, 80) // 10.65
 */
export function leakageHeat(temperatureC: number, referenceC: number): number {
  return Math.expm1(GROWTH_PER_K * (temperatureC - referenceC)) / GROWTH_PER_K
}

/** How many times as much a further kelvin leaks at a temperature as at the reference. */
export function leakageGrowth(temperatureC: number, referenceC: number): number {
  return Math.exp(GROWTH_PER_K * (temperatureC - referenceC))
}

const GROWTH_PER_K = 0.0125

/** Where loaded machines usually settle, degrees C; common practice, no source. Score curves hold for it where no temperature was logged. */
export const USUAL_LOAD_C = 78

/** Temperature of a room where machines are tested, degrees C, where none was noted; common practice, no source. */
export const USUAL_ROOM_C = 23

/** Chips hold themselves below about this, degrees C; common practice, no source. */
export const USUAL_CEILING_C = 98

/**
 * How a machine warms under load: shares of the settled rise and their time constants in seconds, for a die, its heat pipe and
 * its heat sink. Common practice, no source.
 */
export const USUAL_WARMING = [
  { share: 0.2, tauS: 3 },
  { share: 0.3, tauS: 30 },
  { share: 0.5, tauS: 200 },
] as const
