import { execFileSync } from 'node:child_process'
import { writeFileSync } from 'node:fs'
import { fitChip } from '../../src/fit/chip/fitChip.js'
import { profileRun } from '../../src/fit/chip/profileRun.js'
import { rateBlocks } from '../../src/fit/rate/rateBlocks.js'
import { quantile, weightedQuantiles } from '../../src/numeric/statistics/quantile.js'
import { rateAt } from '../../src/physics/chip/scoreCurve.js'
import type { ChassisKind } from '../worlds/chassisTruth.js'
import { makeRatedWorld, type RatedWorld } from '../worlds/ratedWorld.js'

// `npm run study:rates`: how often the interval of a score at a power holds the truth, where the curve is taken from the pace in the log.

const KINDS: readonly ChassisKind[] = ['heat', 'budget-then-heat', 'two-step', 'one-step']
const WORLDS = Number(process.argv[3] ?? 40)
const SEED = 21_900_000
const WORKLOAD = { name: 'tile render', score: 'tiles/s', better: 'higher' } as const

interface Answer {
  /** Relative, signed. */
  readonly error: number
  readonly held: boolean
  /** Full width at 90 %, relative to the truth. */
  readonly width: number
}

function main(file: string): void {
  const commit = execFileSync('git', ['describe', '--always', '--dirty'], { encoding: 'utf8' }).trim()
  const lines = [
    '# Coverage of a curve from a column of the pace',
    '',
    `Made by \`npm run study:rates\` on ${new Date().toISOString().slice(0, 10)} at commit ${commit}.`,
    `Each row is of ${WORLDS} machines of \`tests/worlds/ratedWorld.ts\`: one uninterrupted load of 15 minutes, a sample every 0.4 to 2 s, the pace with`,
    'white noise of 0.3 to 3 %, a wandering part of 0.3 to 2 % over 1 to 20 s, and in two of five a lag of 2 or 4 s. Powers lie in the measured range',
    '(lowest, middle, highest), and 20 % below it; above it, the chips of these worlds are at their top clock. "holds" is the share of intervals at 90 % that hold the truth; it scatters by 5 points (standard deviation).',
    ...KINDS.flatMap(tableOf),
    '',
  ]
  writeFileSync(file, lines.join('\n'))
  console.log(lines.join('\n'))
}

const PLACES = ['20 % below', 'lowest', 'middle', 'highest', 'highest over lowest'] as const

function tableOf(kind: ChassisKind): readonly string[] {
  const worlds = Array.from({ length: WORLDS }, (_, k) => answersOf(makeRatedWorld(SEED + k, { kind })))
  return [
    '',
    `## ${kind}`,
    '',
    '| power | median error | 9 of 10 within | holds | full width at 90 % |',
    '| --- | --: | --: | --: | --: |',
    ...PLACES.map((place, j) => {
      const answers = worlds.map((answer) => answer[j]!)
      const errors = answers.map(({ error }) => Math.abs(error))
      const percent = (share: number) => `${(100 * share).toFixed(1)} %`
      const held = answers.filter((answer) => answer.held).length / answers.length
      const widths = answers.map(({ width }) => width)
      return `| ${place} | ${percent(quantile(errors, 0.5))} | ${percent(quantile(errors, 0.9))} | ${percent(held)} | ${percent(quantile(widths, 0.5))} |`
    }),
  ]
}

function answersOf(world: RatedWorld): readonly Answer[] {
  const trace = { ...world, clockHz: null, startEpochS: null, startOfDayS: null }
  const { blocks } = rateBlocks(trace, [{ startS: world.loadStartS, endS: world.loadEndS }], false)
  const runs = blocks.map(({ startS, endS, score }) => {
    return { sheet: 'one', startS, endS, score, profile: profileRun(trace, startS, endS)! }
  })
  const { chip } = fitChip({ name: 'Plover X', workload: WORKLOAD, runs })
  const [low, high] = chip.measuredRangeW
  const truthAt = (powerW: number) => world.rateAt(powerW, chip.referenceC!)
  const at = (powerW: number) => chip.draws.map(({ curve }) => rateAt(curve, powerW))
  const judge = (values: readonly number[], truth: number): Answer => {
    const weights = chip.draws.map(({ weight }) => weight)
    const [from, middle, to] = weightedQuantiles(values, weights, [0.05, 0.5, 0.95]) as [
      number,
      number,
      number,
    ]
    return { error: middle / truth - 1, held: from <= truth && truth <= to, width: (to - from) / truth }
  }
  const powers = [low / 1.2, low, Math.sqrt(low * high), high]
  const atHigh = at(high)
  const slope = at(low).map((rate, i) => atHigh[i]! / rate)
  return [
    ...powers.map((powerW) => judge(at(powerW), truthAt(powerW))),
    judge(slope, truthAt(high) / truthAt(low)),
  ]
}

main(process.argv[2]!)
