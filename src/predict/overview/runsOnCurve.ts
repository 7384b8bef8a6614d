import type { TestedMachine } from '../../machine/testedMachine.js'
import { chipAt } from '../../physics/chip/chipAt.js'

/** Runs as they are set on a drawing of the curve. */
export interface RunsOnCurve {
  readonly runs: readonly { readonly meanW: number; readonly score: number }[]
  /** Temperature that the curve holds for and the runs were brought to, degrees C; null when it made no difference. */
  readonly referenceC: number | null
}

/**
 * Runs as dots on the curve. Hot silicon leaks, so a run at another temperature than the curve's scores beside it; dots are
 * moved by what the fit says of that, and show what is left: how well curve and runs agree.
 */
export function runsOnCurve({ chip, runs }: Pick<TestedMachine, 'chip' | 'runs'>): RunsOnCurve {
  const { referenceC } = chip
  if (referenceC === undefined || !chip.draws.some((draw) => draw.heatPerK)) return { runs, referenceC: null }
  const moved = runs.map(({ meanW, score, fittedScore }) => {
    const onCurve = chipAt(chip, meanW)?.score.value ?? fittedScore
    return { meanW, score: (onCurve * score) / fittedScore }
  })
  return { runs: moved, referenceC }
}
