import type { ChassisKind } from '../worlds/chassisTruth.js'
import { chipTruth, drawChip } from '../worlds/chipTruth.js'
import { CHASSIS_KINDS, makeWorld, type World } from '../worlds/makeWorld.js'
import { randomStream } from '../worlds/randomStream.js'

/** One entry of the study: an uninterrupted load for `stages`, or three whole tests for `fit`, `project`, `compare`. */
export interface StudyItem {
  readonly part: 'stages' | 'test'
  readonly seed: number
  readonly kind: ChassisKind
  /** Evaluated at every level, not only at the one that is printed. */
  readonly everyLevel: boolean
}

/** The worlds of an entry. `other` has the same chip in another chassis, `rival` another chip of like size. */
export interface StudyWorlds {
  readonly item: StudyItem
  readonly world: World
  readonly other: World | undefined
  readonly rival: World | undefined
}

/** Entries from one seed on, all kinds of chassis alike. Whole tests are slow to fit: one in four is evaluated at every level. */
export function studyPlan(
  count: { readonly stages: number; readonly tests: number },
  seed: number,
): readonly StudyItem[] {
  const item = (part: StudyItem['part'], from: number) => (_: unknown, i: number) => ({
    part,
    seed: seed + from + i * 10,
    kind: CHASSIS_KINDS[i % CHASSIS_KINDS.length]!,
    everyLevel: part === 'stages' || i % 4 === 3,
  })
  return [
    ...Array.from({ length: count.stages }, item('stages', 0)),
    ...Array.from({ length: count.tests }, item('test', 5)),
  ]
}

/** Makes an entry's worlds: a third of the uninterrupted loads are cut before they settle. */
export function makeStudyWorlds(item: StudyItem): StudyWorlds {
  const { seed, kind } = item
  if (item.part === 'stages') {
    const short = kind !== 'flat' && Math.floor(seed / 60) % 3 === 2
    return {
      item,
      world: makeWorld(seed, { kind, plan: short ? 'hold-short' : 'hold' }),
      other: undefined,
      rival: undefined,
    }
  }
  const world = makeWorld(seed, {
    kind,
    names: { machine: 'Plover 14', chip: 'Plover X', chassis: 'Plover slim' },
  })
  const { chip, better, scoreScale, work } = world
  const others = CHASSIS_KINDS.filter((candidate) => candidate !== 'flat')
  const shared = { better, logName: 'other.csv' } as const
  const other = makeWorld(seed + 1, {
    ...shared,
    chip,
    scoreScale,
    work,
    kind: others[Math.floor(seed / 10) % others.length]!,
    names: { machine: 'Siskin 16', chip: 'Plover X', chassis: 'Siskin deep' },
  })
  const random = randomStream(seed + 3)
  const rivalDemandW = chip.demandAt(60) * random.uniform(0.75, 1.33)
  const rival = makeWorld(seed + 2, {
    chip: chipTruth(drawChip(random, 'Avocet Z', rivalDemandW)),
    better,
    logName: 'rival.csv',
    kind: others[Math.floor(seed / 20) % others.length]!,
    scoreScale,
    work,
    names: { machine: 'Avocet 15', chip: 'Avocet Z', chassis: 'Avocet flat' },
  })
  return { item, world, other, rival }
}
