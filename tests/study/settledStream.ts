import { execFileSync } from 'node:child_process'
import { writeFileSync } from 'node:fs'
import { cutTrace } from '../../src/log/cutTrace.js'
import { parseLog } from '../../src/log/parseLog.js'
import { parseRunTime } from '../../src/log/time/parseRunTime.js'
import type { Trace } from '../../src/log/trace.js'
import { isKnownToPercent, judgeStage, type PresentStage } from '../../src/record/session/judgeStage.js'
import { CHASSIS_KINDS, makeWorld, type World } from '../worlds/makeWorld.js'

// `npm run study:settled`: what `log --until settled` ends with, and what it saves, on tests that would have gone on for as long as the
// worlds' do; by kind of chassis; written to the file that is named.

const WORLDS = 15
/** No seed that the tests use. */
const SEED = 16_500_000
/** Time between two looks at the log so far, s. */
const LOOK_S = 20
const PLANS = ['hold', 'loop'] as const

interface Ended {
  readonly kind: string
  readonly plan: (typeof PLANS)[number]
  /** Undefined where it was never known. */
  readonly stage: PresentStage | undefined
  readonly sustainedW: number
  readonly atS: number
  readonly wholeS: number
}

function main(file: string): void {
  const ended = PLANS.flatMap((plan) =>
    CHASSIS_KINDS.flatMap((kind, k) =>
      Array.from({ length: WORLDS }, (_, i) => endOf(makeWorld(SEED + 1000 * k + i, { kind, plan }), plan)),
    ),
  )
  const commit = execFileSync('git', ['describe', '--always', '--dirty'], { encoding: 'utf8' }).trim()
  const lines = [
    '# Ending a log as soon as the sustained power is known',
    '',
    `Made by \`npm run study:settled\` on ${new Date().toISOString().slice(0, 10)} at commit ${commit}.`,
    `${WORLDS} worlds of each kind of chassis, as one long load and as a loop, looked at every ${LOOK_S} s as \`log --until settled\` does.`,
    'Of the logs that it ended: the share whose level was right to 1 %, to 2 %, and in its interval, the largest error, and the time',
    'saved of the whole test (median, minutes).',
    '',
    '| load | chassis | ended | within 1 % | within 2 % | in its interval | worst | minutes of test | saved |',
    '| --- | --- | --: | --: | --: | --: | --: | --: | --: |',
    ...PLANS.flatMap((plan) => [
      ...CHASSIS_KINDS.map((kind) =>
        row(
          plan,
          kind,
          ended.filter((one) => one.plan === plan && one.kind === kind),
        ),
      ),
      row(
        plan,
        'all',
        ended.filter((one) => one.plan === plan),
      ),
    ]),
    '',
  ]
  writeFileSync(file, lines.join('\n'))
  console.log(lines.join('\n'))
}

/** Looks at the log as it grows, as the command does. */
function endOf(world: World, plan: Ended['plan']): Ended {
  const { trace } = parseLog(world.logs[0]!.bytes)
  const wholeS = trace.timesS.at(-1)!
  const { sustainedW } = world.truth
  for (let atS = 4 * LOOK_S; atS < wholeS; atS += LOOK_S) {
    const stage = judgeStage(upTo(trace, atS))
    if (stage !== undefined && isKnownToPercent(stage))
      return { kind: world.kind, plan, stage, sustainedW, atS, wholeS }
  }
  return { kind: world.kind, plan, stage: undefined, sustainedW, atS: wholeS, wholeS }
}

function upTo(trace: Trace, atS: number): Trace {
  return cutTrace(trace, { to: parseRunTime(`${atS} s`) })
}

function row(plan: string, kind: string, all: readonly Ended[]): string {
  const done = all.filter(({ stage }) => stage !== undefined)
  const errors = done.map(({ stage, sustainedW }) => Math.abs(stage!.headsToW.value / sustainedW - 1))
  const share = (count: number) => (done.length === 0 ? '–' : `${Math.round((100 * count) / done.length)} %`)
  const inside = done.filter(
    ({ stage, sustainedW }) => stage!.headsToW.low <= sustainedW && sustainedW <= stage!.headsToW.high,
  )
  const cells = [
    `${done.length} of ${all.length}`,
    share(errors.filter((error) => error <= 0.01).length),
    share(errors.filter((error) => error <= 0.02).length),
    share(inside.length),
    done.length === 0 ? '–' : `${(100 * Math.max(...errors)).toFixed(1)} %`,
    median(all.map(({ wholeS }) => wholeS / 60)).toFixed(1),
    done.length === 0 ? '–' : median(done.map(({ atS, wholeS }) => (wholeS - atS) / 60)).toFixed(1),
  ]
  return `| ${[plan, kind, ...cells].join(' | ')} |`
}

function median(values: readonly number[]): number {
  return [...values].sort((a, b) => a - b)[values.length >> 1]!
}

main(process.argv[2]!)
