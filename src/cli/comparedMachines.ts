import type { Chip } from '../curves/chip.js'
import { InputError } from '../errors.js'
import { fitMachine } from '../machine/fitMachine.js'
import { readSubject, type Subject } from '../machine/readSubject.js'
import type { ComparedMachine } from '../project/compareChips.js'
import { about, type ToldWarning } from './toldWarning.js'

interface ComparedMachines {
  readonly machines: readonly ComparedMachine[]
  readonly warnings: readonly ToldWarning[]
}

/**
 * Reads what is to be compared: one entry a chip, in the order named. Sheets of the same chip and workload are fitted
 * together and told as the machine of the first of them.
 *
 * @throws InputError `one-chip`, `workloads-differ`, `subject-wrong` for a chassis model, or what reading and fitting throws
 */
export async function comparedMachines(paths: readonly string[]): Promise<ComparedMachines> {
  const subjects = await Promise.all(paths.map(readSubject))
  const groups = new Map<string, Subject[]>()
  for (const subject of subjects) {
    const key = groupKey(subject)
    groups.set(key, [...(groups.get(key) ?? []), subject])
  }
  if (groups.size === 1 && paths.length > 1) throw oneChip(paths)
  const fitted = await Promise.all([...groups.values()].map(fitGroup))
  requireSameWork(fitted.map(({ machine }) => machine.chip))
  return {
    machines: fitted.map(({ machine }) => machine),
    warnings: fitted.flatMap(({ warnings }) => warnings),
  }
}

function oneChip(paths: readonly string[]): InputError {
  return new InputError(
    'one-chip',
    'two chips or more are needed to compare; all of these are tests of one',
    {
      where: { file: paths[1]! },
      remedy: 'why one machine scores less than another with the same chip is told by: holdwatt explain',
    },
  )
}

function requireSameWork([first, ...others]: readonly Chip[]): void {
  const other = others.find((chip) => chip.workload.name !== first!.workload.name)
  if (other === undefined) return
  const message = `chips can be compared on the same work only; \`${first!.workload.name}\` and \`${other.workload.name}\` came`
  throw new InputError('workloads-differ', message, {
    remedy: 'if it is the same work, write its name the same way in all sheets',
  })
}

function groupKey(subject: Subject): string {
  if (subject.kind === 'sheet') return JSON.stringify([subject.sheet.chip, subject.sheet.workload])
  return subject.path
}

async function fitGroup(
  group: readonly Subject[],
): Promise<{ readonly machine: ComparedMachine; readonly warnings: readonly ToldWarning[] }> {
  const first = group[0]!
  if (first.kind === 'chip') {
    const { chip } = first
    return { machine: { machine: chip.name, chip, sustainedW: null }, warnings: [] }
  }
  if (first.kind === 'chassis') {
    throw new InputError('subject-wrong', 'a test sheet or a chip model was needed, a chassis model came', {
      where: { file: first.path },
      remedy: 'write a chip model with: holdwatt fit SHEET.yaml --chip FILE.json',
    })
  }
  const sheets = group.flatMap((subject) => (subject.kind === 'sheet' ? [subject.sheet] : []))
  const { machine, chip, chassis, warnings } = await fitMachine(sheets)
  return {
    machine: { machine, chip, sustainedW: chassis.sustainedW.value },
    warnings: about(machine, warnings),
  }
}
