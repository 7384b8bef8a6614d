import type { Stretch } from '../cut/stretch.js'
import type { Stage } from '../load.js'

/** A stage before it is measured: the stretches, over one or several runs, that show one behaviour. */
export interface DraftStage {
  readonly shape: Stage['shape']
  readonly stretches: readonly Stretch[]
}
