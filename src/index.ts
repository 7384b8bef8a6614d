// The public library: what section 4 of cli/README.md names, and one function for each command. Nothing in src imports this.

export type { CheckedFile } from './audit/checkFile.js'
export { checkFiles } from './audit/checkFiles.js'
export type { Finding, Severity } from './audit/finding.js'
export * from './browser.js'
export { readLog } from './files/readLog.js'
export { fitMachine } from './machine/fitMachine.js'
export { readStages } from './machine/readStages.js'
// A whole review: `readReview` each sheet, `fitReview` all of them together, then `reviewMachines`.
export {
  fitReview,
  type ReviewedMachine,
  type ReviewedTest,
  type ScoredPart,
  type ScoredPower,
} from './machine/review/fitReview.js'
export { type ReadReview, type ReadReviewTest, readReview } from './machine/review/readReview.js'
export type { ReadStages } from './machine/stagesOfLog.js'
export { readChassis } from './model/readChassis.js'
export { readChip } from './model/readChip.js'
export { writeChassis } from './model/writeChassis.js'
export { writeChip } from './model/writeChip.js'
export type { ReviewedPair, ReviewPart } from './predict/review/comparePair.js'
export type { ModeMean } from './predict/review/modeMeans.js'
export type { LeftOut, MeanRatio, PairMean } from './predict/review/pairMeans.js'
export { type Review, reviewMachines } from './predict/review/reviewMachines.js'
export type { ReviewedResult, ReviewResult } from './predict/review/reviewResults.js'
export { recordLog } from './record/session/recordLog.js'
export { parseReview } from './sheet/parseReview.js'
export { readReviewSheet, readSheet } from './sheet/readSheet.js'
export type { LoneScore, ReviewSheet, SheetTest } from './sheet/reviewSheet.js'
export { pageCharts } from './show/page/pageCharts.js'
export { pageContent } from './show/page/pageContent.js'
export { plotPage } from './show/page/plotPage.js'
export { plotReviewPage } from './show/page/review/plotReviewPage.js'
export { reviewCharts } from './show/page/review/reviewCharts.js'
export { reviewContent } from './show/page/review/reviewContent.js'
export { writeCharts, writePage } from './show/page/writePage.js'
