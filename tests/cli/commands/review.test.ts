import { beforeAll, describe, expect, it } from 'vitest'
import * as z from 'zod'
import { REVIEW_MACHINES, REVIEW_TASKS, taskWorld } from '../../../samples/review.js'
import { scoreAt } from '../../worlds/makeWorld.js'
import { runInside } from '../commandLine.js'

const SHEETS = ['heron-14', 'heron-12', 'ibis-15'].map((name) => `samples/review/${name}.yaml`)

const estimate = z
  .object({ value: z.number(), low: z.number(), high: z.number(), level: z.literal(0.9) })
  .refine(({ value, low, high }) => low <= value && value <= high, 'low <= value <= high')
const part = z.object({
  name: z.enum(['chip', 'power', 'temperature', 'rest']),
  logRatio: estimate,
  percent: estimate,
})
const meanRatio = z.object({ ratio: estimate, workloads: z.array(z.string()) })
const REVIEW = z.object({
  tool: z.literal('holdwatt'),
  command: z.literal('review'),
  warnings: z.array(z.object({ code: z.string(), message: z.string() })),
  machines: z.array(
    z.object({ file: z.string(), machine: z.string(), chip: z.string(), chassis: z.string() }),
  ),
  results: z.array(
    z.object({
      workload: z.string(),
      metric: z.string(),
      unit: z.string(),
      better: z.enum(['higher', 'lower']),
      mode: z.string().nullable(),
      inMeans: z.boolean(),
      basis: z.enum(['steady', 'all']),
      atW: z.number().nullable(),
      atC: z.number().nullable(),
      machines: z.array(
        z.object({
          machine: z.string(),
          chip: z.string(),
          runs: z.number(),
          score: estimate,
          powerW: z.number().nullable(),
          heldBy: z.enum(['power-limit', 'heat', 'demand', 'undetermined']).nullable(),
          elasticity: estimate.nullable(),
          dependsOnPower: z.enum(['yes', 'no', 'task', 'unclear']).nullable(),
          atEqualPower: z
            .object({ score: estimate, perWatt: estimate, extrapolated: z.boolean() })
            .nullable(),
        }),
      ),
      pairs: z.array(
        z.object({
          a: z.string(),
          b: z.string(),
          asTested: estimate,
          atEqualPower: estimate.nullable(),
          probabilityFirstAhead: z.number().min(0).max(1).nullable(),
          parts: z.array(part).nullable(),
          powerExplains: z.enum(['nothing', 'something', 'unclear']).nullable(),
        }),
      ),
    }),
  ),
  means: z.array(
    z.object({
      a: z.string(),
      b: z.string(),
      mode: z.string().nullable(),
      asTested: meanRatio,
      atEqualPower: meanRatio.nullable(),
      parts: z.array(part).nullable(),
      asTestedThere: estimate.nullable(),
      leftOut: z.array(
        z.object({
          workload: z.string(),
          metric: z.string(),
          from: z.enum(['both', 'at equal power']),
          reason: z.enum(['another-metric', 'one-machine', 'no-power']),
        }),
      ),
    }),
  ),
  modes: z.array(
    z.object({
      machine: z.string(),
      mode: z.string().nullable(),
      against: z.string().nullable(),
      ratio: estimate,
      results: z.array(z.object({ workload: z.string(), metric: z.string(), ratio: estimate })),
    }),
  ),
  text: z.array(z.string()),
})

let review: z.output<typeof REVIEW>
beforeAll(async () => {
  review = REVIEW.parse(JSON.parse((await runInside(['review', ...SHEETS, '--json'])).stdout))
}, 60_000)

describe('a review of three machines', () => {
  it('tells every workload and metric in every mode, and the one without power as tested', () => {
    const names = review.results.map(({ workload, metric, mode }) => `${workload} ${metric} ${mode}`)
    expect(names).toHaveLength(8 + 1 + 8)
    const copy = review.results.find(({ workload }) => workload === 'nest copy')!
    expect(copy).toMatchObject({ atW: null, atC: null, mode: 'mains', inMeans: true })
    expect(copy.machines.map(({ powerW, atEqualPower }) => [powerW, atEqualPower])).toEqual([
      [null, null],
      [null, null],
      [null, null],
    ])
  })

  it('holds what is true of the chips at equal power in nine of ten intervals', () => {
    const held = REVIEW_TASKS.flatMap((task) =>
      REVIEW_MACHINES.flatMap((machine) => {
        const result = review.results.find(
          ({ workload, mode }) => workload === task.name && mode === 'mains',
        )!
        const found = result.machines.find((of) => of.machine === machine.machine)!.atEqualPower!
        const world = taskWorld({ machine, task, chassis: machine.mains, seed: machine.seed })
        const truth = scoreAt(world, result.atW!, result.atC!)
        return [found.score.low <= truth && truth <= found.score.high]
      }),
    )
    expect(held).toHaveLength(18)
    expect(held.filter(Boolean).length).toBeGreaterThanOrEqual(15)
  })

  it('says of the thread that asks for no more that power explains none of it, whichever mode', () => {
    const own = review.results.filter(({ workload }) => workload === 'tally, one thread')
    expect(own.flatMap(({ pairs }) => pairs.map(({ powerExplains }) => powerExplains))).toEqual(
      Array(6).fill('nothing'),
    )
    const verdicts = own.flatMap(({ machines }) => machines.map(({ dependsOnPower }) => dependsOnPower))
    expect(verdicts).toEqual(Array(6).fill('task'))
  })

  it('has parts that multiply to the ratio as tested, in every pair and mean', () => {
    const sums = review.results.flatMap(({ pairs }) =>
      pairs.flatMap(({ parts, asTested }) =>
        parts === null
          ? []
          : [parts.reduce((sum, { logRatio }) => sum + logRatio.value, -Math.log(asTested.value))],
      ),
    )
    const ofMeans = review.means.map(({ parts, asTestedThere }) =>
      parts!.reduce((sum, { logRatio }) => sum + logRatio.value, -Math.log(asTestedThere!.value)),
    )
    expect(sums.length).toBe(16 * 3)
    for (const sum of [...sums, ...ofMeans]) expect(sum).toBeCloseTo(0, 9)
  })

  it('says what a reviewer may quote', () => {
    const text = review.text.map((each) => each.replaceAll('\u00a0', ' '))
    expect(text[0]).toMatch(
      /^Mains: Heron 14 is 7\.\d % faster than Heron 12 \(.* the geometric mean over 7 workloads\./,
    )
    expect(text[0]).toMatch(/At equal power, in the 6 whose power is known, Heron 14 is \d\.\d % faster/)
    expect(text.join('\n')).toMatch(
      /a higher power limit would change nothing in tally, one thread; and page garden\./,
    )
    expect(text.join('\n')).toMatch(/Heron 14: battery gives 8\d\.\d % .* of the speed of mains/)
  })
})

describe('the command review', () => {
  it('fits its width, with nothing broken', async () => {
    const { status, stdout } = await runInside(['review', ...SHEETS.slice(0, 2), '--at', '45W'])
    expect(status).toBe(0)
    expect(Math.max(...stdout.split('\n').map((line) => line.length))).toBeLessThanOrEqual(80)
    expect(stdout).not.toMatch(/NaN|undefined|null/)
    expect(stdout).toMatch(/marsh flight: low, fps/)
  })

  it('prints its tables alone, in which every figure has its interval', async () => {
    const { stdout } = await runInside(['review', 'samples/heron.yaml', 'samples/ibis.yaml', '--csv'])
    expect(stdout).toMatch(/as tested \(%\),as tested low,as tested high,at equal power \(%\)/)
  })

  it('takes sheets of one workload as they are', async () => {
    const { stdout } = await runInside([
      'review',
      'samples/heron.yaml',
      'samples/bittern-noted.yaml',
      '--json',
    ])
    const { results } = REVIEW.parse(JSON.parse(stdout))
    expect(results[0]!.machines.map(({ chip }) => chip)).toEqual(['Kestrel 16', 'Kestrel 16'])
    expect(results[0]!.pairs[0]!.atEqualPower).toMatchObject({ value: 1, low: 1, high: 1 })
  })

  it('takes a pattern or a folder of sheets, and says at which power one workload is compared', async () => {
    const names = ['bittern-compile', 'heron-compile'].map((name) => `samples/${name}.yaml`)
    const named = await runInside(['review', ...names])
    expect((await runInside(['review', 'samples/{bittern,heron}-compile.yaml'])).stdout).toBe(named.stdout)
    expect(named.stdout.replace(/\s+/g, ' ')).toMatch(/At equal power \(\d+(\.\d)? W\) /)
    const { status, stderr } = await runInside(['review', 'samples/guides/none*.yaml'])
    expect([status, stderr]).toEqual([2, expect.stringMatching(/none\*\.yaml/)])
  })

  it('of a machine named twice says which', async () => {
    const { status, stderr } = await runInside(['review', SHEETS[0]!, SHEETS[0]!])
    expect(status).toBe(2)
    expect(stderr).toMatch(/two of Heron 14/)
  })
})
