import type { RandomStream } from '../randomStream.js'
import type { Ask, SessionMachine } from './machine.js'

export const LOAD_KINDS = [
  'short',
  'loop',
  'rounds',
  'flat',
  'heat',
  'fan',
  'game',
  'encode',
  'thread',
  'mode',
] as const
export type LoadKind = (typeof LOAD_KINDS)[number]

/** A load to come: what it asks from second to second, in one stretch or in rounds of fixed work. */
export interface LoadPlan {
  readonly kind: LoadKind
  readonly ask: (sinceS: number) => Ask
  readonly forS: number
  /** Rounds of fixed work, counted in seconds at full power; null for one stretch. */
  readonly rounds: { readonly count: number; readonly workS: number; readonly pauseS: number } | null
  /** The power limit that is set meanwhile, W; what a limit column shows. */
  readonly setLimitW: number
}

/** Plans a load of a kind for a machine. */
export function planLoad(kind: LoadKind, machine: SessionMachine, random: RandomStream): LoadPlan {
  const { peakW, budgets } = machine
  const full: Ask = {
    demandW: peakW * random.uniform(1.05, 1.6),
    budgets: true,
    heat: false,
    fan: false,
    limitW: Number.POSITIVE_INFINITY,
    clockShare: machine.clockAllShare,
    usePct: 99,
  }
  const heldW = budgets.at(-1)!.limitW
  const one = (forS: number, ask: (sinceS: number) => Ask, setLimitW = heldW): LoadPlan => ({
    kind,
    ask,
    forS,
    rounds: null,
    setLimitW,
  })
  const hot = { ...full, budgets: false, heat: true }
  switch (kind) {
    case 'short':
      return one(random.uniform(15, 60), () => full)
    case 'loop':
      return one(random.uniform(200, 600), () => full)
    case 'rounds': {
      const rounds = {
        count: random.integer(4, 11),
        workS: random.uniform(15, 50),
        pauseS: random.pick([random.uniform(4, 10), random.uniform(4, 10), random.uniform(10, 60)]),
      }
      return { kind, ask: () => full, forS: 0, rounds, setLimitW: heldW }
    }
    case 'flat': {
      const limitW = random.uniform(0.35, 0.7) * peakW
      return one(random.uniform(125, 450), () => ({ ...full, budgets: false, limitW }), limitW)
    }
    case 'heat':
      return one(random.uniform(250, 650), () => hot, 1.1 * peakW)
    case 'fan':
      return one(random.uniform(200, 800), () => ({ ...hot, fan: true }), 1.1 * peakW)
    case 'mode': {
      const lowW = random.uniform(0.4, 0.6) * heldW
      const [fromS, toS] = [random.uniform(20, 60), random.uniform(80, 150)]
      return one(random.uniform(300, 600), (sinceS) =>
        sinceS > fromS && sinceS < toS ? { ...full, limitW: lowW } : full,
      )
    }
    default:
      return one(random.uniform(125, 300), demandOf(kind, machine, random))
  }
}

function demandOf(
  kind: 'game' | 'encode' | 'thread',
  machine: SessionMachine,
  random: RandomStream,
): (sinceS: number) => Ask {
  const share = {
    game: random.uniform(0.25, 0.45),
    encode: random.uniform(0.2, 0.35),
    thread: random.uniform(0.14, 0.25),
  }[kind]
  const usePct = {
    game: random.uniform(30, 70),
    encode: random.uniform(40, 70),
    thread: random.uniform(6, 16),
  }[kind]
  const ask = {
    budgets: false,
    heat: false,
    fan: false,
    limitW: Number.POSITIVE_INFINITY,
    clockShare: 1,
    usePct,
  }
  const meanW = share * machine.peakW
  const waveS = random.uniform(6, 15)
  let swing = 0
  return (sinceS) => {
    // A scene lasts for seconds; an encoder goes through groups of pictures.
    if (kind === 'game') swing += 0.02 * (random.normal() * 0.9 - swing)
    const moved = { game: 0.9 * swing, encode: 0.03 * Math.sin((2 * Math.PI * sinceS) / waveS), thread: 0 }[
      kind
    ]
    return { ...ask, demandW: meanW * (1 + Math.max(-0.4, Math.min(0.6, moved))) }
  }
}
