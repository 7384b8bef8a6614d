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
  /** With floor and ceiling where the load ends too soon for a level. */
  | {
      readonly code: 'not-settled'
      readonly atS: number
      readonly bounds?: { readonly floorW: number; readonly ceilingW: number } | null
    }
  /** Power comes and goes within a load faster than its samples follow, which are instants. */
  | { readonly code: 'samples-too-far-apart'; readonly atS: number; readonly intervalS: number }
  /** No samples for so long in the middle of a load: a stage may have begun there. */
  | { readonly code: 'gap-in-load'; readonly atS: number; readonly forS: number }
  | { readonly code: 'run-length-unknown'; readonly supposedS: number }
  | {
      readonly code: 'runs-placed-by-scores' | 'runs-differ-from-scores'
      readonly file: string
      readonly scored: number
      readonly found: number
    }
  | {
      readonly code: 'mean-of-other-runs'
      readonly file: string
      readonly atS: number
      readonly runs: number
      readonly found: number
    }
  | { readonly code: 'no-load'; readonly file: string }
  /** Loads as a person set them, not as found. */
  | { readonly code: 'loads-given'; readonly file: string; readonly loads: number }
  /** A row of a table of scores fits no run of its log. */
  | {
      readonly code: 'score-unplaced'
      readonly file: string
      readonly line: number
      readonly reason: string
    }
  /** Columns of words in a table of scores, under headings that are not known. */
  | { readonly code: 'columns-unread'; readonly file: string; readonly columns: readonly string[] }
  /** A score such as `9.533`, which may be thousands to whoever wrote it. */
  | {
      readonly code: 'score-point-open'
      readonly file: string
      readonly line: number
      readonly cell: string
    }
  /** More than a tenth of a log's samples were broken: no result from it is to be trusted unseen. */
  | {
      readonly code: 'log-much-mended'
      readonly file: string
      readonly broken: number
      readonly samples: number
    }
  /** Powers such as `9.533` mW were read as thousands. */
  | { readonly code: 'read-as-thousands'; readonly file: string; readonly detail: string }
  | { readonly code: 'run-without-power' | 'run-cut-off'; readonly file: string; readonly atS: number }
  /** The pace of the work comes later in the log than its power by so much (before it, below 0): it was moved. */
  | { readonly code: 'rate-lags'; readonly file: string; readonly lagS: number }
  /** The pace wanders so slowly that only a few blocks of it are as good as independent. */
  | {
      readonly code: 'rate-wanders'
      readonly file: string
      readonly correlationS: number
      readonly blocks: number
    }
  /** Too few scored runs for a slope or a scatter. */
  | { readonly code: 'scored-runs-few'; readonly runs: number }
  /** All runs at nearly one power: the slope of the score curve is prior knowledge. */
  | { readonly code: 'powers-alike'; readonly measuredRangeW: readonly [number, number] }
  /** A run far off the curve that the others make: it was set back. */
  | {
      readonly code: 'run-off-curve'
      readonly sheet: string
      /** Which of the runs that were fitted, counted from 0. */
      readonly run: number
      readonly startS: number
      readonly score: number
      readonly offPct: number
    }
  /** Runs at equal power scatter more than a quiet machine's. */
  | { readonly code: 'scores-scatter'; readonly scatterPct: number }
  /** A level at more power scores less than one below it, by more than runs scatter. */
  | {
      readonly code: 'levels-disagree'
      readonly lowerW: number
      readonly higherW: number
      readonly fallPct: number
    }
  /** From one level to the next above, score and clock change as at one setting they can't. */
  | {
      readonly code: 'level-clocks-disagree'
      readonly lowerW: number
      readonly higherW: number
      readonly clockPct: number
      readonly scorePct: number
    }
  /** A noted power that was at its limit for a part of the time only: below a limit of as much, the score is another. */
  | { readonly code: 'level-partly-capped'; readonly powerW: number; readonly cappedPct: number }
  /** A simple form foretells levels that are left out better than the curve does: intervals are widened by it. */
  | {
      readonly code: 'simple-form-better'
      readonly form: string
      readonly formMissPct: number
      readonly missPct: number
    }
  /** No idle power before or between the loads: holds count from an average that was supposed. */
  | { readonly code: 'idle-not-seen'; readonly supposedW: number }
  /** Trials in several power modes: chassis and scores as tested are of `main`; where no sheet says which, the chassis is of the longest load. */
  | { readonly code: 'modes-mixed'; readonly modes: readonly string[]; readonly main?: string }
  /** Stages look like set limits, but heat reproduces the power better. */
  | { readonly code: 'heat-explains-better' }
  /** Drops come a set time after the load began: no budget explains the runs after pauses. */
  | { readonly code: 'timed-step-explains-better' }
  /** No model reproduces the measured power: its misfit, in noise widths. */
  | { readonly code: 'chassis-fit-poor'; readonly noiseWidths: number }
  /** The fitted chassis draws this much more (below 0: less), per cent, than was measured at the end of its own load. */
  | { readonly code: 'chassis-misses-steady'; readonly missedPct: number }
  /** One time constant doesn't explain the bursts of all runs. */
  | {
      readonly code: 'budget-varies'
      readonly runs: number
      readonly worstRun: number
      readonly burstDeviationPct: number
    }
  /** A recording without a temperature, or without a clock: what held power down may stay open. */
  | { readonly code: 'record-temperature-missing' | 'record-clock-missing' }
  /** An energy counter that answered and never moved. */
  | { readonly code: 'record-counter-still' }
  /** Energy counters that are there but may not be read. */
  | { readonly code: 'record-counters-denied'; readonly count: number }
  /** What the recorded command printed and nobody took. */
  | { readonly code: 'record-output-dropped'; readonly bytes: number }
  /** The system lets the processor go up to this share of its highest clock only. */
  | { readonly code: 'record-clock-limited'; readonly pct: number }
  /** Samples in which a counter or sensor of the power did not answer. */
  | { readonly code: 'record-incomplete'; readonly count: number; readonly samples: number }
  /** Samples before which the energy is not known: they are set aside by whoever reads the log. */
  | { readonly code: 'record-energy-unknown'; readonly count: number; readonly samples: number }
  /** Runs of the recorded command ended with an error: the first one's status, or the signal that ended it. */
  | {
      readonly code: 'record-command-failed'
      readonly status: number | null
      readonly signal: string | null
      readonly runs: readonly number[]
      readonly of: number
    }
  /** Runs in whose output no score was found, or something that is none. */
  | {
      readonly code: 'record-score-missing'
      readonly runs: readonly number[]
      readonly of: number
      readonly unreadable: string | null
    }
  /** Scores are the runs' times, for want of a pattern. */
  | { readonly code: 'record-score-is-time' }
  /** The machine slept while it was recorded. */
  | { readonly code: 'record-slept'; readonly atS: number; readonly forS: number }
  /** The user ended the recording. */
  | { readonly code: 'record-interrupted'; readonly atS: number }
  /** None of the counters is a whole package, and which one stands for it is open. */
  | { readonly code: 'record-power-unclear'; readonly columns: readonly string[] }
