import { REASON } from '../trace.js'

/**
 * Flags of `REASON` for what a log says held a machine, in whatever words: `Thermal`, `power limit`, `heat, limit`, `none`.
 *
 * Each part of a list is read for itself. Heat goes before a limit, since a limit of temperature is heat; a limit that
 * doesn't say of what is one of power. Words of no known meaning give `other`. Common words of the trade, no source.
 *
 * @example reasonFlags('Thermal; PL1') // REASON.heat | REASON.powerLimit
 */
export function reasonFlags(words: string): number {
  let flags = 0
  for (const part of words.slice(0, LONGEST_REASON).toLowerCase().split(PARTS)) {
    const text = part.replace(/[_.\-:/]+/g, ' ').trim()
    if (text === '' || NOTHING.test(text)) continue
    flags |= MEANINGS.find(([pattern]) => pattern.test(text))?.[1] ?? REASON.other
  }
  return flags
}

/** Whether a text speaks of a reason that is known, or says that there is none. */
export function isReasonWord(words: string): boolean {
  const text = words.slice(0, LONGEST_REASON).trim().toLowerCase()
  return saysNothing(text) || (/\p{L}/u.test(text) && (reasonFlags(text) & ~REASON.other) !== 0)
}

/** Whether a text says that there is no reason: `none`, `not limited`, `-`. */
export function saysNothing(words: string): boolean {
  return NOTHING.test(words.slice(0, LONGEST_REASON).trim().toLowerCase())
}

const LONGEST_REASON = 256
const PARTS = /[,;+|&]|\band\b|\bund\b|\bet\b/
const NOTHING =
  /^(-+|0|n ?a|no|none|nothing|not limited|not held|not throttled|unlimited|free|normal|ok|off|false|inactive|not active|keine?r?s?|aucune?|ninguno|nessuno)$/
const MEANINGS: readonly (readonly [RegExp, number])[] = [
  [/therm|heat|hot|temp|cool|fan|überhitz|hitze|chaleur|calor|caldo/, REASON.heat],
  [/\bidle|\bpark|sleep|standby|no load|leerlauf/, REASON.idle],
  [
    /demand|\btask|work ?load|no more work|full speed|max(imum)? clock|highest clock|satisfied/,
    REASON.demand,
  ],
  [/setting|\bset by|application|user|sync|volt|reliab|display/, REASON.other],
  [
    /power|watt|\bpl ?\d?\b|\btdp\b|\bppt\b|limit|\bcap\b|capped|budget|leistung|puissance|potencia/,
    REASON.powerLimit,
  ],
]
