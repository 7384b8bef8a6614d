import { fitChip } from '../../fit/fitChip.js'
import { profileRun } from '../../fit/profileRun.js'
import { readLog } from '../../log/readLog.js'
import type { LogOptions } from '../../log/trace.js'
import { findLoads } from '../../segment/findLoads.js'
import { isSheetFile } from '../isSheetFile.js'
import { readSheet } from '../readSheet.js'
import { readTest } from '../readTest.js'
import { scoredRuns } from '../scoredRuns.js'
import type { ReadTest } from '../testedMachine.js'
import { auditLog } from './auditLog.js'
import { auditRuns } from './auditRuns.js'
import { auditSheet } from './auditSheet.js'
import { auditWorkloads } from './auditWorkloads.js'
import type { Finding } from './finding.js'

/** What the audit found in one file. */
export interface CheckedFile {
  readonly path: string
  readonly findings: readonly Finding[]
}

/**
 * Audits logs and test sheets, each told by what it holds; sheets given together are also held against each other.
 *
 * @param paths - logs and YAML test sheets
 * @param options - column choices for the logs among them
 * @returns findings of each file, worst first
 * @throws InputError when a file can't be read as what it is
 */
export async function checkFiles(
  paths: readonly string[],
  options: LogOptions = {},
): Promise<readonly CheckedFile[]> {
  const read = await Promise.all(paths.map((path) => readEither(path, options)))
  const sheets = read.flatMap((file) => (file.test === undefined ? [] : [file.test.sheet]))
  return read.map(({ path, test, findings }) => {
    const together = test === undefined ? [] : auditWorkloads(test.sheet, sheets)
    return { path, findings: worstFirst([...findings, ...together]) }
  })
}

interface EitherFile {
  readonly path: string
  readonly test: ReadTest | undefined
  readonly findings: readonly Finding[]
}

async function readEither(path: string, options: LogOptions): Promise<EitherFile> {
  if (!(await isSheetFile(path))) {
    const log = await readLog(path, options)
    return { path, test: undefined, findings: auditLog(log, findLoads(log.trace)) }
  }
  const test = await readTest(await readSheet(path))
  return { path, test, findings: auditTest(test) }
}

function auditTest(test: ReadTest): readonly Finding[] {
  const logged = test.trials.filter((trial) => trial.kind === 'logged')
  const ofTrials = logged.flatMap((trial) => {
    const { log, loads } = trial
    const runs = trial.runs.flatMap((run) => {
      const meanW = profileRun(log.trace, run.startS, run.endS)?.meanW
      return meanW === undefined ? [] : [{ ...run, meanW }]
    })
    const findings = [
      ...auditLog(log, loads, test.sheet.ambientC),
      ...auditRuns({ runs, workload: test.sheet.workload, intervalS: log.trace.intervalS }),
    ]
    // With several logs in a sheet, each finding says whose it is.
    return logged.length < 2
      ? findings
      : findings.map((finding) => ({ ...finding, message: `${trial.trial.log}: ${finding.message}` }))
  })
  const runs = scoredRuns(test).scores.map((score) => score.run)
  const { chip: name, workload } = test.sheet
  const fit = runs.length === 0 ? undefined : fitChip({ name, workload, runs })
  return [...ofTrials, ...auditSheet({ test, fit })]
}

const WEIGHT = { unsafe: 0, caution: 1, note: 2 } as const

/** What is upside down misleads every other finding about scores: then it is told alone, and once. */
const ABOUT_SCORES: readonly string[] = [
  'run-times-wrong',
  'scores-out-of-order',
  'runs-scatter',
  'run-off-curve',
]

function worstFirst(findings: readonly Finding[]): readonly Finding[] {
  const contradiction = findings.find((finding) => finding.code === 'score-contradicts-better')
  const kept =
    contradiction === undefined
      ? [...findings]
      : [
          contradiction,
          ...findings.filter(({ code }) => code !== contradiction.code && !ABOUT_SCORES.includes(code)),
        ]
  return kept.sort((a, b) => WEIGHT[a.severity] - WEIGHT[b.severity])
}
