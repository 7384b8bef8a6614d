import type { Review } from '../../predict/review/reviewMachines.js'
import type { ReviewCause } from '../../predict/review/splitTested.js'
import { heldByNames } from '../text/heldByWords.js'
import { percentOf } from '../text/sayReviewText.js'
import { type DataColumn, type DataTable, dataTable } from './dataTable.js'

/** A review to take out of the tool: every score, every pair of machines, means over workloads, and power modes. */
export function reviewTables(review: Review): readonly DataTable[] {
  return [scoresTable(review), pairsTable(review), meansTable(review), ...modesTable(review)]
}

function scoresTable({ results }: Review): DataTable {
  const rows = results.flatMap((result) => result.machines.map((of) => ({ result, of })))
  return dataTable('Scores', rows, [
    { name: 'mode', of: ({ result }) => result.mode },
    { name: 'workload', of: ({ result }) => result.workload },
    { name: 'metric', of: ({ result }) => result.metric },
    { name: 'better', of: ({ result }) => result.better },
    { name: 'machine', of: ({ of }) => of.machine },
    { name: 'chip', of: ({ of }) => of.chip },
    { name: 'runs', of: ({ of }) => of.runs },
    { name: 'score', interval: true, kind: 'score', of: ({ of }) => of.score },
    { name: 'unit', of: ({ result }) => result.unit },
    { name: 'power', unit: 'W', of: ({ of }) => (of.powerW === null ? null : Number(of.powerW.toFixed(1))) },
    { name: 'held by', of: ({ of }) => (of.heldBy === null ? null : heldByNames[of.heldBy]) },
    { name: 'elasticity', interval: true, kind: 'score', of: ({ of }) => of.elasticity },
    { name: 'depends on power', of: ({ of }) => of.dependsOnPower },
    { name: 'equal power', unit: 'W', of: ({ result }) => result.atW },
    {
      name: 'score at equal power',
      interval: true,
      kind: 'score',
      of: ({ of }) => of.atEqualPower?.score ?? null,
    },
    {
      name: 'score per watt',
      interval: true,
      kind: 'score',
      of: ({ of }) => of.atEqualPower?.perWatt ?? null,
    },
    {
      name: 'beyond the measured powers',
      of: ({ of }) => (of.atEqualPower === null ? null : of.atEqualPower.extrapolated ? 'yes' : 'no'),
    },
  ])
}

const CAUSES: readonly ReviewCause[] = ['chip', 'power', 'temperature', 'rest']

function pairsTable({ results }: Review): DataTable {
  const rows = results.flatMap((result) => result.pairs.map((pair) => ({ result, pair })))
  return dataTable('How much faster the first machine is, by workload', rows, [
    { name: 'mode', of: ({ result }) => result.mode },
    { name: 'workload', of: ({ result }) => result.workload },
    { name: 'metric', of: ({ result }) => result.metric },
    { name: 'first', of: ({ pair }) => pair.a },
    { name: 'second', of: ({ pair }) => pair.b },
    { name: 'as tested', unit: '%', interval: true, of: ({ pair }) => percentOf(pair.asTested) },
    {
      name: 'at equal power',
      unit: '%',
      interval: true,
      of: ({ pair }) => pair.atEqualPower && percentOf(pair.atEqualPower),
    },
    ...CAUSES.map(
      (name): DataColumn<(typeof rows)[number]> => ({
        name: `by ${name}`,
        unit: '%',
        interval: true,
        of: ({ pair }) => pair.parts?.find((part) => part.name === name)?.percent ?? null,
      }),
    ),
    { name: 'power explains', of: ({ pair }) => pair.powerExplains },
  ])
}

function meansTable({ means }: Review): DataTable {
  return dataTable('How much faster the first machine is: geometric mean over workloads', means, [
    { name: 'mode', of: (mean) => mean.mode },
    { name: 'first', of: (mean) => mean.a },
    { name: 'second', of: (mean) => mean.b },
    { name: 'as tested', unit: '%', interval: true, of: (mean) => percentOf(mean.asTested.ratio) },
    { name: 'workloads as tested', of: (mean) => mean.asTested.workloads.length },
    {
      name: 'at equal power',
      unit: '%',
      interval: true,
      of: (mean) => mean.atEqualPower && percentOf(mean.atEqualPower.ratio),
    },
    { name: 'workloads at equal power', of: (mean) => mean.atEqualPower?.workloads.length ?? 0 },
    ...CAUSES.map(
      (name): DataColumn<Review['means'][number]> => ({
        name: `by ${name}`,
        unit: '%',
        interval: true,
        of: (mean) => mean.parts?.find((part) => part.name === name)?.percent ?? null,
      }),
    ),
  ])
}

function modesTable({ modes }: Review): readonly DataTable[] {
  if (modes.length === 0) return []
  const percent = (ratio: Review['modes'][number]['ratio']) => {
    return { ...ratio, value: 100 * ratio.value, low: 100 * ratio.low, high: 100 * ratio.high }
  }
  return [
    dataTable('Power modes: speed of each against the first, geometric mean over workloads', modes, [
      { name: 'machine', of: (mode) => mode.machine },
      { name: 'mode', of: (mode) => mode.mode },
      { name: 'against', of: (mode) => mode.against },
      { name: 'speed', unit: '%', interval: true, of: (mode) => percent(mode.ratio) },
    ]),
  ]
}
