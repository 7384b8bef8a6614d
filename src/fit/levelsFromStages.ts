import type { Load, Stage } from '../segment/load.js'
import type { HeldLevels } from './findHeldLevels.js'
import type { LoadRecord } from './loadRecord.js'

/**
 * The levels and drops of a load as its stages tell them: another set of starting points for the fit of a chassis.
 *
 * @returns null when there are no stages or they don't fall
 */
export function levelsFromStages(record: LoadRecord, load: Load): HeldLevels | null {
  const [first, ...rest] = load.stages
  if (!first) return null
  const burstW = first.levelW.value
  const sustainedW = Math.min(load.sustained.levelW.value, burstW)
  const sinceStart = (stage: Stage) => stage.startS - load.startS
  const drop = rest.find((stage) => levelAtStart(stage) < 0.98 * burstW || stage.shape === 'decay')
  if (!drop) return null
  const between = rest.find(
    (stage) =>
      stage.shape === 'level' &&
      stage.levelW.value < 0.97 * burstW &&
      stage.levelW.value > 1.03 * sustainedW &&
      stage.endS - stage.startS > 5 * record.intervalS,
  )
  const after =
    between && rest.slice(rest.indexOf(between) + 1).find((s) => s.levelW.value < between.levelW.value)
  return {
    burstW,
    shortTermW: between?.levelW.value ?? null,
    sustainedW,
    firstDropS: Math.max(0.2 * record.intervalS, sinceStart(drop)),
    secondDropS: after ? sinceStart(after) : null,
  }
}

function levelAtStart(stage: Stage): number {
  return stage.decay ? stage.decay.fromW : stage.levelW.value
}
