import type { ChassisTruth } from './chassisTruth.js'
import type { ChipTruth } from './chipTruth.js'
import type { HoldTruth } from './holdTruth.js'
import { toScore, type World } from './makeWorld.js'
import { simulate } from './simulate.js'

/** Noise-free first and steady score (mean of the last three runs) of a world's chip looping in another chassis. */
export function projectTruth(
  world: Pick<World, 'chip' | 'better' | 'scoreScale' | 'work'>,
  chassis: ChassisTruth,
  loop: { readonly runs: number; readonly gapS: number },
): {
  readonly firstScore: number
  readonly steadyScore: number
  readonly firstS: number
  readonly steadyS: number
} {
  const plan = { form: 'loop', runs: loop.runs, gapS: loop.gapS, work: world.work } as const
  const simulation = simulate(world.chip, chassis, { idleBeforeS: 1, idleAfterS: 0, plan })
  const durations = simulation.runs.map(({ startS, endS }) => endS - startS)
  const last = durations.slice(-3)
  const mean = (values: readonly number[]) => values.reduce((a, b) => a + b, 0) / values.length
  return {
    firstS: durations[0]!,
    firstScore: toScore(world, durations[0]!),
    steadyS: mean(last),
    steadyScore: mean(last.map((seconds) => toScore(world, seconds))),
  }
}

/** A chassis put into the numbers that a reader of a data sheet would have: levels and holds from idle. */
export function targetNumbers(hold: HoldTruth): {
  readonly burstW: number
  readonly burstForS: number | undefined
  readonly shortTermW: number | undefined
  readonly shortTermForS: number | undefined
  readonly sustainedW: number
} {
  const [first, second] = hold.dropsS
  return {
    burstW: hold.burstW,
    burstForS: first,
    shortTermW: second === undefined ? undefined : hold.levelsW[1],
    shortTermForS: first === undefined || second === undefined ? undefined : second - first,
    sustainedW: hold.sustainedW,
  }
}

/** Ratio of two worlds' true scores at one constant power, better side up: above 1 when the first is ahead. */
export function ratioTruth(
  first: Pick<World, 'better'> & { readonly score: number },
  second: { readonly score: number },
): number {
  return first.better === 'lower' ? second.score / first.score : first.score / second.score
}

/** Whether a chip in a chassis is ever held below what it asks for. */
export function isHeld(chip: ChipTruth, hold: HoldTruth): boolean {
  return hold.sustainedW < 0.98 * chip.demandAt(60)
}
