import type { Unit } from '../../units.js'
import type { ElectricUnit } from '../table/electricUnit.js'

/** A dimension by its exponents of watt, second and volt: an ampere is watt / volt. A plain number has none. */
export type Exponents = readonly [watt: number, second: number, volt: number]

export const PLAIN: Exponents = [0, 0, 0]

/** Exponents of a unit; temperatures and shares count as plain numbers, in °C and per cent. */
export function exponentsOf({ dimension }: Unit | ElectricUnit): Exponents {
  return BY_DIMENSION[dimension]
}

/** The unit that exponents stand for, for messages: W, J, V … */
export function unitOfExponents(exponents: Exponents): string {
  const known = Object.entries(NAMES).find(([, other]) => isSame(exponents, other))
  if (known !== undefined) return known[0]
  const parts = exponents.flatMap((power, k) => (power === 0 ? [] : [`${['W', 's', 'V'][k]}^${power}`]))
  return parts.join(' ')
}

export function isSame(a: Exponents, b: Exponents): boolean {
  return a.every((power, k) => power === b[k])
}

const BY_DIMENSION: { readonly [dimension in (Unit | ElectricUnit)['dimension']]: Exponents } = {
  power: [1, 0, 0],
  energy: [1, 1, 0],
  time: [0, 1, 0],
  frequency: [0, -1, 0],
  voltage: [0, 0, 1],
  current: [1, 0, -1],
  temperature: PLAIN,
  share: PLAIN,
}

const NAMES: { readonly [name: string]: Exponents } = {
  W: BY_DIMENSION.power,
  J: BY_DIMENSION.energy,
  s: BY_DIMENSION.time,
  '1/s': BY_DIMENSION.frequency,
  V: BY_DIMENSION.voltage,
  A: BY_DIMENSION.current,
  'a plain number': PLAIN,
}
