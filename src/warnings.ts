/**
 * Every warning as data. Rooms add members here; they are worded for people in `show/sayWarning.ts` only.
 * `code` is what the JSON prints.
 */
export type Warning =
  | {
      readonly code: 'extrapolated'
      readonly measuredRangeW: readonly [number, number]
      readonly powerW: number
    }
  | { readonly code: 'not-settled'; readonly atS: number }
  | { readonly code: 'run-length-unknown'; readonly supposedS: number }
  | {
      readonly code: 'runs-placed-by-scores' | 'runs-differ-from-scores'
      readonly file: string
      readonly scored: number
      readonly found: number
    }
  | { readonly code: 'no-load'; readonly file: string }
  | { readonly code: 'run-without-power'; readonly file: string; readonly atS: number }
