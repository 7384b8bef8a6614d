import { execFileSync } from 'node:child_process'
import { writeFileSync } from 'node:fs'
import { fitChip, type ScoredRun } from '../../src/fit/chip/fitChip.js'
import { quantile, weightedQuantiles } from '../../src/numeric/statistics/quantile.js'
import { rateAt } from '../../src/physics/chip/scoreCurve.js'
import { type ChipWorld, loopedRuns, makeChipWorld } from '../fit/chipWorlds.js'

// `npm run study:chips`: how often the interval of a score at a power holds the truth, by number of runs; written to the file that is named.

/** Powers by what was measured: settled level and burst, W. */
const POWERS: readonly (readonly [name: string, powerW: (settledW: number, burstW: number) => number])[] = [
  ['settled level - 30 %', (settledW) => 0.7 * settledW],
  ['settled level', (settledW) => settledW],
  ['between settled level and burst', (settledW, burstW) => Math.sqrt(settledW * burstW)],
  ['burst', (_, burstW) => burstW],
  ['burst + 10 %', (_, burstW) => 1.1 * burstW],
  ['burst + 25 %', (_, burstW) => 1.25 * burstW],
  ['burst + 60 %', (_, burstW) => 1.6 * burstW],
]
const LEVELS = [0.5, 0.8, 0.9, 0.95] as const
const PLANS: readonly { readonly runs: number; readonly slowed?: boolean; readonly seed: number }[] = [
  { runs: 1, seed: 13_100_000 },
  { runs: 2, seed: 13_200_000 },
  { runs: 5, seed: 13_300_000 },
  { runs: 12, seed: 12_100_000 },
  { runs: 20, seed: 13_400_000 },
  { runs: 12, slowed: true, seed: 13_500_000 },
]
const CHIPS = 60

interface Answer {
  /** Relative, signed. */
  readonly error: number
  /** For each of `LEVELS`. */
  readonly held: readonly boolean[]
  /** Full width at 90 %, relative to the truth. */
  readonly width: number
}

function main(file: string): void {
  const commit = execFileSync('git', ['describe', '--always', '--dirty'], { encoding: 'utf8' }).trim()
  const lines = [
    '# Coverage of a chip’s score',
    '',
    `Made by \`npm run study:chips\` on ${new Date().toISOString().slice(0, 10)} at commit ${commit}.`,
    `Each row is of ${CHIPS} chips of \`tests/fit/chipWorlds.ts\`, which share no formula with the fit. The burst is 1.12 to 1.95 times the`,
    'settled level. Columns at 50 to 95 %: share of intervals that hold the truth; it scatters by 4 points at 90 % (standard deviation).',
    ...PLANS.flatMap(tableOf),
    '',
  ]
  writeFileSync(file, lines.join('\n'))
  console.log(lines.join('\n'))
}

function tableOf(plan: (typeof PLANS)[number]): readonly string[] {
  const chips = Array.from({ length: CHIPS }, (_, k) => answersOf(plan, plan.seed + k))
  const slowed = plan.slowed === true ? ', one in ten slowed by 2 to 10 %' : ''
  return [
    '',
    `## ${plan.runs} ${plan.runs === 1 ? 'run' : 'runs'}${slowed}`,
    '',
    `| power | median error | 9 of 10 within | ${LEVELS.map((level) => `${100 * level} %`).join(' | ')} | full width at 90 % |`,
    `| --- | --: | --: | ${LEVELS.map(() => '--: |').join(' ')} --: |`,
    ...POWERS.map(([name], j) =>
      sayRow(
        name,
        chips.map((answers) => answers[j]!),
      ),
    ),
  ]
}

function sayRow(name: string, answers: readonly Answer[]): string {
  const errors = answers.map(({ error }) => Math.abs(error))
  const held = LEVELS.map((_, i) => answers.filter((answer) => answer.held[i]).length / answers.length)
  const width = quantile(
    answers.map((answer) => answer.width),
    0.5,
  )
  const cells = [
    ...[quantile(errors, 0.5), quantile(errors, 0.9)].map((share) => `${(100 * share).toFixed(2)} %`),
    ...held.map((share) => (100 * share).toFixed(0)),
    `${(100 * width).toFixed(1)} %`,
  ]
  return `| ${name} | ${cells.join(' | ')} |`
}

function answersOf({ runs, slowed }: (typeof PLANS)[number], seed: number): readonly Answer[] {
  const world = makeChipWorld(seed)
  const settledW = world.topW * (0.4 + 0.3 * world.random.uniform())
  const burstW = settledW * (1.12 + 0.83 * world.random.uniform())
  const looped = loopedRuns(world, { runs, settledW, burstW, burstRuns: Math.min(1.6, 0.8 * runs) })
  const scored = slowed === true ? looped.map((run) => perhapsSlowed(run, world)) : looped
  const { chip } = fitChip({
    name: 'Kestrel 16',
    workload: { name: 'tile render', score: 'points', better: 'higher' },
    runs: scored,
  })
  const weights = chip.draws.map(({ weight }) => weight)
  return POWERS.map(([, powerOf]): Answer => {
    const powerW = powerOf(settledW, burstW)
    const truth = world.rate(powerW, chip.referenceC!)
    const rates = chip.draws.map(({ curve }) => rateAt(curve, powerW))
    const edges = LEVELS.map((level) => weightedQuantiles(rates, weights, [(1 - level) / 2, (1 + level) / 2]))
    const [low, high] = edges[LEVELS.indexOf(0.9)]! as [number, number]
    return {
      error: weightedQuantiles(rates, weights, [0.5])[0]! / truth - 1,
      held: edges.map(([from, to]) => from! <= truth && truth <= to!),
      width: (high - low) / truth,
    }
  })
}

function perhapsSlowed(run: ScoredRun, { random }: ChipWorld): ScoredRun {
  return random.uniform() < 0.1 ? { ...run, score: run.score * (0.98 - 0.08 * random.uniform()) } : run
}

main(process.argv[2]!)
