import type { FuzzReport } from './fuzzWorker.js'

/** What a fuzzing run has seen so far. */
export interface Tally {
  readonly seed: number
  readonly cases: number
  readonly outcomes: Map<string, number>
  readonly failures: string[]
  readonly slowest: FuzzReport[]
  readonly largest: FuzzReport[]
  peakMB: number
}

/** The summary: counts by outcome, worst time and memory, and every failure with the way to repeat it. */
export function sayFuzz({ seed, cases, outcomes, failures, slowest, largest, peakMB }: Tally): string {
  const counts = [...outcomes]
    .sort((a, b) => b[1] - a[1])
    .map(([outcome, count]) => `${String(count).padStart(7)}  ${outcome}`)
  const worst = slowest.map(
    ({ number, cpuS, bytes, outcome }) =>
      `  ${seed}:${number}  ${cpuS.toFixed(2)} s for ${bytes} bytes, ${outcome}`,
  )
  const failed = failures.map((failure) => `  ${failure.split('\n')[0]!.slice(0, 200)}`)
  return [
    `Seed ${seed}, ${cases} inputs, the largest of ${largest[0]?.bytes ?? 0} bytes.`,
    '',
    ...counts,
    '',
    `Worst processor time:`,
    ...worst,
    `Peak memory of the process: ${Math.round(peakMB)} MB.`,
    '',
    failed.length === 0
      ? 'No promise was broken.'
      : `${failed.length} broke a promise (npm run fuzz -- SEED:NUMBER repeats one):`,
    ...failed,
    '',
  ].join('\n')
}
