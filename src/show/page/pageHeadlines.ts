import type { TestedMachine } from '../../machine/testedMachine.js'
import { chipAt } from '../../physics/chip/chipAt.js'
import type { ChipComparison } from '../../predict/comparison/compareChips.js'
import type { Gap } from '../../predict/gap/explainGap.js'
import type { GapPartName } from '../../predict/gap/gapRun.js'
import type { Projection } from '../../predict/projection/projection.js'
import type { HoldLabel, Load } from '../../segment/load.js'
import { sayDuration } from '../text/sayDuration.js'
import { groupDigits, sayInterval, sayNumber, sayValue } from '../text/sayEstimate.js'
import type { PageContent } from './pageContent.js'

/** The conclusion of the whole page in one sentence. */
export function headlineOfPage(content: PageContent): string {
  const [gap] = content.gaps
  if (content.machines.length === 2 && gap) return headlineOfGap(gap)
  if (content.machines.length > 2 && content.comparison)
    return headlineOfComparison(content.machines, content.comparison)
  const machine = content.machines[0]!
  const loads = machine.tests[0]!.trials.flatMap((read) => (read.kind === 'logged' ? read.loads : []))
  return headlineOfTrace(machine.machine, loads)
}

/** What a trace shows: what is held, what it fell from, and what held it. */
export function headlineOfTrace(machine: string, loads: readonly Load[]): string {
  const load = longestOf(loads)
  const last = load?.stages.at(-1)
  if (!load || !last) return `${machine}: no stage of load was found in the log`
  const level = sayNumber(load.sustained.levelW.value, 3, 'W')
  const first = load.stages[0]!
  const fell = first.levelW.value > 1.05 * load.sustained.levelW.value
  if (!load.sustained.reached)
    return `${machine} has not settled when the log ends; it is heading for about ${level}`
  if (!fell) return `${machine} holds ${level} from start to end: ${STEADY_WORDS[last.heldBy.label]}`
  return `${machine} starts at ${sayNumber(first.levelW.value, 3, 'W')} and holds ${level} for good: ${DROP_WORDS[last.heldBy.label]}`
}

const DROP_WORDS: Readonly<Record<HoldLabel, string>> = {
  'power-limit': 'a set limit keeps it there',
  heat: 'heat keeps it there',
  demand: 'the task asks for no more',
  undetermined: 'the log can’t tell what keeps it there',
}

const STEADY_WORDS: Readonly<Record<HoldLabel, string>> = {
  ...DROP_WORDS,
  demand: 'it is never throttled, the task asks for no more',
}

/** How a load begins: its stages with their lengths. */
export function headlineOfOpening(machine: string, loads: readonly Load[]): string {
  const stages = loads[0]?.stages.slice(0, 3) ?? []
  const parts = stages.map((stage, index) => {
    const level = sayNumber(stage.levelW.value, 3, 'W')
    return index === stages.length - 1 ? level : `${level} for ${sayDuration(stage.endS - stage.startS)}`
  })
  return `How ${machine} begins: ${parts.join(', then ')}`
}

/** What more power would buy where the machine works. */
export function headlineOfCurve(machine: TestedMachine): string {
  const { chip, chassis } = machine
  const at = chassis.sustainedW.value
  const point = chipAt(chip, at)
  if (!point) return `${chip.name}: the score over power`
  const gain = {
    ...point.elasticity,
    value: 10 * point.elasticity.value,
    low: 10 * point.elasticity.low,
    high: 10 * point.elasticity.high,
  }
  const effect = chip.workload.better === 'lower' ? 'saves about' : 'buys about'
  const unit = chip.workload.better === 'lower' ? '% of the time' : '% more score'
  return `At ${sayNumber(at, 3, 'W')}, 10 % more power ${effect} ${sayValue(gain)} ${unit} (${sayInterval(gain)})`
}

/** What a roomier chassis would bring, at the highest power that was measured. */
export function headlineOfSweep({ chip, chassis }: TestedMachine, sweep: Projection['sweep']): string {
  const sustainedW = chip.measuredRangeW[1]
  const name = chip.name
  if (sustainedW < chassis.sustainedW.value * 1.05)
    return `What ${name} would score in chassis that hold more or fewer watts`
  const scoreAt = (heldW: number) => sweep.find((point) => point.sustainedW === heldW)?.steady.score.value
  const [now, then] = [scoreAt(chassis.sustainedW.value), scoreAt(sustainedW)]
  if (now === undefined || then === undefined) return `What ${name} would score in other chassis`
  const percent = 100 * (then / now - 1)
  const change =
    chip.workload.better === 'lower'
      ? `would take ${groupDigits(-percent, 0)} % less time`
      : `would score ${groupDigits(percent, 0)} % more`
  return `In a chassis that holds ${sayNumber(sustainedW, 3, 'W')} instead of ${sayNumber(chassis.sustainedW.value, 3, 'W')}, ${name} ${change} for good`
}

/** Which chip is ahead at equal power, and where that turns. */
export function headlineOfComparison(machines: readonly TestedMachine[], comparison: ChipComparison): string {
  const chips = [...new Set(machines.map((machine) => machine.chip.name))]
  if (chips.length === 1) return `${chips[0]} is the same chip in every machine: only the chassis differ`
  const low = comparison.at[0]
  const high = comparison.at.at(-1)
  if (!low || !high) return 'The chips at equal power'
  const [below, above] = [surelyBest(low), surelyBest(high)]
  const [crossover] = comparison.crossovers
  if (below === undefined && above === undefined) return 'At equal power the chips can’t be told apart'
  const range = `${sayNumber(low.powerW, 3)} to ${sayNumber(high.powerW, 3, 'W')}`
  if (below === above) return `At equal power ${below} leads from ${range}`
  const turn = crossover ? sayValue(crossover.powerW, 'W') : undefined
  if (below && above)
    return `At equal power ${below} leads ${turn ? `below ${turn}` : 'at the lowest powers'}, ${above} ${turn ? 'above' : 'at the highest'}`
  const [leader, side, other] = above ? [above, 'high', 'low'] : [below, 'low', 'high']
  return `At equal power ${leader} leads where power is ${side}; where it is ${other} the chips can’t be told apart`
}

/** The chip that is best of all at a power with at least 90 % probability. */
function surelyBest({ ranking }: ChipComparison['at'][number]): string | undefined {
  return ranking.find((entry) => entry.probabilityBest >= 0.9)?.chip
}

/** Why one machine scores less or more than another. */
export function headlineOfGap(gap: Gap): string {
  const percent = 100 * (gap.ratio.value - 1)
  const certain = gap.ratio.low > 1 || gap.ratio.high < 1
  if (!certain) return `${gap.a} and ${gap.b} score the same, as far as this test can tell`
  const [most] = [...gap.parts].sort((x, y) => Math.abs(y.logRatio.value) - Math.abs(x.logRatio.value))
  const size = groupDigits(Math.abs(percent), 0)
  const direction = percent < 0 ? 'less' : 'more'
  const share = most ? `, mostly through ${PART_WORDS[most.name]}` : ''
  const verb = gap.better === 'lower' ? `takes ${size} % ${direction} time` : `scores ${size} % ${direction}`
  return `${gap.a} ${verb} than ${gap.b}${share}`
}

const PART_WORDS: Readonly<Record<GapPartName, string>> = {
  'chip at equal power': 'the chip itself',
  'sustained power': 'the power that it holds',
  'burst and recovery': 'its bursts',
  'pauses between runs': 'the pauses of the tests',
  temperature: 'its temperature',
}

function longestOf(loads: readonly Load[]): Load | undefined {
  return loads.reduce<Load | undefined>(
    (best, load) => (best && best.endS - best.startS >= load.endS - load.startS ? best : load),
    undefined,
  )
}
