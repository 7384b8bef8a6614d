import type { RandomStream } from '../randomStream.js'

/** A made-up machine whose sessions are logged: powers in W, times in s. */
export interface SessionMachine {
  /** Asleep, and awake: with a part that cools away after work. */
  readonly idleDeepW: number
  readonly idleAwakeW: number
  readonly idleCoolingW: number
  /** Seconds that the machine stays awake after work. */
  readonly awakeS: number
  /** What the meter sees besides: supply, memory, board. */
  readonly baseW: number
  readonly peakW: number
  readonly budgets: readonly { readonly limitW: number; readonly tauS: number }[]
  /** Time constant with which power closes in on what is allowed. */
  readonly approachS: number
  readonly ambientC: number
  readonly thermal: readonly { readonly rKPerW: number; readonly tauS: number }[]
  readonly ceilingC: number
  /** How far and how slowly fans make the resistances less, once it is hot. */
  readonly fan: { readonly share: number; readonly tauS: number }
  readonly clockMaxGHz: number
  /** Clock of all cores at full power, as a share of the highest. */
  readonly clockAllShare: number
}

/** Draws a machine: from a phone's board to a card, behind its own sensor or a meter at the wall. */
export function drawMachine(random: RandomStream): SessionMachine {
  const peakW = random.logUniform(25, 400)
  const atWall = random.chance(0.25)
  const held = random.uniform(0.55, 0.8) * peakW
  const twoBudgets = random.chance(0.35)
  const ceilingC = random.uniform(80, 100)
  const resistance = (ceilingC - 22) / held
  const part = random.uniform(0.3, 0.5)
  return {
    idleDeepW: random.uniform(0.02, 0.05) * peakW,
    idleAwakeW: random.uniform(0.05, 0.1) * peakW,
    idleCoolingW: random.uniform(0, 0.03) * peakW,
    awakeS: random.uniform(30, 200),
    baseW: atWall ? random.uniform(0.1, 0.7) * peakW : 0,
    peakW,
    budgets: [
      ...(twoBudgets ? [{ limitW: random.uniform(0.82, 0.9) * peakW, tauS: random.uniform(4, 10) }] : []),
      { limitW: held, tauS: random.uniform(15, 80) },
    ],
    approachS: random.uniform(0.4, 1.2),
    ambientC: random.uniform(18, 27),
    thermal: [
      { rKPerW: part * resistance, tauS: random.uniform(1, 5) },
      { rKPerW: (1 - part) * resistance, tauS: random.uniform(30, 120) },
    ],
    ceilingC,
    fan: { share: random.uniform(0.08, 0.2), tauS: random.uniform(60, 200) },
    clockMaxGHz: random.uniform(1.5, 5.5),
    clockAllShare: random.uniform(0.82, 0.96),
  }
}

/** What is asked of the machine in one step, and what may hold it. */
export interface Ask {
  readonly demandW: number
  /** Whether budgets act, whether the temperature's ceiling does, and whether fans speed up then. */
  readonly budgets: boolean
  readonly heat: boolean
  readonly fan: boolean
  /** A set limit at once; infinite when there is none. */
  readonly limitW: number
  /** The clock when nothing holds it down, as a share of the highest. */
  readonly clockShare: number
  readonly usePct: number
}

export type Holder = 'demand' | 'peak' | 'budget' | 'limit' | 'heat'

export interface MachineState {
  readonly powerW: number
  readonly temperatureC: number
  readonly clockGHz: number
  readonly usePct: number
  readonly holder: Holder | 'idle'
}

/** The machine in small steps: every step asks each limit what it allows and takes the least. */
export function startMachine(machine: SessionMachine, stepS: number) {
  const averages = machine.budgets.map(() => machine.idleDeepW)
  const warmth = machine.thermal.map(({ rKPerW }) => rKPerW * machine.idleDeepW)
  let powerW = machine.idleDeepW
  let heatIntegralW = machine.peakW
  let cooling = 1
  let hotS = 0
  const settle = (nextW: number) => {
    powerW = nextW
    machine.budgets.forEach(({ tauS }, k) => {
      averages[k]! += (1 - Math.exp(-stepS / tauS)) * (powerW - averages[k]!)
    })
    machine.thermal.forEach(({ rKPerW, tauS }, k) => {
      warmth[k]! += (1 - Math.exp(-stepS / tauS)) * (cooling * rKPerW * powerW - warmth[k]!)
    })
  }
  const temperatureC = () => machine.ambientC + warmth.reduce((sum, part) => sum + part, 0)
  const heatCap = () => {
    const roomK = machine.ceilingC - temperatureC()
    const gainW = 0.02 * machine.peakW
    heatIntegralW = Math.min(machine.peakW, Math.max(0, heatIntegralW + (gainW * roomK * stepS) / 12))
    return Math.max(0.2 * machine.peakW, heatIntegralW + gainW * roomK)
  }
  const isIdle = (): MachineState['holder'] => 'idle'
  return {
    rest(idleW: number): MachineState {
      heatIntegralW = machine.peakW
      hotS = 0
      cooling += (1 - Math.exp(-stepS / 30)) * (1 - cooling)
      settle(idleW)
      return {
        powerW,
        temperatureC: temperatureC(),
        clockGHz: 0.2 * machine.clockMaxGHz,
        usePct: 1,
        holder: isIdle(),
      }
    },
    work(ask: Ask): MachineState {
      const allowed: [Holder, number][] = [
        ['demand', ask.demandW],
        ['peak', machine.peakW],
        ['limit', ask.limitW],
      ]
      if (ask.budgets)
        machine.budgets.forEach(({ limitW }, k) => {
          if (averages[k]! >= limitW) allowed.push(['budget', limitW])
        })
      if (ask.heat) allowed.push(['heat', heatCap()])
      const [holder, capW] = allowed.reduce((least, next) => (next[1] < least[1] ? next : least))
      if (holder === 'heat') hotS += stepS
      if (ask.fan && hotS > 0)
        cooling += (1 - Math.exp(-stepS / machine.fan.tauS)) * (1 - machine.fan.share - cooling)
      const rising = capW > powerW + 0.2 * machine.peakW
      const approachS = rising || holder === 'demand' || holder === 'heat' ? 0.1 : machine.approachS
      settle(powerW + (1 - Math.exp(-stepS / approachS)) * (capW - powerW))
      const share = Math.min(1, powerW / ask.demandW) ** 0.45
      return {
        powerW,
        temperatureC: temperatureC(),
        clockGHz: machine.clockMaxGHz * ask.clockShare * share,
        usePct: ask.usePct,
        holder,
      }
    },
  }
}
