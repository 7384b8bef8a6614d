import { fitRuns } from '../fit/chip/fitChip.js'
import { profileRun } from '../fit/chip/profileRun.js'
import { scoredRuns } from '../machine/scoredRuns.js'
import type { ReadTest } from '../machine/testedMachine.js'
import { auditGivenLoads } from './auditGivenLoads.js'
import { auditLog } from './auditLog.js'
import { auditRuns } from './auditRuns.js'
import { auditRunTimes } from './auditRunTimes.js'
import { auditSheet } from './auditSheet.js'
import { type Finding, findingAbout } from './finding.js'

/** Audits a test that is read: each log and its runs, then the sheet as a whole. */
export function auditTest(test: ReadTest): readonly Finding[] {
  const logged = test.trials.filter((trial) => trial.kind === 'logged')
  const ofTrials = logged.flatMap((trial) => {
    const { log, loads } = trial
    // A mean tells nothing of single runs.
    const runs = trial.runs.flatMap((run) => {
      if (run.of !== undefined) return []
      const meanW = profileRun(log.trace, run.startS, run.endS)?.meanW
      return meanW === undefined ? [] : [{ ...run, meanW }]
    })
    const findings = [
      ...auditLog(log, loads, test.sheet.ambientC),
      ...auditGivenLoads(trial.trial.options.loads),
      ...auditRunTimes({ runs, loads, intervalS: log.trace.intervalS }),
      // Runs that all take as long don't do the same work.
      ...auditRuns({ runs, workload: test.sheet.workload, intervalS: log.trace.intervalS }).filter(
        ({ code }) => code !== 'run-times-wrong' || test.sheet.fixed !== 'time',
      ),
    ]
    // With several logs in a sheet, each finding says whose it is.
    return logged.length < 2 ? findings : findings.map((finding) => findingAbout(trial.trial.log, finding))
  })
  const { scores } = scoredRuns(test)
  const runs = scores.map(({ run }) => run)
  const logs = scores.map(({ log }) => (logged.length < 2 ? null : log))
  const fit = runs.length === 0 ? undefined : { ...fitRuns({ workload: test.sheet.workload, runs }), logs }
  return [...ofTrials, ...auditSheet({ test, fit })]
}
