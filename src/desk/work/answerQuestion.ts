import { auditTest } from '../../audit/auditTest.js'
import { checkTogether } from '../../audit/checkTogether.js'
import { InputError } from '../../errors.js'
import { machinesAsTested } from '../../machine/asTested.js'
import { fitTestChassis } from '../../machine/fitTestChassis.js'
import type { TestedMachine } from '../../machine/testedMachine.js'
import { tabulateCurve } from '../../model/tabulateCurve.js'
import type { Estimate } from '../../numeric/statistics/estimate.js'
import { compareChips } from '../../predict/comparison/compareChips.js'
import { explainGap } from '../../predict/gap/explainGap.js'
import { gapMachine } from '../../predict/gap/gapMachine.js'
import { overviewMachines } from '../../predict/overview/overviewMachines.js'
import { planNextTest } from '../../predict/plan/planNextTest.js'
import { plannedTest } from '../../predict/plan/plannedTest.js'
import { projectScore } from '../../predict/projection/projectScore.js'
import { groupKey } from '../../sheet/testSheet.js'
import type { Chart } from '../../show/charts/chart.js'
import { sayEstimate } from '../../show/figures/sayEstimate.js'
import { pageCharts } from '../../show/page/pageCharts.js'
import { pageContent } from '../../show/page/pageContent.js'
import { headlineOfComparison, headlineOfCurve, headlineOfGap } from '../../show/page/pageHeadlines.js'
import { stateOfChassis } from '../../show/page/whatIf/whatIfState.js'
import { comparisonTables } from '../../show/tables/comparisonTables.js'
import { findingsTable } from '../../show/tables/findingsTable.js'
import { fitTables } from '../../show/tables/fitTables.js'
import { gapTable } from '../../show/tables/gapTable.js'
import { planTable } from '../../show/tables/planTable.js'
import { projectionTables } from '../../show/tables/projectionTables.js'
import { sayCriticism } from '../../show/terminal/sayCriticism.js'
import { concludeProjection } from '../../show/text/concludeProjection.js'
import { sayCaution, sayCautions } from '../../show/text/sayCaution.js'
import { sayChassis } from '../../show/text/sayChassis.js'
import { sayGapText } from '../../show/text/sayGapText.js'
import { sayPlanReason } from '../../show/text/sayPlanReason.js'
import { sayWarning } from '../../show/text/sayWarning.js'
import type { Warning } from '../../warnings.js'
import type { DeskAnswer, Question } from './question.js'
import type { TestShelf } from './testShelf.js'

/** An answer whose charts are not yet drawn. */
export type Answered = Omit<DeskAnswer, 'charts' | 'command'> & { readonly charts: readonly Chart[] }

/** Answers a question by the functions that the commands call, from the same sheets in the same order. */
export async function answerQuestion(question: Question, shelf: TestShelf): Promise<Answered> {
  switch (question.kind) {
    case 'fit':
      return answerFit(question, shelf)
    case 'project':
      return answerProjection(question, shelf)
    case 'compare':
      return answerComparison(question, shelf)
    case 'explain':
      return answerGap(question, shelf)
    case 'plan':
      return answerPlan(question, shelf)
    case 'check':
      return answerCheck(question, shelf)
  }
}

type AskedOf<Kind extends Question['kind']> = Extract<Question, { readonly kind: Kind }>

const NOTHING = { text: [], charts: [], cautions: '', limits: null }

/** What a page needs beside machines, of which single charts show nothing. */
const NO_FACTS = { version: '', command: '', inputs: [], findings: [] }

async function answerFit({ sheets, places }: AskedOf<'fit'>, shelf: TestShelf): Promise<Answered> {
  const machine = await shelf.fit(sheets)
  const charts = pageCharts(pageContent(overviewMachines([machine]), NO_FACTS), places).machines[0]!
  return {
    ...NOTHING,
    title: headlineOfCurve(machine),
    tables: fitTables(machine.chip, tabulateCurve(machine.chip), machine.runs),
    // The trace stands with its log; its runs' scores are shown by the curve.
    charts: [charts.curve, charts.sweep],
    text: [
      `Chassis: ${sayChassis(machine.chassis)
        .map(([name, value]) => `${name} ${value}`)
        .join('; ')}.`,
      `From run to run the scores scatter by ${sayEstimate(percentOf(machine.scatter), '%')} about the curve.`,
      sayLeftOut(machine),
    ],
    warnings: said(machine.warnings),
    limits: limitsOf(machine),
  }
}

/** How far the curve is off where it was not told the score. */
function sayLeftOut({ criticism }: TestedMachine): string {
  return criticism === null
    ? 'How well the curve predicts a power that was not tested can’t be told yet: it takes runs at four powers or more.'
    : sayCriticism(criticism).trim()
}

function percentOf({ value, low, high, level }: Estimate): Estimate {
  return { value: 100 * value, low: 100 * low, high: 100 * high, level }
}

function limitsOf({ chip, chassis }: TestedMachine): DeskAnswer['limits'] {
  const lowest = Math.min(chassis.sustainedW.value, chip.measuredRangeW[0])
  const highest = Math.max(chassis.burstW.value, chip.measuredRangeW[1])
  // From half of the least to well over the highest power seen, as in a published page.
  return {
    state: stateOfChassis(chassis, 0),
    sliderW: [Math.max(1, Math.floor(lowest / 2)), Math.ceil((highest * 1.3) / 5) * 5],
  }
}

async function answerProjection({ sheets, target }: AskedOf<'project'>, shelf: TestShelf): Promise<Answered> {
  const machine = await shelf.fit(sheets, { thermal: false })
  const { chip, chassis, asTested, loop } = machine
  const other = 'file' in target ? fitTestChassis(await shelf.test(target)) : null
  const projection = projectScore({
    chip,
    target: other?.chassis ?? (target as Exclude<typeof target, { readonly file: string }>),
    loop,
    tested: chassis,
    asTested,
    testedLoop: loop,
  })
  return {
    ...NOTHING,
    title: concludeProjection(projection, chip.workload),
    tables: projectionTables(projection, chip.workload),
    warnings: said([...machine.warnings, ...(other?.warnings ?? []), ...projection.warnings]),
    cautions: sayCautions(projection.cautions),
  }
}

async function answerComparison({ sheets, places }: AskedOf<'compare'>, shelf: TestShelf): Promise<Answered> {
  const tests = await Promise.all(sheets.map(shelf.test))
  const groups = new Map<string, typeof sheets>()
  tests.forEach(({ sheet }, index) => {
    const key = groupKey(sheet)
    groups.set(key, [...(groups.get(key) ?? []), sheets[index]!])
  })
  if (groups.size < 2) {
    throw new InputError('one-chip', 'expected two chips or more, got tests of one', {
      remedy: 'why one machine scores less than another with the same chip is told under “Why”',
    })
  }
  const machines = await Promise.all([...groups.values()].map((group) => shelf.fit(group)))
  const tested = machines.map((fitted) =>
    machinesAsTested(fitted).map(({ machine, sustainedW, steadyScore }) => {
      return { machine, chip: fitted.chip, sustainedW: sustainedW.value, sustained: sustainedW, steadyScore }
    }),
  )
  const ofSheet = new Map(
    [...groups.values()].flatMap((group, at) => group.map((sheet, k) => [sheet, tested[at]![k]!])),
  )
  const comparison = compareChips({
    machines: tested.map(([first]) => first!),
    tested: sheets.map((sheet) => ofSheet.get(sheet)!),
  })
  const { workload } = machines[0]!.chip
  const firstPlaces = [...groups.values()].map(([first]) => places[sheets.indexOf(first!)]!)
  const chart = pageCharts(pageContent(overviewMachines(machines), NO_FACTS), firstPlaces).comparison
  return {
    ...NOTHING,
    title: headlineOfComparison(machines, comparison),
    tables: comparisonTables(comparison, workload),
    charts: chart === null ? [] : [chart],
    warnings: said([...machines.flatMap(({ warnings }) => warnings), ...comparison.warnings]),
  }
}

async function answerGap(
  { sheets: [a, b], places }: AskedOf<'explain'>,
  shelf: TestShelf,
): Promise<Answered> {
  const [testA, testB] = await Promise.all([shelf.test(a), shelf.test(b)])
  // One chip in two machines is one curve, told by the runs of both; as `holdwatt explain` does.
  const sameChip = testA.sheet.chip === testB.sheet.chip
  const machines = await Promise.all([shelf.fit(sameChip ? [a, b] : [a]), shelf.fit(sameChip ? [b, a] : [b])])
  const gap = explainGap({ a: gapMachine(machines[0]), b: gapMachine(machines[1]) })
  return {
    title: headlineOfGap(gap),
    limits: null,
    text: [sayGapText({ ...gap, cautions: [] })],
    tables: [gapTable(gap)],
    charts: pageCharts(pageContent(overviewMachines(machines), NO_FACTS), places).gaps,
    warnings: said(machines.flatMap(({ warnings }) => warnings)),
    cautions: gap.cautions.map(sayCaution).join(' '),
  }
}

async function answerPlan({ sheets }: AskedOf<'plan'>, shelf: TestShelf): Promise<Answered> {
  const { request, title, warnings } = plannedTest(await shelf.fit(sheets))
  const plan = planNextTest(request)
  return {
    ...NOTHING,
    title: `How to test ${title} next time`,
    text: plan.reasons.map(sayPlanReason),
    tables: [planTable(title, plan)],
    warnings: said(warnings),
  }
}

async function answerCheck({ sheets }: AskedOf<'check'>, shelf: TestShelf): Promise<Answered> {
  const tests = await Promise.all(sheets.map(shelf.test))
  const files = checkTogether(
    tests.map((test) => ({ path: test.sheet.file, findings: auditTest(test), sheet: test.sheet })),
  )
  const unsafe = files
    .flatMap(({ findings }) => findings)
    .filter(({ severity }) => severity === 'unsafe').length
  return {
    ...NOTHING,
    title:
      unsafe === 0
        ? 'Nothing was found that makes conclusions unsafe'
        : `${unsafe} ${unsafe === 1 ? 'finding makes' : 'findings make'} conclusions unsafe`,
    tables: [findingsTable(files)],
    warnings: [],
  }
}

function said(warnings: readonly Warning[]): readonly string[] {
  return [...new Set(warnings.map(sayWarning))]
}
