import type { Estimate } from '../../src/numeric/statistics/estimate.js'

/** One printed interval beside the truth. */
export interface CoverageSample {
  /** What was estimated, in words of the table. */
  readonly figure: string
  /** Kind of chassis. */
  readonly group: string
  readonly truth: number
  readonly value: number
  readonly low: number
  readonly high: number
  /** Errors and widths as a part of the truth, or in the figure's own unit (seconds). */
  readonly scale: 'relative' | 'seconds'
}

/** Something that was right or wrong, or an error without an interval (relative, absolute value). */
export interface StudyFact {
  readonly fact: string
  readonly group: string
  readonly value: number
}

/** What one world showed. */
export interface WorldFindings {
  readonly samples: readonly CoverageSample[]
  readonly facts: readonly StudyFact[]
  /** Messages of whatever was thrown: a study that swallows failures proves nothing. */
  readonly failures: readonly string[]
}

/** Collects what a world shows. */
export function makeFindings(group: string) {
  const samples: CoverageSample[] = []
  const facts: StudyFact[] = []
  const failures: string[] = []
  return {
    interval(
      figure: string,
      estimate: Estimate | null | undefined,
      truth: number,
      scale: CoverageSample['scale'] = 'relative',
    ) {
      if (estimate === null || estimate === undefined || !Number.isFinite(truth)) return
      const { value, low, high } = estimate
      samples.push({ figure, group, truth, value, low, high, scale })
    },
    fact(fact: string, value: number | boolean) {
      facts.push({ fact, group, value: Number(value) })
    },
    /** Runs a part of a world's evaluation; a failure is kept, and the other parts go on. */
    async attempt(what: string, run: () => void | Promise<void>): Promise<void> {
      try {
        await run()
      } catch (error) {
        failures.push(`${what}: ${error instanceof Error ? error.message : String(error)}`)
      }
    },
    failed(failure: string): void {
      failures.push(failure)
    },
    done: (): WorldFindings => ({ samples, facts, failures }),
  }
}

export type Findings = ReturnType<typeof makeFindings>
