import type { ArchiveMachine } from '../../machine/fitArchive.js'
import type { Estimate } from '../../numeric/statistics/estimate.js'
import type { Chip, Workload } from '../../physics/chip/chip.js'
import { chipAt } from '../../physics/chip/chipAt.js'
import { chipAtTemperature, middleTemperature } from '../../physics/chip/chipAtTemperature.js'

/** A chip of a survey at the watts that all are told at. */
export interface SurveyedChip {
  readonly chip: string
  /** How many machines of the survey have it. */
  readonly machines: number
  readonly measuredRangeW: readonly [number, number]
  /** Null where the chip would more likely than not do no work at such a power. */
  readonly score: Estimate | null
  readonly perWatt: Estimate | null
  /** Whether the power lies outside what this chip was measured at. */
  readonly extrapolated: boolean
}

/** A machine of a survey: what its chassis holds, and what its chip makes of the same watts as the others. */
export interface SurveyedMachine extends Omit<ArchiveMachine, 'chassis'> {
  readonly chip: string
  readonly chassis: string
  /** Score of its chip at the survey's power; null without a scored run. */
  readonly score: Estimate | null
}

/** Everything that ran one workload. */
export interface WorkloadSurvey {
  readonly workload: Workload
  /** Power that scores are told at, W; null when nothing was scored. */
  readonly atW: number | null
  /** Best first. */
  readonly chips: readonly SurveyedChip[]
  /** In falling order of the watts that are held for good. */
  readonly machines: readonly SurveyedMachine[]
}

/** The machines of one chip and workload, as they come into a survey. */
export interface SurveyGroup {
  readonly name: string
  readonly workload: Workload
  readonly chip: Chip | null
  readonly machines: readonly ArchiveMachine[]
}

/**
 * Sets machines side by side in the two figures that make a score: what the chip makes of equal watts, and which watts the
 * chassis holds for good. One survey a workload: scores of different work can't be compared.
 *
 * @param groups - machines by chip and workload
 * @param atW - power to tell scores at, W; by default the round power that most chips were measured at
 */
export function surveyMachines(
  groups: readonly SurveyGroup[],
  atW: number | undefined,
): readonly WorkloadSurvey[] {
  const workloads = new Map<string, SurveyGroup[]>()
  for (const group of groups) {
    const { name, score, better } = group.workload
    const key = JSON.stringify([name, score, better])
    workloads.set(key, [...(workloads.get(key) ?? []), group])
  }
  return [...workloads.values()].map((of) => surveyWorkload(of, atW))
}

function surveyWorkload(groups: readonly SurveyGroup[], wishW: number | undefined): WorkloadSurvey {
  const { workload } = groups[0]!
  const scored = groups.flatMap(({ chip }) => chip ?? [])
  const referenceC = middleTemperature(scored)
  const atW = scored.length === 0 ? null : (wishW ?? commonPower(scored))
  // Least first; a chip that does no work at this power comes last.
  const sign = workload.better === 'lower' ? 1 : -1
  const rankOf = ({ score }: SurveyedChip) => (score === null ? Number.POSITIVE_INFINITY : sign * score.value)
  const chips = groups.flatMap((group) => surveyChip(group, atW, referenceC))
  const scores = new Map(chips.map(({ chip, score }) => [chip, score]))
  return {
    workload,
    atW,
    chips: chips.sort((a, b) => compare(rankOf(a), rankOf(b)) || compare(a.chip, b.chip)),
    machines: groups
      .flatMap(({ name, machines }) =>
        machines.map(({ chassis, ...machine }) => ({
          ...machine,
          chip: name,
          chassis: chassis.name,
          score: scores.get(name) ?? null,
        })),
      )
      .sort((a, b) => compare(b.sustainedW.value, a.sustainedW.value) || compare(a.sheet, b.sheet)),
  }
}

/** A chip at equal power, and at the temperature that all are brought to. */
function surveyChip(
  { name, chip, machines }: SurveyGroup,
  atW: number | null,
  referenceC: number | null,
): readonly SurveyedChip[] {
  if (chip === null || atW === null) return []
  const point = chipAt(chipAtTemperature(chip, referenceC), atW)
  const [lowW, highW] = chip.measuredRangeW
  return [
    {
      chip: name,
      // A machine in several power modes is one.
      machines: new Set(machines.map(({ machine }) => machine)).size,
      measuredRangeW: chip.measuredRangeW,
      score: point?.score ?? null,
      perWatt: point?.perWatt ?? null,
      // A measured level is only known to a per cent or so.
      extrapolated: atW < lowW * 0.99 || atW > highW * 1.01,
    },
  ]
}

/** The round power inside the measured range of most chips; of several, the one in the middle. */
function commonPower(chips: readonly Chip[]): number {
  const ranges = chips.map((chip) => chip.measuredRangeW)
  const [low, high] = [Math.min(...ranges.map((r) => r[0])), Math.max(...ranges.map((r) => r[1]))]
  const stepW = high < 20 ? 1 : 5
  const powers: number[] = []
  for (let powerW = Math.ceil(low / stepW) * stepW; powerW <= high; powerW += stepW) powers.push(powerW)
  if (powers.length === 0) return Number(Math.sqrt(low * high).toPrecision(2))
  const inside = (powerW: number) => ranges.filter((r) => r[0] <= powerW && powerW <= r[1]).length
  const most = Math.max(...powers.map(inside))
  const common = powers.filter((powerW) => inside(powerW) === most)
  return common[Math.floor((common.length - 1) / 2)]!
}

function compare<T extends number | string>(a: T, b: T): number {
  return a < b ? -1 : a > b ? 1 : 0
}
