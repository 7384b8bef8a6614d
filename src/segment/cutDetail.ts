/** How closely a cut is looked for; the search is quadratic in the candidates. */
export interface CutDetail {
  /** Up to so many samples each is a candidate. */
  readonly every: number
  /** Cells of the even grid in longer series. */
  readonly grid: number
  /** Most candidates. */
  readonly most: number
  /** From one time constant of the search to the next. */
  readonly tauFactor: number
  /** Steps of golden section by which a time constant is freed from the search's ladder; each keeps 62 % of the bracket. */
  readonly polishSteps: number
}

/** A relaxation of any length between the steps is cut finely enough. */
export const FULL_DETAIL: CutDetail = { every: 240, grid: 160, most: 420, tauFactor: 1.5, polishSteps: 14 }

/** Enough to tell the noise: every step is still cut where it is, only slow courses more roughly. */
export const ROUGH_DETAIL: CutDetail = { every: 40, grid: 30, most: 120, tauFactor: 1.5 ** 2, polishSteps: 6 }
