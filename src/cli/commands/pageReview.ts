import { checkFiles } from '../../audit/checkFiles.js'
import { readInTurn } from '../../files/readInTurn.js'
import { fitReview } from '../../machine/review/fitReview.js'
import { readReview } from '../../machine/review/readReview.js'
import { readInputs } from '../../show/page/readInputs.js'
import { readPageParts } from '../../show/page/readPageParts.js'
import { plotReviewPage } from '../../show/page/review/plotReviewPage.js'
import { reviewCharts } from '../../show/page/review/reviewCharts.js'
import { reviewContent } from '../../show/page/review/reviewContent.js'
import { reviewMethod } from '../../show/page/review/reviewMethod.js'
import { headlineOfReview } from '../../show/text/reviewHeadline.js'
import { about } from '../output/answerDocument.js'
import type { MadePage, PageRequest } from './madePage.js'

/** The page of a whole review: machines with many workloads and modes. */
export async function pageReview({
  paths,
  version,
  command,
  dark,
  atW,
  onProgress,
}: PageRequest): Promise<MadePage> {
  let done = 0
  const read = await readInTurn(paths, async (path) => {
    const sheet = await readReview(path)
    onProgress(++done)
    return sheet
  })
  const machines = fitReview(read)
  const tests = read.flatMap(({ sheet, tests: own }) =>
    own.map((test) => ({ file: sheet.file, read: test.read })),
  )
  const [inputs, findings] = await Promise.all([readInputs(tests), checkFiles(paths)])
  const content = reviewContent(
    read,
    machines,
    { version, command, inputs, findings },
    atW === undefined ? {} : { atW },
  )
  const charts = reviewCharts(content.review)
  return {
    page: await plotReviewPage(content, charts, { ...(await readPageParts('pageScript')), dark }),
    headline: headlineOfReview(content.review),
    charts,
    box: reviewMethod(content),
    inputs,
    warnings: machines.flatMap(({ machine, tests: of }) =>
      of.flatMap(({ workload, warnings }) => about(`${machine}, ${workload.name}`, warnings)),
    ),
  }
}
