import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import * as z from 'zod'
import { type Ended, runBuilt, runInside } from './commandLine.js'

// What callers may rely on: names, units and meaning of the fields of each command's JSON document. Fields may be added.

const folder = mkdtempSync(join(tmpdir(), 'holdwatt-documents-'))
afterAll(() => rmSync(folder, { recursive: true, force: true }))

const finite = z.number()
const estimate = z
  .object({ value: finite, low: finite, high: finite, level: z.literal(0.9) })
  .refine(({ value, low, high }) => low <= value && value <= high, 'low <= value <= high')
const heldBy = z.enum(['power-limit', 'heat', 'demand', 'undetermined'])
const head = {
  tool: z.literal('holdwatt'),
  version: z.string(),
  warnings: z.array(z.object({ code: z.string(), message: z.string() })),
}
const run = z.object({
  score: estimate,
  durationS: estimate.nullable(),
  meanW: estimate,
  energyWh: estimate.nullable(),
  perWatt: estimate,
})
const range = z.tuple([finite, finite])

const DOCUMENTS = {
  check: z.object({
    ...head,
    command: z.literal('check'),
    files: z.array(
      z.object({
        path: z.string(),
        findings: z.array(
          z.object({
            code: z.string(),
            severity: z.enum(['note', 'caution', 'unsafe']),
            message: z.string(),
            atS: finite.nullable(),
          }),
        ),
      }),
    ),
  }),
  stages: z.object({
    ...head,
    command: z.literal('stages'),
    log: z.object({
      path: z.string(),
      samples: finite,
      durationS: finite,
      intervalS: finite,
      timeColumn: z.string().nullable(),
      powerColumn: z.string(),
      temperatureColumn: z.string().nullable(),
      clockColumn: z.string().nullable(),
      skipped: z.array(z.object({ line: finite, reason: z.string() })),
    }),
    loads: z.array(
      z.object({
        startS: finite,
        endS: finite,
        stages: z
          .array(
            z.object({
              label: z.enum(['burst', 'short-term', 'sustained']),
              shape: z.enum(['level', 'decay']),
              startS: finite,
              endS: finite,
              levelW: estimate,
              decay: z.object({ fromW: finite, towardW: estimate, tauS: estimate }).nullable(),
              heldBy: z.object({ label: heldBy, evidence: z.array(z.string()) }),
            }),
          )
          .min(1),
        sustained: z.object({
          reached: z.boolean(),
          levelW: estimate,
          fromS: finite.nullable(),
          settleAfterS: estimate.nullable(),
        }),
        runs: z.array(z.object({ startS: finite, endS: finite, meanW: finite, energyWh: finite })),
      }),
    ),
  }),
  fit: z.object({
    ...head,
    command: z.literal('fit'),
    chip: z.object({
      name: z.string(),
      workload: z.object({ name: z.string(), score: z.string(), better: z.enum(['higher', 'lower']) }),
      measuredRangeW: range,
      curve: z
        .array(z.object({ powerW: finite, score: estimate, perWatt: estimate, elasticity: estimate }))
        .min(5),
    }),
    chassis: z.object({
      name: z.string(),
      burstW: estimate,
      burstHoldS: estimate.nullable(),
      shortTermW: estimate.nullable(),
      shortTermHoldS: estimate.nullable(),
      sustainedW: estimate,
      budgets: z.array(z.object({ limitW: estimate, tauS: estimate })),
      thermal: z
        .object({
          resistanceKPerW: estimate,
          stages: z.array(z.object({ rKPerW: finite, tauS: finite })),
          ceilingC: finite.nullable(),
        })
        .nullable(),
    }),
    runs: z
      .array(
        z.object({
          startS: finite,
          endS: finite.nullable(),
          meanW: finite,
          score: finite,
          fittedScore: finite,
        }),
      )
      .min(1),
  }),
  project: z.object({
    ...head,
    command: z.literal('project'),
    chip: z.string(),
    target: z.object({
      burstW: finite,
      burstForS: finite.nullable(),
      shortTermW: finite.nullable(),
      shortTermForS: finite.nullable(),
      sustainedW: finite,
    }),
    first: run,
    steady: run,
    change: z.object({ firstPct: estimate.nullable(), steadyPct: estimate.nullable() }),
    extrapolation: z.object({ measuredRangeW: range, targetRangeW: range, outside: z.boolean() }),
    sweep: z.array(z.object({ sustainedW: finite, first: run, steady: run })),
  }),
  compare: z.object({
    ...head,
    command: z.literal('compare'),
    machines: z.array(
      z.object({
        machine: z.string(),
        chip: z.string(),
        sustainedW: finite.nullable(),
        score: estimate.nullable(),
      }),
    ),
    at: z
      .array(
        z.object({
          powerW: finite,
          scores: z.array(z.object({ chip: z.string(), score: estimate, perWatt: estimate })).min(2),
          ratio: estimate,
          probabilityFirstAhead: z.number().min(0).max(1),
          extrapolated: z.array(z.string()),
        }),
      )
      .min(1),
    crossovers: z.array(
      z.object({
        between: z.tuple([z.string(), z.string()]),
        powerW: estimate,
        probability: z.number(),
        aheadBelow: z.string(),
        extrapolated: z.array(z.string()),
      }),
    ),
  }),
  explain: z.object({
    ...head,
    command: z.literal('explain'),
    ratio: estimate,
    parts: z.array(z.object({ name: z.string(), logRatio: estimate, percent: estimate })).min(3),
    heldBy: z.object({ a: heldBy, b: heldBy }),
    text: z.string().min(50),
  }),
  plan: z.object({
    ...head,
    command: z.literal('plan'),
    settleS: estimate,
    runsNeeded: z.number().int().positive(),
    restS: estimate,
    sampleEveryS: z.number().positive(),
    reasons: z.array(z.string()).min(1),
  }),
} as const

const chipFile = join(folder, 'chip.json')
const chassisFile = join(folder, 'chassis.json')

const COMMANDS: readonly (readonly [keyof typeof DOCUMENTS, string])[] = [
  ['check', 'samples/heron.yaml samples/ibis-loop.tsv'],
  ['stages', 'samples/heron-loop.csv'],
  ['stages', 'samples/ibis-loop.tsv'],
  ['stages', 'samples/bittern-compile.csv'],
  ['fit', 'samples/heron.yaml'],
  ['fit', 'samples/bittern-noted.yaml'],
  ['project', 'samples/bittern-noted.yaml --sustained 55W'],
  ['project', `${chipFile} --sustained 40W:100W:20W --runs 4`],
  ['project', `samples/heron-compile.yaml --chassis ${chassisFile}`],
  ['compare', `${chipFile} samples/ibis.yaml --at 50W,60W`],
  ['explain', 'samples/heron.yaml samples/bittern-noted.yaml'],
  ['plan', 'samples/heron-compile.yaml'],
  ['plan', 'samples/bittern-loop.csv'],
]

describe('a JSON document', () => {
  beforeAll(async () => {
    await runInside(['fit', 'samples/bittern-noted.yaml', '--chip', chipFile, '--chassis', chassisFile])
  })

  it.each(COMMANDS)(
    'of %s %s holds what the contract says and nothing else is on stdout',
    async (command, words) => {
      const ended = await runInside([command, ...words.split(' '), '--json'])
      expect(ended.stderr).toBe('')
      const document = parsed(ended)
      expect(DOCUMENTS[command].safeParse(document).error).toBeUndefined()
      expect(ended.stdout).not.toMatch(/\bNaN\b|Infinity|undefined/)
    },
  )

  it('of the built command is the same as that of its source', async () => {
    const words = ['plan', 'samples/bittern-loop.csv', '--json']
    const [built, inside] = await Promise.all([runBuilt(words), runInside(words)])
    expect({ ...(parsed(built) as object), version: '' }).toEqual({
      ...(parsed(inside) as object),
      version: '',
    })
  })

  it('of explain has parts that add up to ln(ratio) exactly, and that change sign when the machines are swapped', async () => {
    const pair = ['samples/heron.yaml', 'samples/bittern-noted.yaml']
    const explained = async (words: readonly string[]) =>
      DOCUMENTS.explain.parse(parsed(await runInside(['explain', ...words, '--json'])))
    const forward = await explained(pair)
    const total = forward.parts.reduce((sum, part) => sum + part.logRatio.value, 0)
    expect(Math.exp(total)).toBeCloseTo(forward.ratio.value, 9)
    const backward = await explained([...pair].reverse())
    for (const part of forward.parts) {
      const other = backward.parts.find(({ name }) => name === part.name)!
      expect(other.logRatio.value).toBeCloseTo(-part.logRatio.value, 9)
    }
  })
})

describe('the exit status of check', () => {
  it('is 0 for a test that is safe to draw conclusions from, and 3 for one that is not', async () => {
    expect((await runInside(['check', 'samples/bittern-loop.csv'])).status).toBe(0)
    const { status, stdout } = await runInside([
      'check',
      'samples/heron.yaml',
      'samples/heron-compile.yaml',
      '--json',
    ])
    expect(status).toBe(3)
    expect(DOCUMENTS.check.parse(JSON.parse(stdout)).files[1]!.findings[0]).toMatchObject({
      code: 'workloads-differ',
      severity: 'unsafe',
    })
  })
})

function parsed({ stdout }: Ended): unknown {
  return JSON.parse(stdout)
}
