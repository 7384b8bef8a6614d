import type { HoldLabel } from '../../segment/load.js'
import { mainLoad } from '../mainLoad.js'
import type { ReadTest } from '../testedMachine.js'

/** Settled powers of one task repeat to a few per cent. */
const SAME_POWER = 0.03

/** A test with what its machine's logs say held its power; null without a load. */
export interface LabelledTest {
  readonly read: ReadTest
  readonly label: HoldLabel | null
}

/**
 * What held the power in a test, as the logs of its machine tell. Where its own can't, a level that lies well below what the machine holds in
 * the same mode under another task is what this one asks for.
 *
 * @param sameMode - all tests of the machine in the mode of this one
 * @returns null without a load
 */
export function labelByMachine(read: ReadTest, sameMode: readonly ReadTest[]): HoldLabel | null {
  const load = mainLoad(read)?.load
  if (load === undefined) return null
  const label = load.stages.at(-1)?.heldBy.label ?? 'undetermined'
  if (label !== 'undetermined' || load.stages.length > 1 || load.stages[0]?.shape !== 'level') return label
  const held = sameMode.flatMap((test) => {
    const { reached, levelW } = mainLoad(test)?.load.sustained ?? { reached: false }
    return reached && levelW !== undefined ? [levelW.value] : []
  })
  return load.sustained.levelW.value < WELL_BELOW_SHARE * Math.max(0, ...held) ? 'demand' : label
}

/** The same as within one log (`segment/stages/holdEvidence.ts`): limits of one machine differ by less. Common practice, no source. */
const WELL_BELOW_SHARE = 0.45

/**
 * Power above which the workload asks for no more, W: what the tests with the most power held from beginning to end, where nothing but the
 * task set it in one of them and the log of none tells another cause. Which of two equal powers is the highest is chance.
 */
export function taskDemand(
  tests: readonly LabelledTest[],
): { readonly atW: number; readonly isKnown: boolean } | null {
  const loads = tests.flatMap(({ read, label }) => {
    const load = mainLoad(read)?.load
    return load === undefined ? [] : [{ load, label }]
  })
  const highestW = Math.max(...loads.map(({ load }) => load.sustained.levelW.value))
  const alike = loads.filter(({ load }) => load.sustained.levelW.value > highestW * (1 - SAME_POWER))
  const labels = alike.map(({ load: { stages }, label }) =>
    stages.length === 1 && stages[0]!.shape === 'level' ? label : null,
  )
  if (labels.some((label) => label !== 'demand' && label !== 'undetermined')) return null
  const isKnown = labels.includes('demand')
  const asked = alike.filter((_, i) => !isKnown || labels[i] === 'demand')
  return asked.length === 0
    ? null
    : { atW: Math.max(...asked.map(({ load }) => load.sustained.levelW.value)), isKnown }
}

/** What the scored runs of a test drew on average, W, and how fast they were: a rate, higher is better. */
export interface TestPace {
  readonly meanW: number
  readonly rate: number
}

/**
 * What held the power in a test: where the machine's logs can't tell, but the task drew what it draws where nothing but the task sets the power,
 * it is the task. Where the same task was faster at more power with the same chip, it asks for more than it got here, whatever a log by itself
 * says: a limit that acts from the first second to the last looks like a task that asks for no more.
 *
 * @param label - as `labelByMachine` gives it
 * @param own - of this test; null where its power is not known
 * @param known.demandW - as `taskDemand` gives it, W
 * @param known.paces - of all tests of the chip with this task
 */
export function heldInTest(
  label: HoldLabel | null,
  own: TestPace | null,
  known: { readonly demandW: number | null; readonly paces: readonly TestPace[] },
): HoldLabel | null {
  if (label === null || own === null) return label
  if (label === 'demand') return known.paces.some((pace) => takesMore(pace, own)) ? 'undetermined' : label
  const isDemand = known.demandW !== null && Math.abs(own.meanW / known.demandW - 1) < SAME_POWER
  return label === 'undetermined' && isDemand ? 'demand' : label
}

function takesMore(pace: TestPace, own: TestPace): boolean {
  return pace.meanW > MORE_POWER * own.meanW && pace.rate > FASTER * own.rate
}

/** Units of a chip differ by less in what one task draws at one clock; common practice, no source. */
const MORE_POWER = 1.08
/** Twice the deviation of the scores of two units at equal power (1 % each). */
const FASTER = 1.03
