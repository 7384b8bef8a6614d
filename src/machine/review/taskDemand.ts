import type { HoldLabel } from '../../segment/load.js'
import { mainLoad } from '../mainLoad.js'
import type { ReadTest } from '../testedMachine.js'

/** Settled powers of one task repeat to a few per cent. */
const SAME_POWER = 0.03

/**
 * Power above which the workload asks for no more, W: what the tests with the most power held from beginning to end, where nothing but the
 * task set it in one of them and the log of none tells another cause. Which of two equal powers is the highest is chance.
 */
export function taskDemand(tests: readonly ReadTest[]): number | null {
  const loads = tests.flatMap((test) => mainLoad(test)?.load ?? [])
  const highestW = Math.max(...loads.map(({ sustained }) => sustained.levelW.value))
  const alike = loads.filter(({ sustained }) => sustained.levelW.value > highestW * (1 - SAME_POWER))
  const labels = alike.map(({ stages: [stage, ...others] }) =>
    others.length === 0 && stage?.shape === 'level' ? stage.heldBy.label : null,
  )
  if (labels.some((label) => label !== 'demand' && label !== 'undetermined')) return null
  const demandsW = alike.flatMap(({ sustained }, i) =>
    labels[i] === 'demand' ? [sustained.levelW.value] : [],
  )
  return demandsW.length === 0 ? null : Math.max(...demandsW)
}

/**
 * What held the power in a test: where its log can't tell, but the task drew what it draws where nothing but the task sets the power, it is
 * the task.
 *
 * @param meanW - mean power of the scored runs, W; null where it is not known
 * @param demandW - as `taskDemand` gives it, W
 * @returns null without a load
 */
export function heldInTest(
  read: ReadTest | null,
  meanW: number | null,
  demandW: number | null,
): HoldLabel | null {
  const load = read === null ? undefined : mainLoad(read)?.load
  if (load === undefined) return null
  const label = load.stages.at(-1)?.heldBy.label ?? 'undetermined'
  const isDemand = meanW !== null && demandW !== null && Math.abs(meanW / demandW - 1) < SAME_POWER
  return label === 'undetermined' && isDemand ? 'demand' : label
}
