import type { Noise } from '../numeric/noise.js'

/** Noise of a load's samples, and the step of the grid that its logger rounded them to. */
export interface LoadNoise extends Noise {
  /** W; undefined when no grid is seen. */
  readonly gridW: number | undefined
}
