import { checkSheet } from '../../audit/checkFile.js'
import { checkTogether } from '../../audit/checkTogether.js'
import { readInTurn } from '../../files/readInTurn.js'
import type { SharedLogs } from '../../machine/readTestedMachine.js'
import { fitReview } from '../../machine/review/fitReview.js'
import { readReviewTests } from '../../machine/review/readReview.js'
import { reviewWarnings } from '../../machine/review/reviewWarnings.js'
import { asReview } from '../../sheet/parseReview.js'
import type { ReviewSheet } from '../../sheet/reviewSheet.js'
import type { TestSheet } from '../../sheet/testSheet.js'
import { readInputs } from '../../show/page/readInputs.js'
import { readPageParts } from '../../show/page/readPageParts.js'
import { plotReviewPage } from '../../show/page/review/plotReviewPage.js'
import { reviewCharts } from '../../show/page/review/reviewCharts.js'
import { reviewContent } from '../../show/page/review/reviewContent.js'
import { reviewMethod } from '../../show/page/review/reviewMethod.js'
import { headlineOfReview } from '../../show/text/reviewHeadline.js'
import type { MadePage, PageRequest } from './madePage.js'

/**
 * The page of a whole review: machines with many workloads and modes.
 *
 * @param request.sheets - as written, in the order of the paths
 */
export async function pageReview({
  paths,
  sheets,
  version,
  command,
  dark,
  atW,
  onProgress,
}: PageRequest & { readonly sheets: readonly (TestSheet | ReviewSheet)[] }): Promise<MadePage> {
  let done = 0
  const logs: SharedLogs = new Map()
  const read = await readInTurn(sheets, async (sheet) => {
    const whole = await readReviewTests(asReview(sheet), logs)
    onProgress(++done)
    return whole
  })
  const machines = fitReview(read)
  const tests = read.flatMap(({ sheet, tests: own }) =>
    own.map((test) => ({ file: sheet.file, read: test.read })),
  )
  const named = sheets.map((sheet, index) => ({ path: paths[index]!, sheet }))
  const [inputs, audited] = await Promise.all([
    readInputs(tests),
    readInTurn(named, ({ path, sheet }) => checkSheet(path, sheet, logs)),
  ])
  const content = reviewContent(
    read,
    machines,
    { version, command, inputs, findings: checkTogether(audited) },
    atW === undefined ? {} : { atW },
  )
  const charts = reviewCharts(content.review)
  return {
    page: await plotReviewPage(content, charts, { ...(await readPageParts('pageScript')), dark }),
    headline: headlineOfReview(content.review),
    charts,
    box: reviewMethod(content),
    inputs,
    warnings: reviewWarnings(machines),
  }
}
