import type { IndexRange } from './indexRange.js'

/** Of a long run, so many stretches of so many samples tell the noise to less than a per cent; and of many runs, as many in all. */
const STRETCHES = 8
const STRETCH = 2500

/** Runs by which the noise is told: some of very many, and the long ones by stretches spread evenly over them. */
export function tellingStretches(runs: readonly IndexRange[]): readonly IndexRange[] {
  const samples = runs.reduce((sum, run) => sum + run.to - run.from, 0)
  const every = Math.min(
    Math.max(1, Math.floor(samples / (STRETCHES * STRETCH))),
    Math.ceil(runs.length / STRETCHES),
  )
  return runs
    .filter((_, i) => i % every === 0)
    .flatMap((run) => {
      const spare = run.to - run.from - STRETCHES * STRETCH
      if (spare <= 0) return [run]
      return Array.from({ length: STRETCHES }, (_, k) => {
        const from = run.from + k * STRETCH + Math.floor((k * spare) / (STRETCHES - 1))
        return { from, to: from + STRETCH }
      })
    })
}
