import { asTested } from '../../machine/asTested.js'
import type { TestedMachine } from '../../machine/testedMachine.js'
import { chipAt } from '../../physics/chip/chipAt.js'
import type { ChipComparison } from '../../predict/comparison/compareChips.js'
import type { Gap } from '../../predict/gap/explainGap.js'
import type { GapPartName } from '../../predict/gap/gapRun.js'
import type { Projection } from '../../predict/projection/projection.js'
import type { Load, Stage } from '../../segment/load.js'
import { sayDuration } from '../figures/sayDuration.js'
import { sayElasticity } from '../figures/sayElasticity.js'
import { sayGivenPower, sayNumber, sayPower, sayScore, sayValue } from '../figures/sayEstimate.js'
import { heldByClauses } from '../text/heldByWords.js'
import { gapPercent, unsigned } from '../text/sayGapText.js'
import type { PageContent } from './pageContent.js'

/** The conclusion of the whole page in one sentence. */
export function headlineOfPage(content: PageContent): string {
  const [gap] = content.gaps
  if (content.machines.length === 2 && gap) return headlineOfGap(gap)
  if (content.machines.length > 2 && content.equalPower)
    return headlineOfComparison(content.machines, content.equalPower.comparison)
  const machine = content.machines[0]!
  const loads = machine.tests[0]!.trials.flatMap((read) => (read.kind === 'logged' ? read.loads : []))
  return headlineOfTrace(machine.machine, loads)
}

/** What a trace shows: the sustained power, what it fell from, and what held it. */
export function headlineOfTrace(machine: string, loads: readonly Load[]): string {
  const load = longestOf(loads)
  const last = load?.stages.at(-1)
  if (!load || !last) return `${machine}: no load found in the log`
  const level = sayValue(load.sustained.levelW, 'W')
  const { reached, bounds } = load.sustained
  if (bounds !== null)
    return `${machine} has not settled when the log ends; it sustains between ${sayNumber(bounds.floorW, 2)} and ${sayNumber(bounds.ceilingW, 2, 'W')}`
  if (!reached) return `${machine} has not settled when the log ends; its power heads for ${level}`
  const why = heldByClauses[last.heldBy.label]
  const [first, highest] = [load.stages[0]!, highestOf(load.stages)]
  const isAbove = (stage: Stage) => stage.levelW.value > 1.05 * load.sustained.levelW.value
  if (isAbove(first))
    return `${machine} starts at ${sayValue(first.levelW, 'W')} and sustains ${level}: ${why}`
  if (isAbove(highest))
    return `${machine} reaches ${sayValue(highest.levelW, 'W')} and sustains ${level}: ${why}`
  return `${machine} sustains ${level} from start to end: ${why}`
}

function highestOf(stages: readonly Stage[]): Stage {
  return stages.reduce((most, stage) => (stage.levelW.value > most.levelW.value ? stage : most))
}

/** How a load begins: its stages with their lengths. */
export function headlineOfOpening(machine: string, loads: readonly Load[]): string {
  const stages = loads[0]?.stages.slice(0, 3) ?? []
  const parts = stages.map((stage, index) => {
    const level = sayValue(stage.levelW, 'W')
    return index === stages.length - 1 ? level : `${level} for ${sayDuration(stage.endS - stage.startS)}`
  })
  return `How ${machine} begins: ${parts.join(', then ')}`
}

/** What more power would give at the machine's sustained power. */
export function headlineOfCurve(machine: TestedMachine): string {
  const { chip } = machine
  const { sustainedW } = asTested(machine)
  const point = chipAt(chip, sustainedW.value)
  if (!point) return `${chip.name}: the score over power`
  return `At ${sayValue(sustainedW, 'W')}, ${sayElasticity(point.elasticity, chip.workload)}`
}

/** What a roomier chassis would bring, at the highest power that was measured. */
export function headlineOfSweep({ chip, chassis }: TestedMachine, sweep: Projection['sweep']): string {
  const sustainedW = chip.measuredRangeW[1]
  const name = chip.name
  if (sustainedW < chassis.sustainedW.value * 1.05)
    return `What ${name} would score in chassis that sustain more or less power`
  const then = sweep.find((point) => point.sustainedW === sustainedW)?.steady.score
  if (then === undefined) return `What ${name} would score in other chassis`
  const verb = chip.workload.better === 'lower' ? 'take' : 'score'
  return `In a chassis that sustains ${sayPower(sustainedW)}, ${name} would ${verb} ${sayScore(then, chip.workload.score)} in a long run`
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
  if (below === undefined && above === undefined) return 'At equal power no chip clearly leads'
  const range = `${sayGivenPower(low.powerW).replace(/\s?W$/, '')} to ${sayGivenPower(high.powerW)}`
  if (below === above) return `At equal power ${below} leads from ${range}`
  const turn = crossover ? sayValue(crossover.powerW, 'W') : undefined
  if (below && above)
    return `At equal power ${below} leads ${turn ? `below ${turn}` : 'at the lowest powers'}, ${above} ${turn ? 'above' : 'at the highest'}`
  const [leader, side, other] = above ? [above, 'high', 'low'] : [below, 'low', 'high']
  return `At equal power ${leader} leads where power is ${side}; where it is ${other} no chip clearly leads`
}

/** The chip that is best of all at a power with at least 90 % probability. */
function surelyBest({ ranking }: ChipComparison['at'][number]): string | undefined {
  return ranking.find((entry) => entry.probabilityBest >= 0.9)?.chip
}

/** Why one machine scores less or more than another. */
export function headlineOfGap(gap: Gap): string {
  const percent = gapPercent(gap)
  const certain = gap.ratio.low > 1 || gap.ratio.high < 1
  if (!certain) return `${gap.a} and ${gap.b} score the same within the uncertainty of the tests`
  const [most] = [...gap.parts].sort((x, y) => Math.abs(y.logRatio.value) - Math.abs(x.logRatio.value))
  const size = sayValue(unsigned(percent), '%')
  const direction = percent.value < 0 ? 'less' : 'more'
  const share = most ? `, mostly because of ${PART_WORDS[most.name]}` : ''
  const verb = gap.better === 'lower' ? `takes ${size} ${direction} time` : `scores ${size} ${direction}`
  return `${gap.a} ${verb} than ${gap.b}${share}`
}

const PART_WORDS: Readonly<Record<GapPartName, string>> = {
  'chip at equal power': 'the chip itself',
  'sustained power': 'its sustained power',
  'burst and recovery': 'its bursts',
  'pauses between runs': 'the pauses between runs',
  temperature: 'its temperature',
}

function longestOf(loads: readonly Load[]): Load | undefined {
  return loads.reduce<Load | undefined>(
    (best, load) => (best && best.endS - best.startS >= load.endS - load.startS ? best : load),
    undefined,
  )
}
