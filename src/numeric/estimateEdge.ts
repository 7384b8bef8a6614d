import { ESTIMATE_LEVEL } from './estimate.js'
import { normalQuantile } from './normalQuantile.js'

/** Standard errors between the middle and either end of a published interval of a normal figure: 1.645 at 90 %. */
export const ESTIMATE_EDGE = normalQuantile((1 + ESTIMATE_LEVEL) / 2)
