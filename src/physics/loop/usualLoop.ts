/** What a looped test has where neither the test nor the user says; common practice, no source. */
export const USUAL_LOOP = { runs: 20, gapS: 0 } as const

/** Length of a run that is not known, s: about what a looped test takes; common practice, no source. */
export const USUAL_RUN_S = 60

/** The steady score and power of a loop are the means of its last runs: of this many. */
export const STEADY_RUNS = 3
