import type { NextMode } from './nextPowerMode.js'

/** Why a plan says what it says, as data; worded in `show/sayPlanReason.ts`. */
export type PlanReason =
  /** Power settles when the slowest of what holds it has: `by` says what that is. */
  | { readonly code: 'settles'; readonly by: 'budget' | 'heat' | 'timed-step'; readonly slowestS: number }
  /** Nothing ever held the power down. */
  | { readonly code: 'settles-at-once' }
  /** The log ended before the power settled: twice its load, at least, is a guess. */
  | { readonly code: 'not-settled-yet'; readonly loadS: number }
  | {
      readonly code: 'runs'
      readonly before: number
      readonly steady: number
      readonly runS: number
      readonly runSupposed: boolean
    }
  | { readonly code: 'rest'; readonly by: 'budget' | 'heat'; readonly slowestS: number }
  /** Neither a budget nor a temperature is known: what a usual heat sink needs. */
  | { readonly code: 'rest-supposed'; readonly slowestS: number }
  | { readonly code: 'sampling-burst'; readonly shortestBurstS: number; readonly samples: number }
  /** Power swings, and a phase of it is shorter than any burst. */
  | { readonly code: 'sampling-swing'; readonly shorterPhaseS: number; readonly samples: number }
  | { readonly code: 'sampling-no-burst' }
  | ({ readonly code: 'next-mode' } & NextMode)
