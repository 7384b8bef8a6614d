import type { TestedMachine } from '../../machine/testedMachine.js'
import { isSameWorkload } from '../../physics/chip/sameWorkload.js'
import {
  type ChipComparison,
  type ComparedMachine,
  compareChips,
} from '../../predict/comparison/compareChips.js'
import { explainGap, type Gap } from '../../predict/gap/explainGap.js'
import { gapMachine } from '../../predict/gap/gapMachine.js'
import type { Warning } from '../../warnings.js'
import type { FileFindings } from '../terminal/sayFindings.js'
import { sayCaution } from '../text/sayCaution.js'
import { sayWarning } from '../text/sayWarning.js'
import { publicPath } from './publicPath.js'

/** All that a page shows, computed before it is worded and drawn. */
export interface PageContent {
  readonly version: string
  /** The command that makes the page again. */
  readonly command: string
  readonly machines: readonly TestedMachine[]
  /** Null when there is one machine, or the workloads differ. */
  readonly comparison: ChipComparison | null
  /** First machine against each other one. */
  readonly gaps: readonly Gap[]
  readonly findings: readonly FileFindings[]
  /** Warnings in words. */
  readonly warnings: readonly { readonly code: string; readonly message: string }[]
  /** Cautions in words, for whoever might act on a projection. */
  readonly cautions: readonly string[]
  readonly inputs: readonly PageInput[]
}

/** A file that the page was made from. */
export interface PageInput {
  readonly name: string
  readonly bytes: number
  readonly sha256: string
}

/**
 * What a page shows of machines that were fitted: comparison at equal power, gaps of the first machine to the others,
 * warnings and cautions in words.
 *
 * @param facts - what can't be computed from the machines: version, command, inputs and the audit's findings
 */
export function pageContent(
  machines: readonly TestedMachine[],
  facts: Pick<PageContent, 'version' | 'command' | 'inputs' | 'findings'>,
): PageContent {
  const warnings = machines.flatMap((machine) =>
    machine.warnings.map((warning) => ({ code: warning.code, message: sayWarning(publicWarning(warning)) })),
  )
  const gaps = gapsOf(machines)
  return {
    ...facts,
    inputs: facts.inputs.map((input) => ({ ...input, name: publicPath(input.name) })),
    findings: facts.findings.map((file) => ({ ...file, path: publicPath(file.path) })),
    machines,
    comparison: comparisonOf(machines),
    gaps,
    warnings: withoutRepeats(warnings),
    cautions: [...new Set(gaps.flatMap((gap) => gap.cautions))].map(sayCaution),
  }
}

function publicWarning(warning: Warning): Warning {
  return 'file' in warning ? { ...warning, file: publicPath(warning.file) } : warning
}

function comparisonOf(machines: readonly TestedMachine[]): ChipComparison | null {
  const chips = oneOfEachChip(machines)
  const [first] = chips
  const alike = chips.every(({ chip }) => isSameWorkload(chip.workload, first!.chip.workload))
  if (chips.length < 2 || !alike) return null
  return compareChips({ machines: chips.map(comparedMachine) })
}

/** The first machine against each other one of the same workload. */
function gapsOf(machines: readonly TestedMachine[]): readonly Gap[] {
  const [first, ...others] = machines
  return others
    .filter((other) => isSameWorkload(other.chip.workload, first!.chip.workload))
    .map((other) => explainGap({ a: gapMachine(first!), b: gapMachine(other) }))
}

/** The first machine of each chip. */
export function oneOfEachChip(machines: readonly TestedMachine[]): readonly TestedMachine[] {
  const names = machines.map((machine) => machine.chip.name)
  return machines.filter((machine, index) => names.indexOf(machine.chip.name) === index)
}

/** A tested machine as `compareChips` takes it. */
export function comparedMachine(machine: TestedMachine): ComparedMachine {
  return {
    machine: machine.machine,
    chip: machine.chip,
    sustainedW: machine.chassis.sustainedW.value,
    sustained: machine.chassis.sustainedW,
  }
}

function withoutRepeats<T extends { readonly message: string }>(items: readonly T[]): readonly T[] {
  const messages = items.map((item) => item.message)
  return items.filter((item, index) => messages.indexOf(item.message) === index)
}
