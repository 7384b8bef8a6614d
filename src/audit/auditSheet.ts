import { FEW_RUNS } from '../fit/chip/chipWarnings.js'
import type { FittedRun } from '../fit/chip/fitChip.js'
import { fitTestChassis } from '../machine/fitTestChassis.js'
import type { ReadTest } from '../machine/testedMachine.js'
import type { Estimate } from '../numeric/statistics/estimate.js'
import type { Load } from '../segment/load.js'
import { secondsPer } from '../sheet/parseScore.js'
import { formatQuantity } from '../units.js'
import { type Finding, findingAbout } from './finding.js'

interface SheetView {
  readonly test: ReadTest
  /** The score curve's fit; undefined when there was no scored run. */
  readonly fit:
    | {
        readonly runs: readonly FittedRun[]
        readonly scatter: Estimate
        /** The log of each run, where there are several. */
        readonly logs: readonly (string | null)[]
      }
    | undefined
}

/** What a sheet says as a whole: its unit, its modes, its ambient, and whether its runs can tell a slope. */
export function auditSheet(view: SheetView): readonly Finding[] {
  return [
    auditUnitWord(view),
    auditAmbient(view),
    auditModes(view),
    ...auditSlope(view),
    auditScatter(view),
    ...auditStrangers(view),
    ...auditPlaces(view),
  ].filter((finding) => finding !== undefined)
}

function auditUnitWord({ test }: SheetView): Finding | undefined {
  const { score, better } = test.sheet.workload
  const isTime = secondsPer(score) !== undefined
  if (isTime === (better === 'lower')) return undefined
  return {
    code: 'score-contradicts-better',
    severity: 'unsafe',
    message: isTime
      ? `The score is in \`${score}\`, a time, and the sheet says that higher is better: everything that is concluded would be upside down. Say \`better: lower\`, or name the unit that it is.`
      : `The sheet says that lower is better, and the score is in \`${score}\`, which is no time: a lower-is-better score is the time that fixed work takes, in \`s\` or \`min\`. Say \`better: higher\`, or give the times.`,
    atS: null,
  }
}

function auditAmbient({ test }: SheetView): Finding | undefined {
  if (test.sheet.ambientC !== null || !isHeldByHeat(test)) return undefined
  return {
    code: 'ambient-missing',
    severity: 'caution',
    message:
      'Heat holds the power, and the sheet has no `ambient`: a room 5 K warmer would lower the score, by an unknown amount. Note the room temperature.',
    atS: null,
  }
}

/** By what the stages show, or, where a loop's pauses hide it, by what the fitted chassis does. */
function isHeldByHeat(test: ReadTest): boolean {
  const logged = test.trials.filter((trial) => trial.kind === 'logged' && trial.loads.length > 0)
  if (logged.some((trial) => trial.kind === 'logged' && trial.loads.some(endsInHeat))) return true
  return logged.length > 0 && fitTestChassis(test).chassis.thermal?.ceilingC != null
}

function endsInHeat(load: Load): boolean {
  return load.stages.at(-1)?.heldBy.label === 'heat'
}

/** Settled powers of one mode repeat to a few per cent. */
const SAME_POWER = 0.1

function auditModes({ test }: SheetView): Finding | undefined {
  const logged = test.trials.filter((trial) => trial.kind === 'logged')
  const modes = [...new Set(test.trials.map(({ trial }) => trial.mode))]
  const named = modes.filter((mode) => mode !== null)
  if (named.length > 1) {
    return {
      code: 'modes-mixed',
      severity: 'caution',
      message: `The trials were made in several power modes (${named.join(', ')}). This measures the chip at more powers; chassis and scores as tested are those of the first mode. Name it when you publish.`,
      atS: null,
    }
  }
  const settled = logged.flatMap((trial) => trial.loads.map((load) => load.sustained.levelW.value))
  const apart = Math.max(...settled) / Math.min(...settled) - 1
  if (logged.length < 2 || !(apart > SAME_POWER)) return undefined
  return {
    code: 'modes-mixed',
    severity: 'caution',
    message: `The trials settle at powers that differ by ${(100 * apart).toFixed(0)} %, and no \`mode\` is noted: different power modes, or different conditions. Note the \`mode\` of each trial.`,
    atS: null,
  }
}

/** Powers closer than this tell nothing of a slope: scatter of 1 % would move an elasticity by 0.2. */
const POWER_RANGE = 0.05

function auditSlope({ fit }: SheetView): readonly Finding[] {
  if (fit === undefined) {
    return [
      {
        code: 'no-runs',
        severity: 'caution',
        message:
          'There is no scored run: the chassis can be fitted, the chip cannot. Add `runs:` with a score each.',
        atS: null,
      },
    ]
  }
  const findings: Finding[] = []
  if (fit.runs.length < FEW_RUNS) {
    findings.push({
      code: 'too-few-runs',
      severity: 'caution',
      message: `${fit.runs.length === 1 ? 'One scored run' : 'Two scored runs'} can’t show how much runs scatter: intervals rest on what runs do in general. Loop at least five.`,
      atS: null,
    })
  }
  const powers = fit.runs.map((run) => run.meanW)
  const range = Math.max(...powers) / Math.min(...powers) - 1
  if (range < POWER_RANGE) {
    findings.push({
      code: 'one-power',
      severity: 'caution',
      message: `All runs were made at ${formatQuantity(Math.min(...powers), 'power', 3)} or within ${(100 * POWER_RANGE).toFixed(0)} % of it, so how the score changes with power is not measured: a projection to another power rests on typical chip behaviour. Test a second power mode.`,
      atS: null,
    })
  }
  return findings
}

/** Runs of a quiet machine scatter by less than 1 %; common practice, no source. */
const SCATTER_CAUTION = 0.018
const SCATTER_UNSAFE = 0.06

function auditScatter({ fit }: SheetView): Finding | undefined {
  if (fit === undefined || fit.runs.length < FEW_RUNS || fit.scatter.value < SCATTER_CAUTION) return undefined
  return {
    code: 'runs-scatter',
    severity: fit.scatter.value >= SCATTER_UNSAFE ? 'unsafe' : 'caution',
    message: `Runs scatter by ${(100 * fit.scatter.value).toFixed(1)} % around the curve, more than a quiet machine's (under 1 %): something else ran at the same time, or the runs differ. The intervals are wider for it. Close other programs and test again.`,
    atS: null,
  }
}

/** A run that the fit has set back by more than this is no scatter any more. */
const STRANGE_SPREAD = 2
const MOST_STRANGERS = 5

function auditStrangers({ fit }: SheetView): readonly Finding[] {
  const strange = (fit?.runs ?? []).flatMap((run, index) => {
    return run.spread > STRANGE_SPREAD ? [{ run, log: fit!.logs[index] ?? null }] : []
  })
  return strange.slice(0, MOST_STRANGERS).map(({ run, log }) => {
    const finding: Finding = {
      code: 'run-off-curve',
      severity: 'caution',
      message: `One run scored ${run.score}, where its power and the other runs say ${Number(run.fittedScore.toPrecision(4))}: it was given less weight. Check that the score was noted correctly.`,
      atS: run.startS,
    }
    return log === null ? finding : findingAbout(log, finding)
  })
}

function auditPlaces({ test }: SheetView): readonly Finding[] {
  return test.warnings.flatMap((warning): Finding[] => {
    if (warning.code === 'runs-differ-from-scores') {
      return [
        {
          code: 'runs-differ-from-scores',
          severity: 'unsafe',
          message: `The log shows ${warning.found} ${warning.found === 1 ? 'run' : 'runs'} and the sheet has ${warning.scored} ${warning.scored === 1 ? 'score' : 'scores'} without times: which score belongs to which run is assumed. Give start and end of each run.`,
          atS: null,
        },
      ]
    }
    if (warning.code === 'run-cut-off' || warning.code === 'run-without-power') {
      return [
        {
          code: warning.code,
          severity: 'caution',
          message:
            'The log does not hold the whole of this run, so its power is not known, and it was left out of the fit. Start the logger before the first run and stop it after the last.',
          atS: warning.atS,
        },
      ]
    }
    if (warning.code !== 'runs-placed-by-scores') return []
    return [
      {
        code: 'runs-placed-by-scores',
        severity: 'note',
        message: `The log shows ${warning.found} runs for ${warning.scored} scores, so the load was divided as fixed work would divide it. Give start and end of each run to be sure.`,
        atS: null,
      },
    ]
  })
}
