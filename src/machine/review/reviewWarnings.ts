import type { Warning } from '../../warnings.js'
import type { ReviewedMachine } from './fitReview.js'

/** A warning of a review, with the machine, workload and power mode that it is about, or the chip and workload. */
export type ReviewWarning = Warning & { readonly about: string }

/** The warnings of all tests of a review, in the order of machines and tests. */
export function reviewWarnings(machines: readonly ReviewedMachine[]): readonly ReviewWarning[] {
  return machines.flatMap(({ machine, chip, tests }) =>
    tests.flatMap(({ workload, mode, warnings, chipWarnings }) => {
      const ofTest = `${machine}, ${workload.name}${mode === null ? '' : ` @ ${mode}`}`
      return [
        ...warnings.map((warning) => ({ ...warning, about: ofTest })),
        ...chipWarnings.map((warning) => ({ ...warning, about: `${chip}, ${workload.name}` })),
      ]
    }),
  )
}
