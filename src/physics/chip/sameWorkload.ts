import type { Workload } from './chip.js'

/** Whether two machines did the same work: name, unit and direction of the score agree. */
export function isSameWorkload(a: Workload, b: Workload): boolean {
  return workloadKey(a) === workloadKey(b)
}

/** A text that is the same for the same work only. */
export function workloadKey({ name, score, better }: Workload): string {
  return JSON.stringify([name, score, better])
}
