import { InputError } from '../../errors.js'
import { readInTurn } from '../../files/readInTurn.js'
import { fitMachine } from '../../machine/fitMachine.js'
import { fitTestChassis } from '../../machine/fitTestChassis.js'
import { readSubject, type Subject } from '../../machine/readSubject.js'
import { readTestedMachine } from '../../machine/readTestedMachine.js'
import type { Chassis } from '../../physics/loop/chassis.js'
import { USUAL_LOOP } from '../../physics/loop/usualLoop.js'
import type { LimitsAsked } from '../../predict/projection/completeLimits.js'
import type { ProjectionRequest } from '../../predict/projection/projectScore.js'
import type { Warning } from '../../warnings.js'
import { about, type ToldWarning } from '../output/answerDocument.js'

/** The options of `project` that say what to project into, in W, s and degrees C. */
export interface TargetOptions {
  readonly chassis?: string
  readonly sustained?: readonly number[]
  readonly burst?: number
  readonly burstFor?: number
  readonly shortTerm?: number
  readonly shortTermFor?: number
  readonly runs?: number
  readonly gap?: number
  readonly ambient?: number
}

/**
 * Reads the chip and the target of a projection from the paths and options of the command line.
 *
 * @throws InputError `target-missing`, `target-both-kinds`, `subject-wrong`, or what reading throws
 */
export async function projectionRequest(
  paths: readonly string[],
  options: TargetOptions,
): Promise<ProjectionRequest & { readonly warnings: readonly ToldWarning[] }> {
  requireOneTarget(options)
  const source = await readSource(paths)
  const target = options.chassis === undefined ? null : await readTarget(options.chassis)
  const sustainedW = options.sustained ?? []
  const loop = source.loop ?? USUAL_LOOP
  return {
    chip: source.chip,
    target: target?.chassis ?? limitsAsked(sustainedW, options),
    loop: { runs: options.runs ?? loop.runs, gapS: options.gap ?? loop.gapS },
    tested: source.chassis,
    asTested: source.asTested ?? null,
    ...(source.loop === null ? {} : { testedLoop: source.loop }),
    ...(sustainedW.length > 1 ? { sweepW: sustainedW } : {}),
    ...(options.ambient === undefined ? {} : { ambientC: options.ambient }),
    warnings:
      target === null ? source.warnings : [...about(source.name, source.warnings), ...target.warnings],
  }
}

/** For a sweep, the target that is told in full is its middle. */
function limitsAsked(sustainedW: readonly number[], options: TargetOptions): LimitsAsked {
  return {
    sustainedW: sustainedW[Math.floor((sustainedW.length - 1) / 2)]!,
    burstW: options.burst ?? null,
    burstForS: options.burstFor ?? null,
    shortTermW: options.shortTerm ?? null,
    shortTermForS: options.shortTermFor ?? null,
  }
}

function requireOneTarget(options: TargetOptions): void {
  const { chassis, sustained, burst, burstFor, shortTerm, shortTermFor } = options
  const numbers = [sustained, burst, burstFor, shortTerm, shortTermFor].some((value) => value !== undefined)
  if (chassis !== undefined && numbers) {
    throw new InputError(
      'target-both-kinds',
      'expected one target, --chassis or its limits in numbers, got both',
      {
        remedy: 'leave out --chassis, or --sustained, --burst and --short-term',
      },
    )
  }
  if (chassis === undefined && sustained === undefined) {
    throw new InputError('target-missing', 'expected a target, got none', {
      remedy: 'add --sustained 71W (what it holds), or --chassis FILE (a model or a sheet)',
    })
  }
}

interface ProjectionSource extends Pick<ProjectionRequest, 'chip' | 'tested' | 'asTested'> {
  /** Of the machine that was tested; of the chip where a model stands for it. */
  readonly name: string
  readonly chassis: Chassis | null
  readonly loop: ProjectionRequest['loop'] | null
  readonly warnings: readonly Warning[]
}

async function readSource(paths: readonly string[]): Promise<ProjectionSource> {
  const subjects = await readInTurn(paths, readSubject)
  const [first] = subjects
  if (first?.kind === 'chip' && subjects.length === 1) {
    return {
      name: first.chip.name,
      chip: first.chip,
      chassis: null,
      asTested: null,
      loop: null,
      warnings: [],
    }
  }
  // The chip's own chassis fills limits that were left out; how warm it got is not asked.
  const machine = await fitMachine(subjects.map(sheetOf), { thermal: false, criticism: false })
  const { chip, chassis, asTested, loop, warnings } = machine
  return { name: machine.machine, chip, chassis, asTested, loop, warnings }
}

function sheetOf(subject: Subject) {
  if (subject.kind === 'sheet') return subject.sheet
  throw new InputError('subject-wrong', `expected a test sheet, got a ${subject.kind} model`, {
    where: { file: subject.path },
    remedy:
      'give one or more test sheets of one chip, or one chip model alone; a chassis model goes behind --chassis',
  })
}

async function readTarget(
  path: string,
): Promise<{ readonly chassis: Chassis; readonly warnings: readonly ToldWarning[] }> {
  const subject = await readSubject(path)
  if (subject.kind === 'chassis') return { chassis: subject.chassis, warnings: [] }
  if (subject.kind === 'sheet') {
    const { chassis, warnings } = fitTestChassis(await readTestedMachine(subject.sheet))
    return { chassis, warnings: about(subject.sheet.machine, warnings) }
  }
  throw new InputError('subject-wrong', 'expected a chassis behind --chassis, got a chip model', {
    where: { file: path },
    remedy: 'write a chassis model with: holdwatt fit SHEET.yaml --chassis FILE.json',
  })
}
