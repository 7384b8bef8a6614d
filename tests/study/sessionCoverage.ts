import { execFileSync } from 'node:child_process'
import { writeFileSync } from 'node:fs'
import { findLoads } from '../../src/segment/findLoads.js'
import { judgeSession, type LoadJudgement, type SessionJudgement } from '../worlds/session/judgeSession.js'
import { makeSession } from '../worlds/session/makeSession.js'

// `npm run study:sessions`: loads, runs, settled levels and causes of whole sessions, by kind of load; written to the file that is named.

const SESSIONS = 100
/** No seed that the tests use. */
const SEED = 14_000_000

function main(file: string): void {
  const judged = Array.from({ length: SESSIONS }, (_, k) => {
    const session = makeSession(SEED + k)
    return judgeSession(session, findLoads(session.trace))
  })
  const commit = execFileSync('git', ['describe', '--always', '--dirty'], { encoding: 'utf8' }).trim()
  const lines = [
    '# Loads of whole sessions',
    '',
    `Made by \`npm run study:sessions\` on ${new Date().toISOString().slice(0, 10)} at commit ${commit}.`,
    `${SESSIONS} sessions of \`tests/worlds/session\`: loads of several kinds with idle between them that shifts, fans, games, steps of the mode.`,
    'Found to impossible: loads. Of the loads that were found, the share of those that could be judged, with their number: right in',
    'runs; settled level within the truth’s band; covered by its 90 % interval; whether it was reached; the cause; sure of what is wrong.',
    '',
    '| kind | found | missed | impossible | runs | settled | covered | reached | held by | sure and wrong |',
    '| --- | --- | --- | --- | --- | --- | --- | --- | --- | --- |',
    ...rows(judged),
    '',
    `Loads that are none: ${judged.flatMap((session) => session.false).length}.`,
    '',
  ]
  writeFileSync(file, lines.join('\n'))
  console.log(lines.join('\n'))
}

function rows(judged: readonly SessionJudgement[]): readonly string[] {
  const found = judged.flatMap((session) => session.found)
  const missed = judged.flatMap((session) => session.missed)
  const kinds = [
    ...new Set([...found.map(({ truth }) => truth.kind), ...missed.map(({ kind }) => kind)]),
  ].sort()
  const rowOf = (kind: string, isOf: (of: string) => boolean) => {
    const own = found.filter(({ truth }) => isOf(truth.kind))
    const counts = [own.length, missed.filter((truth) => isOf(truth.kind)).length]
    const cells = [...counts, own.filter(({ impossible }) => impossible).length, ...shares(own)]
    return `| ${[kind, ...cells].join(' | ')} |`
  }
  return [...kinds.map((kind) => rowOf(kind, (of) => of === kind)), rowOf('all', () => true)]
}

function shares(own: readonly LoadJudgement[]): readonly string[] {
  const share = (read: (one: LoadJudgement) => boolean | null) => {
    const answers = own.map(read).filter((answer) => answer !== null)
    if (answers.length === 0) return '–'
    return `${Math.round((100 * answers.filter(Boolean).length) / answers.length)} % of ${answers.length}`
  }
  return [
    share(({ runsRight }) => runsRight),
    share(({ settledRight }) => settledRight),
    share(({ covered }) => covered),
    share(({ reachedRight }) => reachedRight),
    share(({ heldByRight }) => heldByRight),
    share(({ sureAndWrong }) => sureAndWrong),
  ]
}

main(process.argv[2]!)
