import { mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, describe, expect, it } from 'vitest'
import { checkFiles } from '../../src/audit/checkFiles.js'
import type { Finding } from '../../src/audit/finding.js'
import type { ChassisKind } from '../worlds/chassisTruth.js'
import type { Fault } from '../worlds/faults.js'
import { CLEAN_LOGGER } from '../worlds/logger.js'
import { makeWorld, type World, type WorldOptions } from '../worlds/makeWorld.js'

const folder = mkdtempSync(join(tmpdir(), 'holdwatt-audit-'))
afterAll(() => rmSync(folder, { recursive: true, force: true }))

let count = 0

/** Writes a simulated test as a reviewer would have it and returns the path of its sheet. */
function written(world: World, sheet = world.sheetYaml): string {
  const here = join(folder, String(count++))
  const name = (log: string) => `${here.split('/').at(-1)}-${log}`
  let yaml = sheet
  for (const log of world.logs) {
    writeFileSync(join(folder, name(log.name)), log.bytes)
    yaml = yaml.replaceAll(log.name, name(log.name))
  }
  writeFileSync(`${here}.yaml`, yaml)
  return `${here}.yaml`
}

async function findingsOf(seed: number, options: WorldOptions): Promise<readonly Finding[]> {
  const world = makeWorld(seed, {
    plan: 'loop',
    dialect: 'plain',
    timed: true,
    gapS: 5,
    better: 'higher',
    scatter: 0.004,
    ...options,
  })
  const [file] = await checkFiles([written(world)])
  return file!.findings
}

const codes = (findings: readonly Finding[]) => findings.map((finding) => finding.code)

describe('the audit', () => {
  it.each<[ChassisKind, number]>([
    ['one-step', 11],
    ['two-step', 12],
    ['heat', 13],
    ['timed', 14],
  ])('finds nothing to caution of in a clean test (%s, seed %i)', async (kind, seed) => {
    const findings = await findingsOf(seed, { kind, logger: 'clean' })
    const serious = findings.filter((finding) => finding.severity !== 'note')
    // A burst shorter than four samples is cautioned of rightly, whatever the logger.
    expect(codes(serious).filter((code) => code !== 'sampling-coarse')).toEqual([])
  })

  it.each([31, 32, 33])('calls nothing unsafe in a test logged as loggers log (seed %i)', async (seed) => {
    const kind = (['one-step', 'two-step', 'timed'] as const)[seed % 3]!
    const findings = await findingsOf(seed, {
      kind,
      dialect: 'random',
      logger: { ...CLEAN_LOGGER, noiseW: 0.6, jitter: 0.02, drops: 0.01, spikes: 0.001 },
    })
    expect(codes(findings.filter((finding) => finding.severity === 'unsafe'))).toEqual([])
  })

  it.each<[Fault, string, Finding['severity']]>([
    ['startWarm', 'started-warm', 'caution'],
    ['backgroundBeforeStart', 'background-load', 'caution'],
    ['lateStart', 'load-before-log', 'unsafe'],
    ['gap', 'gap', 'unsafe'],
    ['clockJump', 'clock-jump', 'unsafe'],
    ['stuckSensor', 'sensor-stuck', 'unsafe'],
    ['clippedSensor', 'sensor-clipped', 'unsafe'],
    ['coarseQuantum', 'quantised-coarsely', 'caution'],
    ['swappedScores', 'scores-out-of-order', 'unsafe'],
    ['wrongTimes', 'run-times-wrong', 'unsafe'],
    ['otherClock', 'run-times-moved', 'unsafe'],
    ['noisyRuns', 'runs-scatter', 'caution'],
    ['tooFewRuns', 'too-few-runs', 'caution'],
    ['mixedModes', 'modes-mixed', 'caution'],
    ['wrongBetter', 'score-contradicts-better', 'unsafe'],
  ])('finds a planted %s as %s, on every seed', async (fault, code, severity) => {
    for (const seed of [21, 22]) {
      const logger = { ...CLEAN_LOGGER, noiseW: 0.5 }
      const scatter = fault === 'noisyRuns' ? {} : { scatter: 0.004 }
      const world = makeWorld(seed, {
        kind: 'two-step',
        plan: 'loop',
        dialect: 'plain',
        timed: true,
        gapS: 5,
        better: 'higher',
        logger,
        ...scatter,
        faults: [fault],
      })
      const [file] = await checkFiles([written(world)])
      const found = file!.findings.find((finding) => finding.code === code)
      expect(found, `seed ${seed}: ${codes(file!.findings).join(', ')}`).toBeDefined()
      expect(found!.severity).toBe(severity)
    }
  })

  it('cautions of a missing ambient where heat decides, and only there', async () => {
    const hot = await findingsOf(41, { kind: 'heat', logger: 'clean', faults: ['missingAmbient'] })
    expect(codes(hot)).toContain('ambient-missing')
    const limited = await findingsOf(42, { kind: 'one-step', logger: 'clean', faults: ['missingAmbient'] })
    expect(codes(limited)).not.toContain('ambient-missing')
  })

  it('calls a load unsettled when it ends before its drop', async () => {
    const world = makeWorld(52, { kind: 'two-step', plan: 'hold-short', dialect: 'plain', logger: 'clean' })
    const path = join(folder, 'short.csv')
    writeFileSync(path, world.logs[0]!.bytes)
    const [file] = await checkFiles([path])
    expect(file!.findings[0]).toMatchObject({ code: 'not-settled', severity: 'unsafe' })
  })

  it('cautions of sampling that is too coarse for the burst', async () => {
    const findings = await findingsOf(61, { kind: 'two-step', logger: { ...CLEAN_LOGGER, everyS: 5 } })
    expect(codes(findings)).toContain('sampling-coarse')
  })

  it('cautions of runs at one power, which tell no slope', async () => {
    expect(codes(await findingsOf(71, { kind: 'flat', logger: 'clean' }))).toContain('one-power')
  })

  it('takes runs of a fixed length, whose scores differ with the power, for no fault', async () => {
    const world = makeWorld(81, {
      kind: 'two-step',
      plan: 'loop',
      dialect: 'plain',
      timed: true,
      gapS: 5,
      better: 'higher',
      logger: 'clean',
      scatter: 0.002,
    })
    const runs = world.truth.runs.slice(0, 6).map((run) => {
      const endS = run.startS + 35
      return `      - { start: ${run.startS.toFixed(1)} s, end: ${endS.toFixed(1)} s, score: ${Math.round(run.score)} }`
    })
    const yaml = world.sheetYaml.replace(/( *- \{[^\n]*score[^\n]*\n)+/, `${runs.join('\n')}\n`)
    const [file] = await checkFiles([written(world, yaml)])
    expect(codes(file!.findings)).not.toContain('run-times-wrong')
    expect(codes(file!.findings)).not.toContain('scores-out-of-order')
  })

  it('calls sheets of different work unsafe to compare, and sheets of the same work not', async () => {
    const world = makeWorld(91, {
      kind: 'one-step',
      plan: 'loop',
      dialect: 'plain',
      logger: 'clean',
      better: 'higher',
    })
    const first = written(world)
    const other = written(world, world.sheetYaml.replace(/name: .*/, 'name: something else'))
    const [a, b] = await checkFiles([first, other])
    expect(codes(a!.findings)).not.toContain('workloads-differ')
    expect(b!.findings.find((finding) => finding.code === 'workloads-differ')?.severity).toBe('unsafe')
    const alike = await checkFiles([first, written(world)])
    expect(codes(alike[1]!.findings)).not.toContain('workloads-differ')
  })

  it('finds nothing to conclude from in a log of idle power', async () => {
    const path = join(folder, 'idle.csv')
    const rows = Array.from({ length: 300 }, (_, i) => `${i},${(5 + 0.2 * Math.sin(i * i)).toFixed(2)}`)
    writeFileSync(path, `time_s,power_w\n${rows.join('\n')}\n`)
    const [file] = await checkFiles([path])
    expect(file!.findings.some((finding) => finding.severity === 'unsafe')).toBe(true)
    expect(['no-load', 'load-before-log', 'not-settled']).toContain(file!.findings[0]!.code)
  })
})
