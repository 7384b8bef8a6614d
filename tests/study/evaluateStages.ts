import { parseLog } from '../../src/log/parseLog.js'
import { findLoads } from '../../src/segment/findLoads.js'
import type { Load, Stage } from '../../src/segment/load.js'
import type { World } from '../worlds/makeWorld.js'
import { type Findings, makeFindings, type WorldFindings } from './coverageSample.js'

/** What `stages` says of an uninterrupted load, beside the truth. */
export async function evaluateStages(world: World): Promise<WorldFindings> {
  const findings = makeFindings(world.kind)
  await findings.attempt(`stages ${world.kind} ${world.seed}`, () => {
    const { trace } = parseLog(world.logs[0]!.bytes)
    const load = longest(findLoads(trace))
    findings.fact('load found', load !== undefined)
    if (load === undefined) return
    judgeSettled(findings, world, load)
    judgeStages(findings, world, load)
    judgeDecay(findings, world, load)
  })
  return findings.done()
}

export function longest(loads: readonly Load[]): Load | undefined {
  return [...loads].sort((a, b) => b.endS - b.startS - (a.endS - a.startS))[0]
}

function judgeSettled(findings: Findings, world: World, load: Load): void {
  const { truth } = world
  const { sustained } = load
  const missed = sustained.reached
    ? 'settled power, last drop not seen to come'
    : 'settled power, not reached'
  const name = truth.reached ? 'settled power, reached' : missed
  findings.interval(name, sustained.levelW, truth.sustainedW)
  findings.fact('reached is right', sustained.reached === truth.reached)
  if (!truth.reached) return
  findings.fact('settled power within 1 %', Math.abs(sustained.levelW.value / truth.sustainedW - 1) <= 0.01)
  findings.interval('settling time', sustained.settleAfterS, settledWithin(world, 0.02), 'seconds')
  const wanted =
    truth.cause === 'heat' && world.table.temperatureC.length === 0 ? 'undetermined' : truth.cause
  const said = load.stages.at(-1)?.heldBy.label
  const blind = world.dialect.temperature === null && truth.cause === 'heat' && said === 'undetermined'
  findings.fact('heldBy is right', said === wanted || blind)
}

/** Last time at which noise-free power was more than this part away from where it settles, s from the load's start. */
function settledWithin(world: World, part: number): number {
  const { simulation, sustainedW } = world.truth.hold
  let last = simulation.powerW.length - 1
  while (last > 0 && Math.abs(simulation.powerW[last]! / sustainedW - 1) <= part) last--
  return (last + 1) * simulation.stepS - simulation.loadStartS
}

function judgeStages(findings: Findings, world: World, load: Load): void {
  const { truth, logger } = world
  const starts = load.stages.slice(1)
  const tolerance = Math.max(2, 2 * logger.everyS)
  const nearest = truth.dropsS.map((dropS) => closest(starts, dropS))
  findings.fact(
    'drops found',
    truth.dropsS.every((dropS, i) => Math.abs((nearest[i]?.startS ?? 1e9) - dropS) <= tolerance),
  )
  for (const [i, dropS] of truth.dropsS.entries())
    findings.interval('edge', nearest[i]?.startInterval, dropS, 'seconds')
  if (truth.cause !== 'heat' && truth.reached)
    findings.fact('number of stages is right', load.stages.length === truth.levelsW.length)
  const edges = [truth.loadStartS, ...truth.dropsS, truth.loadEndS]
  for (const [i, levelW] of truth.levelsW.entries()) {
    const middle = (edges[i]! + edges[i + 1]!) / 2
    const stage = load.stages.find(({ startS, endS }) => startS <= middle && middle < endS)
    findings.interval(i === 0 ? 'level, first' : 'level, later', stage?.levelW, levelW)
  }
}

function closest(stages: readonly Stage[], atS: number): Stage | undefined {
  return [...stages].sort((a, b) => Math.abs(a.startS - atS) - Math.abs(b.startS - atS))[0]
}

/**
 * Power held at a ceiling by a two-stage network relaxes with one time constant: that of the zero of R1/(1 + s tau1) +
 * R2/(1 + s tau2). With more stages there are several and no single truth.
 */
function judgeDecay(findings: Findings, world: World, load: Load): void {
  const [die, rest, more] = world.chassis.thermal
  if (world.kind !== 'heat' || die === undefined || rest === undefined || more !== undefined) return
  const tauS = (die.rKPerW * rest.tauS + rest.rKPerW * die.tauS) / (die.rKPerW + rest.rKPerW)
  const decay = load.stages.map((stage) => stage.decay).filter((found) => found !== null)
  findings.interval('decay time constant', decay.at(-1)?.tauS, tauS)
}
