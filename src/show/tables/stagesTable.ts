import type { Trace } from '../../log/trace.js'
import type { Load, Stage } from '../../segment/load.js'
import { shareBudget } from '../../segment/shareBudget.js'
import { type DataTable, dataTable } from './dataTable.js'

/** Every stage of every load of every log, a row each. */
export function stagesTable(
  logs: readonly {
    readonly path: string
    readonly loads: readonly Load[]
    /** Where it is at hand, the table has what processor and graphics took. */
    readonly trace?: Trace
  }[],
): DataTable {
  const rows = logs.flatMap(({ path, loads, trace }) =>
    loads.flatMap((load, index) =>
      load.stages.map((stage, at) => {
        const shares = trace === undefined ? undefined : shareBudget(trace, load, stage)
        return { path, load, index, stage, at, shares }
      }),
    ),
  )
  const part = (name: string, of: 'processorW' | 'graphicsW' | 'restW') => ({
    name,
    unit: 'W',
    interval: true as const,
    of: ({ shares }: (typeof rows)[number]) => shares?.[of] ?? null,
  })
  const parts = rows.some(({ shares }) => shares !== undefined)
    ? [part('processor', 'processorW'), part('graphics', 'graphicsW'), part('rest', 'restW')]
    : []
  return dataTable(logs.length === 1 ? `Stages of ${logs[0]!.path}` : 'Stages', rows, [
    { name: 'log', of: ({ path }) => path },
    { name: 'load', of: ({ index }) => index + 1 },
    { name: 'stage', of: ({ at }) => at + 1 },
    { name: 'label', of: ({ stage }) => stage.label },
    { name: 'shape', of: ({ stage }) => stage.shape },
    { name: 'start', unit: 's', of: ({ stage }) => toMillis(stage.startS) },
    { name: 'end', unit: 's', of: ({ stage }) => toMillis(stage.endS) },
    { name: 'mean power', unit: 'W', interval: true, of: ({ stage }) => stage.levelW },
    { name: 'toward', unit: 'W', interval: true, of: ({ stage }) => stage.decay?.towardW ?? null },
    { name: 'time constant', unit: 's', interval: true, of: ({ stage }) => stage.decay?.tauS ?? null },
    { name: 'held by', of: ({ stage }) => stage.heldBy.label },
    { name: 'settled', of: ({ load, stage }) => settled(load, stage) },
    {
      name: 'settled power',
      unit: 'W',
      interval: true,
      of: ({ load, stage }) => (isLast(load, stage) ? load.sustained.levelW : null),
    },
    ...parts,
  ])
}

function isLast(load: Load, stage: Stage): boolean {
  return load.stages.at(-1) === stage
}

/** Only of a load's last stage can be asked whether it settled. */
function settled(load: Load, stage: Stage): string {
  if (!isLast(load, stage)) return ''
  return load.sustained.reached ? 'yes' : 'no'
}

/** A time of a log, s: no finer than a millisecond, which no logger's clock is. */
function toMillis(seconds: number): number {
  return Number(seconds.toFixed(3))
}
