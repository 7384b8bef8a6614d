import { InputError } from '../../errors.js'
import type { Chassis } from '../../physics/loop/chassis.js'
import type { TargetLimits } from './projection.js'

/** Limits as a user asks for them: `sustainedW` at least. What is left out comes from the machine as tested, if there is one. */
export interface LimitsAsked {
  readonly sustainedW: number
  readonly burstW?: number | null
  readonly burstForS?: number | null
  readonly shortTermW?: number | null
  readonly shortTermForS?: number | null
}

/**
 * Fills in what a user left out of a target's limits.
 *
 * With nothing but `sustainedW`, burst and short-term are as tested where they exceed it; without a tested chassis (a chip
 * from a file) the power is flat at `sustainedW`. A burst without a hold takes the hold as tested.
 *
 * @param asked - watts and seconds; holds are those of an uninterrupted load from idle, each counted from its own stage's start
 * @param tested - the chassis as tested, or null
 * @throws InputError `limits-not-positive`, `limits-not-ordered`, `hold-not-positive`, `hold-missing`, `burst-missing`
 * @example completeLimits({ sustainedW: 71 }, null) // { burstW: 71, burstForS: null, ..., sustainedW: 71 }
 */
export function completeLimits(asked: LimitsAsked, tested: Chassis | null): TargetLimits {
  refusePoor(asked)
  const { sustainedW } = asked
  const nothingElse = asked.burstW == null && asked.shortTermW == null
  if (nothingElse) return tested ? limitsAsTested(sustainedW, tested) : flatLimits(sustainedW)
  const shortTermW = asked.shortTermW ?? null
  const burstW = asked.burstW ?? Math.max(shortTermW ?? 0, sustainedW)
  const nextW = shortTermW ?? sustainedW
  return {
    burstW,
    burstForS: burstW > nextW ? hold('burst', asked.burstForS, tested?.burstHoldS?.value) : null,
    shortTermW: shortTermW !== null && shortTermW > sustainedW ? shortTermW : null,
    shortTermForS:
      shortTermW !== null && shortTermW > sustainedW
        ? hold('short-term', asked.shortTermForS, tested?.shortTermHoldS?.value)
        : null,
    sustainedW,
  }
}

/** Power without any stage: the sustained level from the first second. */
function flatLimits(sustainedW: number): TargetLimits {
  return { burstW: sustainedW, burstForS: null, shortTermW: null, shortTermForS: null, sustainedW }
}

function limitsAsTested(sustainedW: number, tested: Chassis): TargetLimits {
  const burstForS = tested.burstHoldS?.value ?? null
  const shortTermW = tested.shortTermW?.value ?? null
  const shortTermForS = tested.shortTermHoldS?.value ?? null
  const keepsShortTerm = shortTermW !== null && shortTermForS !== null && shortTermW > sustainedW
  if (burstForS === null || tested.burstW.value <= sustainedW) return flatLimits(sustainedW)
  return {
    burstW: tested.burstW.value,
    burstForS,
    shortTermW: keepsShortTerm ? shortTermW : null,
    shortTermForS: keepsShortTerm ? shortTermForS : null,
    sustainedW,
  }
}

function hold(stage: string, askedS: number | null | undefined, testedS: number | undefined): number {
  const holdS = askedS ?? testedS
  if (holdS === undefined) {
    throw new InputError('hold-missing', `expected how long the ${stage} power is held, got nothing`, {
      remedy: `add --${stage}-for, for instance --${stage}-for 20s`,
    })
  }
  return holdS
}

function refusePoor(asked: LimitsAsked): void {
  const { sustainedW, burstW, shortTermW } = asked
  for (const powerW of [sustainedW, burstW, shortTermW]) {
    if (powerW != null && !(powerW > 0 && Number.isFinite(powerW))) {
      throw new InputError('limits-not-positive', `expected power limits above 0 W, got ${powerW} W`)
    }
  }
  for (const holdS of [asked.burstForS, asked.shortTermForS]) {
    if (holdS != null && !(holdS > 0 && Number.isFinite(holdS))) {
      throw new InputError('hold-not-positive', `expected hold times above 0 s, got ${holdS} s`)
    }
  }
  const falling = [burstW, shortTermW, sustainedW].filter((w): w is number => w != null)
  if (falling.some((w, i) => i > 0 && w > (falling[i - 1] as number))) {
    throw new InputError(
      'limits-not-ordered',
      `expected burst >= short-term >= sustained power, got ${falling.join(' W, ')} W`,
    )
  }
  if (asked.burstForS != null && burstW == null) {
    throw new InputError('burst-missing', 'expected a burst power for the burst hold, got none', {
      remedy: 'add --burst, for instance --burst 104W',
    })
  }
  if (asked.shortTermForS != null && shortTermW == null) {
    throw new InputError('short-term-missing', 'expected a short-term power for its hold, got none', {
      remedy: 'add --short-term, for instance --short-term 86W',
    })
  }
}
