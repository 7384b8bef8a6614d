import { InputError } from '../../errors.js'
import { type AsTested, machinesAsTested } from '../../machine/asTested.js'
import { fitMachine } from '../../machine/fitMachine.js'
import type { Subject } from '../../machine/readSubject.js'
import type { Chip } from '../../physics/chip/chip.js'
import type { ComparedMachine } from '../../predict/comparison/compareChips.js'
import { groupKey, type TestSheet } from '../../sheet/testSheet.js'
import { about, type ToldWarning } from '../output/answerDocument.js'

/** What is compared, and what was to be said of its tests. */
export interface ComparedMachines {
  /** One for each chip: the machine of its first sheet. */
  readonly machines: readonly ComparedMachine[]
  /** Every machine, in the order named. */
  readonly tested: readonly ComparedMachine[]
  readonly warnings: readonly ToldWarning[]
}

/** The machines of one chip in the order of their sheets, and what was to be said of their tests. */
export interface FittedForComparison {
  readonly machines: readonly ComparedMachine[]
  readonly warnings: readonly ToldWarning[]
}

/** Fits groups of sheets, each of one chip and workload; undefined for a group that gave nothing and was reported. */
export type FitGroups = (
  groups: readonly (readonly TestSheet[])[],
) => Promise<readonly (FittedForComparison | undefined)[]>

/**
 * What is to be compared: the chips in the order named, and every machine. Sheets of the same chip and workload are fitted together.
 *
 * @param fitGroups - where fits are made; in this thread when left out
 * @throws InputError `one-chip`, `workloads-differ`, `subject-wrong` for a chassis model, or what fitting throws
 */
export async function comparedMachines(
  subjects: readonly Subject[],
  fitGroups: FitGroups = fitHere,
): Promise<ComparedMachines> {
  const groups = new Map<string, Subject[]>()
  for (const subject of subjects) {
    const key = subject.kind === 'sheet' ? groupKey(subject.sheet) : subject.path
    groups.set(key, [...(groups.get(key) ?? []), subject])
  }
  if (groups.size === 1 && subjects.length > 1) throw oneChip(subjects[1]!)
  const sheets = [...groups].flatMap(([key, group]) => {
    const of = group.flatMap((subject) => (subject.kind === 'sheet' ? [subject.sheet] : []))
    return of.length === 0 ? [] : [{ key, sheets: of }]
  })
  const fits = await fitGroups(sheets.map((group) => group.sheets))
  const fitOf = new Map(sheets.map(({ key }, index) => [key, fits[index]]))
  const fitted = [...groups].flatMap(([key, group]) => {
    const [first] = group
    const of = first!.kind === 'sheet' ? fitOf.get(key) : { machines: [machineOfModel(first!)], warnings: [] }
    return of === undefined ? [] : [{ ...of, group }]
  })
  const machines = fitted.map((of) => of.machines[0]!)
  requireSameWork(machines.map(({ chip }) => chip))
  const machineOf = new Map(
    fitted.flatMap((of) => of.group.map((subject, at) => [subject, of.machines[at]!])),
  )
  return {
    machines,
    tested: subjects.flatMap((subject) => machineOf.get(subject) ?? []),
    warnings: fitted.flatMap(({ warnings }) => warnings),
  }
}

const fitHere: FitGroups = (groups) =>
  Promise.all(
    groups.map(async (sheets) => {
      const fitted = await fitMachine(sheets, { criticism: false })
      return fittedForComparison({ ...fitted, tested: machinesAsTested(fitted) })
    }),
  )

/** The machines of a fit as comparisons take them; each warning is about the machine, or else the chip, that it comes from. */
export function fittedForComparison(fit: {
  readonly chip: Chip
  readonly tested: readonly AsTested[]
  readonly warnings: readonly ToldWarning[]
}): FittedForComparison {
  const { chip, tested, warnings } = fit
  const ofTests = tested.flatMap((test) => about(test.machine, test.warnings))
  const known = new Set(tested.flatMap((test) => test.warnings.map((warning) => JSON.stringify(warning))))
  const ofChip = warnings.filter((warning) => !known.has(JSON.stringify(warning)))
  return {
    machines: tested.map(({ machine, sustainedW, steadyScore }) => {
      return { machine, chip, sustainedW: sustainedW.value, sustained: sustainedW, steadyScore }
    }),
    warnings: [...ofTests, ...about(chip.name, ofChip)],
  }
}

function oneChip(second: Subject): InputError {
  return new InputError('one-chip', 'expected two chips or more, got tests of one', {
    where: { file: second.kind === 'sheet' ? second.sheet.file : second.path },
    remedy: 'why one machine scores less than another with the same chip is told by: holdwatt explain',
  })
}

function requireSameWork([first, ...others]: readonly Chip[]): void {
  const other = others.find((chip) => chip.workload.name !== first!.workload.name)
  if (other === undefined) return
  const message = `expected chips that did the same work, got \`${first!.workload.name}\` and \`${other.workload.name}\``
  throw new InputError('workloads-differ', message, {
    remedy:
      'if it is the same work, write its name the same way in all sheets; an archive of several workloads is told by: holdwatt survey',
  })
}

/** A chip model is a machine without a chassis. */
function machineOfModel(subject: Exclude<Subject, { readonly kind: 'sheet' }>): ComparedMachine {
  if (subject.kind === 'chip') {
    const { chip } = subject
    return { machine: chip.name, chip, sustainedW: null }
  }
  throw new InputError('subject-wrong', 'expected a test sheet or a chip model, got a chassis model', {
    where: { file: subject.path },
    remedy: 'write a chip model with: holdwatt fit SHEET.yaml --chip FILE.json',
  })
}
