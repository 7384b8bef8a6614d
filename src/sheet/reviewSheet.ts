import type { InputLocation } from '../errors.js'
import type { TestSheet } from './testSheet.js'

/** One machine with everything that it was tested with: what a sheet says as a whole. */
export interface ReviewSheet {
  readonly file: string
  readonly machine: string
  readonly chip: string
  readonly chassis: string
  /** In the order of workloads, then of modes, then of metrics. */
  readonly tests: readonly SheetTest[]
}

/** One workload in one power mode, by one of its metrics. */
export interface SheetTest {
  /** Name of the workload in the sheet. */
  readonly task: string
  readonly metric: string
  /** Whether it is the workload's first metric: the one that stands for it in a mean over workloads. */
  readonly isFirst: boolean
  /** Whether the workload has other metrics too. */
  readonly isOneOfSeveral: boolean
  readonly mode: string | null
  /** The same as a sheet of its own, with the trials whose power is known; it may have none. */
  readonly sheet: TestSheet
  /** Scores of trials without any power. */
  readonly alone: readonly LoneScore[]
}

/** A score whose power nobody knows. */
export interface LoneScore {
  readonly score: number
  /** How many runs the score is the mean of; left out: one. */
  readonly of?: number
  readonly at: InputLocation
}

/** How people name a test: workload, metric where it has several, and mode. */
export function testLabel({
  task,
  metric,
  isOneOfSeveral,
  mode,
}: Omit<SheetTest, 'sheet' | 'alone' | 'isFirst'>): string {
  return `${isOneOfSeveral ? `${task}, ${metric}` : task}${mode === null ? '' : ` @ ${mode}`}`
}

/** Every workload of a sheet by every metric, whatever its modes, as people name it; those alone whose power is known in some trial. */
export function poweredNames({ tests }: ReviewSheet): readonly string[] {
  const powered = tests.filter(({ sheet }) => sheet.trials.length > 0)
  return [...new Set(powered.map((test) => testLabel({ ...test, mode: null })))]
}
