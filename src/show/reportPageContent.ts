import type { TestedMachine } from '../machine/testedMachine.js'
import type { ChipComparison } from '../project/compareChips.js'
import type { FileFindings } from './sayFindings.js'
import type { GapView } from './sayGap.js'

/** All that a report shows, computed before it is worded and drawn. */
export interface ReportContent {
  readonly version: string
  /** The command that makes the report again. */
  readonly command: string
  readonly machines: readonly TestedMachine[]
  /** Null when there is one machine, or the workloads differ. */
  readonly comparison: ChipComparison | null
  /** First machine against each other one. */
  readonly gaps: readonly GapView[]
  readonly findings: readonly FileFindings[]
  /** Warnings in words. */
  readonly warnings: readonly { readonly code: string; readonly message: string }[]
  /** Cautions in words, for whoever might act on a projection. */
  readonly cautions: readonly string[]
  readonly inputs: readonly ReportInput[]
}

/** A file that the report was made from. */
export interface ReportInput {
  readonly name: string
  readonly bytes: number
  readonly sha256: string
}
