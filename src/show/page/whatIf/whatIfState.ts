import type { Estimate } from '../../../numeric/statistics/estimate.js'
import type { Chip } from '../../../physics/chip/chip.js'
import type { Chassis } from '../../../physics/loop/chassis.js'
import type { ProjectionRequest } from '../../../predict/projection/projectScore.js'

/** One machine as the page knows it: all that a projection needs. */
export interface WhatIfMachine {
  readonly machine: string
  readonly chip: Chip
  readonly tested: Chassis
  readonly loop: { readonly runs: number; readonly gapS: number }
  readonly asTested: { readonly firstScore: Estimate | null; readonly steadyScore: Estimate | null }
  /** The sheet's arguments on a command line. */
  readonly sheets: string
}

/** What the reader has set: a machine, and the limits to suppose for it. Watts and seconds. */
export interface WhatIfState {
  readonly machine: number
  readonly sustainedW: number
  readonly shortTermW: number
  readonly shortTermForS: number
  readonly burstW: number
  readonly burstForS: number
}

export type WhatIfField = Exclude<keyof WhatIfState, 'machine'>

/** Holds to begin with where the machine had no such stage; common practice, no source. */
const USUAL_BURST_S = 20
const USUAL_SHORT_TERM_S = 60

/** The limits of a chassis as tested, to a tenth. A stage that was not seen stands at the sustained power. */
export function stateOfChassis(chassis: Chassis, machine: number): WhatIfState {
  const sustainedW = tenth(chassis.sustainedW.value)
  const hasBurst = chassis.burstHoldS !== null
  const hasShortTerm = chassis.shortTermW !== null && chassis.shortTermHoldS !== null
  return orderLimits(
    {
      machine,
      sustainedW,
      shortTermW: hasShortTerm ? tenth(chassis.shortTermW.value) : sustainedW,
      shortTermForS: hasShortTerm ? tenth(chassis.shortTermHoldS.value) : USUAL_SHORT_TERM_S,
      burstW: hasBurst ? tenth(chassis.burstW.value) : sustainedW,
      burstForS: chassis.burstHoldS ? tenth(chassis.burstHoldS.value) : USUAL_BURST_S,
    },
    'sustainedW',
  )
}

/** Keeps burst ≥ short-term ≥ sustained by moving the others along with the one that was changed. */
export function orderLimits(state: WhatIfState, changed: WhatIfField): WhatIfState {
  let { sustainedW, shortTermW, burstW } = state
  if (changed === 'burstW') {
    shortTermW = Math.min(shortTermW, burstW)
    sustainedW = Math.min(sustainedW, shortTermW)
  } else if (changed === 'shortTermW') {
    sustainedW = Math.min(sustainedW, shortTermW)
    burstW = Math.max(burstW, shortTermW)
  } else {
    shortTermW = Math.max(shortTermW, sustainedW)
    burstW = Math.max(burstW, shortTermW)
  }
  return { ...state, sustainedW, shortTermW, burstW }
}

/** Bounds of what a reader may set: what a processor's package can draw, and a hold of an hour. Common practice, no source. */
const BOUNDS = { W: [1, 1000], s: [0.1, 3600] } as const

/** What is wrong with a number that a reader typed; empty for a number within the bounds. */
export function problemOf(field: WhatIfField, value: number): string {
  const unit = field.endsWith('W') ? 'W' : 's'
  const [least, most] = BOUNDS[unit]
  if (value >= least && value <= most) return ''
  const got = Number.isFinite(value) ? `${value} ${unit}` : 'no number'
  return `Expected ${least} to ${most} ${unit}, got ${got}.`
}

/** The request that the command of {@link commandOf} makes too: same chip, same limits, same loop. */
export function requestOf(state: WhatIfState, machine: WhatIfMachine): ProjectionRequest {
  const { sustainedW, shortTermW, shortTermForS, burstW, burstForS } = state
  const shortTerm = shortTermW > sustainedW ? { shortTermW, shortTermForS } : {}
  const burst = burstW > shortTermW ? { burstW, burstForS } : { burstW }
  const { chip, tested, loop, asTested } = machine
  const target = { sustainedW, ...shortTerm, ...burst }
  return { chip, target, loop, testedLoop: loop, tested, asTested }
}

/** The command line that gives the same numbers. */
export function commandOf(state: WhatIfState, machine: WhatIfMachine): string {
  const { sustainedW, shortTermW, shortTermForS, burstW, burstForS } = state
  const parts = [`holdwatt project ${machine.sheets} --sustained ${sustainedW}W`]
  if (shortTermW > sustainedW) parts.push(`--short-term ${shortTermW}W --short-term-for ${shortTermForS}s`)
  parts.push(burstW > shortTermW ? `--burst ${burstW}W --burst-for ${burstForS}s` : `--burst ${burstW}W`)
  return parts.join(' ')
}

const FRAGMENT_KEYS: readonly (readonly [string, keyof WhatIfState])[] = [
  ['machine', 'machine'],
  ['sustained', 'sustainedW'],
  ['short-term', 'shortTermW'],
  ['short-term-for', 'shortTermForS'],
  ['burst', 'burstW'],
  ['burst-for', 'burstForS'],
]

/** A state as a URL fragment, without `#`. Machines count from 1. */
export function fragmentOf(state: WhatIfState): string {
  return FRAGMENT_KEYS.map(
    ([key, field]) => `${key}=${field === 'machine' ? state.machine + 1 : state[field]}`,
  ).join('&')
}

/** The state of a fragment; undefined when it is not one, or names a machine or a number that can't be. */
export function parseFragment(fragment: string, machines: number): WhatIfState | undefined {
  const values = new URLSearchParams(fragment.replace(/^#/, ''))
  const read = FRAGMENT_KEYS.map(([key, field]) => [field, Number(values.get(key) ?? Number.NaN)] as const)
  const isWrong = ([field, value]: (typeof read)[number]) =>
    field === 'machine' ? !(value > 0) : problemOf(field, value) !== ''
  if (read.some(isWrong)) return undefined
  const state = Object.fromEntries(read) as unknown as WhatIfState
  const machine = state.machine - 1
  if (!Number.isInteger(machine) || machine >= machines) return undefined
  return orderLimits({ ...state, machine }, 'sustainedW')
}

function tenth(value: number): number {
  return Math.round(value * 10) / 10
}
