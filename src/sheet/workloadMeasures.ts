import { InputError, type InputLocation } from '../errors.js'
import type { Workload } from '../physics/chip/chip.js'
import { type RawWorkload, RUN_KEYS } from './sheetSchema.js'

/** A workload by one of its metrics. */
export interface Measure {
  readonly task: string
  readonly metric: string
  /** Key of its value in a run. */
  readonly key: string
  readonly isFirst: boolean
  readonly isOneOfSeveral: boolean
  readonly workload: Workload
  readonly fixed: 'work' | 'time'
  readonly at: InputLocation
}

export type Locate = (path: readonly PropertyKey[]) => InputLocation

/**
 * The metrics of a workload, each as a workload of its own.
 *
 * @throws InputError `workload-without-metric`, `metric-name-taken`
 */
export function workloadMeasures(workload: RawWorkload, locate: Locate): readonly Measure[] {
  const { name: task, fixed = 'work' } = workload
  const metrics = metricsOf(workload, locate)
  return metrics.map(({ key, metric, unit, better, at }, index) => ({
    task,
    metric,
    key,
    isFirst: index === 0,
    isOneOfSeveral: metrics.length > 1,
    workload: { name: metrics.length > 1 ? `${task}, ${metric}` : task, score: unit, better },
    fixed,
    at,
  }))
}

/** Metrics as listed, or the one of the short form, which stands under `score` in a run. */
function metricsOf({ metrics, score, better }: RawWorkload, locate: Locate) {
  if (metrics !== undefined && score === undefined && better === undefined) {
    const listed = Object.entries(metrics)
    const reserved = listed.find(([name]) => RUN_KEYS.includes(name))
    if (reserved !== undefined) {
      throw new InputError(
        'metric-name-taken',
        `\`${reserved[0]}\` is a key of a run, and so no name of a metric`,
        {
          where: locate(['metrics', reserved[0]]),
          remedy: 'give the metric another name, such as `duration`',
        },
      )
    }
    if (listed.length > 0) {
      return listed.map(([name, metric]) => {
        const at = locate(['metrics', name])
        return { key: name, metric: name, unit: metric.unit ?? name, better: metric.better, at }
      })
    }
  }
  if (metrics === undefined && score !== undefined && better !== undefined) {
    return [{ key: 'score', metric: score, unit: score, better, at: locate(['score']) }]
  }
  throw new InputError(
    'workload-without-metric',
    'a workload has `metrics`, or one `score` with `better`; this has neither, or parts of both',
    {
      where: locate([]),
      remedy: 'write `metrics: { fps: { better: higher } }`, or `score: points` and `better: higher`',
    },
  )
}
