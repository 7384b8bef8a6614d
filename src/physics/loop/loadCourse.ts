import type { LoopMachine } from './loopMachine.js'
import { restedState } from './loopState.js'
import { LONGEST_RUN_S, nextLoopStep } from './nextLoopStep.js'
import { type LoopPlan, type LoopRun, MOST_STEPS } from './simulateRun.js'
import { takeLoopStep } from './takeLoopStep.js'

/** A stretch of constant power; the last of a load lasts for ever. */
interface LoadStretch {
  readonly powerW: number
  /** s, Infinity for the last. */
  readonly forS: number
}

/** The stretch at a place in a load, counted from 0; beyond the last, the last. */
export type LoadCourse = (place: number) => LoadStretch

/**
 * Power over time of one load without pauses, from rest, in a machine that heat doesn't hold: followed no farther than somebody
 * asks, and once for all who ask.
 *
 * What the machine does then depends on nothing but time: chips of different speed go through the same stretches, and only
 * end their runs at other moments. Where power glides, steps that lie within `GLIDE_BAND` of each other are one stretch at their
 * mean power.
 *
 * @param machine - with `heat` null: its power then comes to rest at one level
 */
export function loadCourse(machine: LoopMachine): LoadCourse {
  const stretches: LoadStretch[] = []
  const state = restedState(machine)
  let step = nextLoopStep(state, machine)
  let atRest = false
  const take = () => {
    takeLoopStep(state, machine, step, step.forS)
    step = nextLoopStep(state, machine)
  }
  return (place) => {
    while (place >= stretches.length && !atRest) {
      const { kind, powerW } = step
      // No run lasts longer: no limit is left that could end this step.
      atRest = step.forS >= LONGEST_RUN_S
      let forS = 0
      let energyJ = 0
      do {
        forS += step.forS
        energyJ += step.powerW * step.forS
        take()
      } while (kind === 'glide' && step.kind === 'glide' && step.powerW >= (1 - GLIDE_BAND) * powerW)
      stretches.push(atRest ? { powerW, forS: Number.POSITIVE_INFINITY } : { powerW: energyJ / forS, forS })
    }
    return stretches[Math.min(place, stretches.length - 1)]!
  }
}

/**
 * Powers this share apart count as one, W per W: over such a band a smooth rate's mean differs from the rate at the mean power by
 * less than 4e-5 (the second derivative in ln power, below 1, times the band's square over 24), and a glide is
 * a few seconds of a run.
 */
const GLIDE_BAND = 0.03

/**
 * Runs of a loop without pauses along the course of its load, up to the first run that all later ones repeat.
 *
 * A run that ends within a glide's step shares that step's mean power with the next run; `simulateLoop` cuts the glide there.
 *
 * @param plan - `gapS` is taken as 0
 * @returns at least one run, at most as many as planned
 */
export function runsAlong(course: LoadCourse, plan: LoopPlan): LoopRun[] {
  const runs: LoopRun[] = []
  const at: Moment = { place: 0, usedS: 0, timeS: 0, rate: plan.rate(course(0).powerW) }
  while (runs.length < plan.runs) {
    const repeats = course(at.place).forS === Number.POSITIVE_INFINITY
    const run = runAlong(course, plan, at)
    runs.push(run)
    if (repeats || run.unfinished) break
  }
  return runs
}

/** A moment of a load: how far into which stretch, and the chip's rate there. */
interface Moment {
  place: number
  usedS: number
  timeS: number
  rate: number
}

/** One run from a moment of the load, which it moves on to the run's end. */
function runAlong(course: LoadCourse, plan: LoopPlan, at: Moment): LoopRun {
  const startS = at.timeS
  let durationS = 0
  let energyJ = 0
  let work = 0
  let unfinished = false
  for (let ended = false, steps = 0; !ended && !unfinished; steps++) {
    const { powerW, forS } = course(at.place)
    const leftS = plan.work === null ? plan.durationS - durationS : (plan.work - work) / at.rate
    const restS = Math.min(leftS, LONGEST_RUN_S - durationS)
    ended = restS <= forS - at.usedS
    const takenS = ended ? restS : forS - at.usedS
    durationS += takenS
    energyJ += powerW * takenS
    work += at.rate * takenS
    unfinished = plan.work !== null && (ended ? leftS > restS : steps >= MOST_STEPS)
    if (ended) at.usedS += takenS
    else {
      at.place++
      at.usedS = 0
      at.rate = plan.rate(course(at.place).powerW)
    }
  }
  at.timeS = startS + durationS
  return { startS, durationS, energyJ, meanRate: work / durationS, unfinished }
}
