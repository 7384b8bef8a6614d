import { asTested } from '../../machine/asTested.js'
import type { TestedMachine } from '../../machine/testedMachine.js'
import type { Estimate } from '../../numeric/statistics/estimate.js'
import { chipAtTemperature } from '../../physics/chip/chipAtTemperature.js'
import { isSameWorkload } from '../../physics/chip/sameWorkload.js'
import { type ChipComparison, type ComparedMachine, compareChips } from '../comparison/compareChips.js'
import { explainGap, type Gap } from '../gap/explainGap.js'
import { gapMachine } from '../gap/gapMachine.js'
import type { Projection } from '../projection/projection.js'
import { drawnRange, evenPowers, type MachineCurve, machineCurve, machineSweep } from './machineCurve.js'

/** How far one chip is ahead of another at a power, in percent. */
export interface Lead {
  readonly powerW: number
  readonly percent: Estimate
}

/** All that is computed of some tested machines before it is worded and drawn. */
export interface Overview {
  readonly machines: readonly TestedMachine[]
  /** Of each machine, over the powers of its own test. */
  readonly curves: readonly MachineCurve[]
  readonly sweeps: readonly Projection['sweep'][]
  /** The chips at equal power, with a curve each over the powers of all tests; null with one chip, or where workloads differ. */
  readonly equalPower: EqualPowerOverview | null
  /** First machine against each other one. */
  readonly gaps: readonly Gap[]
}

interface EqualPowerOverview {
  readonly comparison: ChipComparison
  /** Place in `machines` of the first machine with each chip, and the curve of that chip. */
  readonly chips: readonly { readonly position: number; readonly curve: MachineCurve }[]
  /** The first chip over the second, power rising; none unless there are two chips. */
  readonly lead: readonly Lead[]
}

const LEAD_POINTS = 20

/** Curves, sweeps, the comparison at equal power and the gaps of machines that were fitted. */
export function overviewMachines(machines: readonly TestedMachine[]): Overview {
  return {
    machines,
    curves: machines.map((machine) => machineCurve(machine, drawnRange([machine]))),
    sweeps: machines.map(machineSweep),
    equalPower: equalPowerOf(machines),
    gaps: gapsOf(machines),
  }
}

function equalPowerOf(machines: readonly TestedMachine[]): EqualPowerOverview | null {
  const names = machines.map((machine) => machine.chip.name)
  const chips = machines.filter((machine, index) => names.indexOf(machine.chip.name) === index)
  const [first] = chips
  const alike = chips.every(({ chip }) => isSameWorkload(chip.workload, first!.chip.workload))
  if (chips.length < 2 || !alike) return null
  const range = drawnRange(machines)
  const compared = chips.map(comparedMachine)
  const comparison = compareChips({ machines: compared })
  const { referenceC } = comparison
  return {
    comparison,
    chips: chips.map((machine) => {
      const chip = chipAtTemperature(machine.chip, referenceC)
      return { position: machines.indexOf(machine), curve: machineCurve({ ...machine, chip }, range) }
    }),
    lead: chips.length === 2 ? leadOf(compared, evenPowers(range, LEAD_POINTS, [])) : [],
  }
}

function leadOf(machines: readonly ComparedMachine[], atW: readonly number[]): readonly Lead[] {
  return compareChips({ machines, atW }).at.map(({ powerW, ratio }) => ({
    powerW,
    percent: {
      value: 100 * (ratio.value - 1),
      low: 100 * (ratio.low - 1),
      high: 100 * (ratio.high - 1),
      level: ratio.level,
    },
  }))
}

function comparedMachine(machine: TestedMachine): ComparedMachine {
  const { sustainedW, steadyScore } = asTested(machine)
  return {
    machine: machine.machine,
    chip: machine.chip,
    sustainedW: sustainedW.value,
    sustained: sustainedW,
    steadyScore,
  }
}

/** The first machine against each other one of the same workload. */
function gapsOf(machines: readonly TestedMachine[]): readonly Gap[] {
  const [first, ...others] = machines
  return others
    .filter((other) => isSameWorkload(other.chip.workload, first!.chip.workload))
    .map((other) => explainGap({ a: gapMachine(first!), b: gapMachine(other) }))
}
