import type { Chart } from '../../show/charts/chart.js'
import type { MethodBox } from '../../show/page/methodBox.js'
import type { PageInput } from '../../show/page/pageContent.js'
import type { ToldWarning } from '../output/answerDocument.js'

/** A page before it is written, and what is written beside it. */
export interface MadePage {
  readonly page: string
  readonly headline: string
  readonly charts: readonly Chart[]
  readonly box: MethodBox
  readonly inputs: readonly PageInput[]
  readonly warnings: readonly ToldWarning[]
}

/** What a page is made of, and what is told meanwhile. */
export interface PageRequest {
  readonly paths: readonly string[]
  readonly version: string
  /** The command that makes the page again. */
  readonly command: string
  /** Power of a review's comparison at equal power, W, where somebody chose it. */
  readonly atW: number | undefined
  readonly dark: boolean
  readonly onProgress: (done: number) => void
}
