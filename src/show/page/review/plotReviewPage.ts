import type { Review } from '../../../predict/review/reviewMachines.js'
import type { Chart } from '../../charts/chart.js'
import { type Html, html } from '../../figures/html.js'
import { sayCount } from '../../figures/sayEstimate.js'
import { type PairOfMode, pairsOf } from '../../tables/wordedPairs.js'
import { headlineOfReview } from '../../text/reviewHeadline.js'
import { pageFigure } from '../pageFigure.js'
import { type PageParts, pageFrame } from '../pageFrame.js'
import { inputsSection } from '../pageSections.js'
import type { ReviewContent } from './reviewContent.js'
import { reviewMethod } from './reviewMethod.js'
import {
  causesSection,
  meansSection,
  modesSection,
  quoteSection,
  reviewAudit,
  reviewStandfirst,
  scoresSection,
  toldByPair,
} from './reviewSections.js'

/**
 * The page of a whole review as one HTML file that asks nothing of any network: the verdict and sentences to quote, means over
 * workloads, a picture for each pair of machines and mode, every score, causes, modes, the audit and the method.
 *
 * Its figures are those of `holdwatt review`, worded by the same functions.
 *
 * @param charts - of `reviewCharts`
 * @param options.dark - whether the page begins dark; otherwise it follows the reader's system
 */
export async function plotReviewPage(
  content: ReviewContent,
  charts: readonly Chart[],
  options: PageParts & { readonly dark: boolean },
): Promise<string> {
  const { review, version } = content
  const sections = [
    ['quote', 'In words', quoteSection(review)],
    ['means', 'Means', meansSection(review)],
    ['pairs', 'Side by side', await pairsSection(charts, review)],
    ['scores', 'Every score', scoresSection(review, content.atW)],
    ['causes', 'Chip, watts or cooling', causesSection(review)],
    ['modes', 'Power modes', modesSection(review)],
    ['audit', 'Was the test fair?', reviewAudit(content)],
    ['method', 'How it was computed', methodSection(content)],
    ['inputs', 'Repeat it', inputsSection(content, reviewMethod(content))],
  ] as const
  const told = sections.flatMap(([id, name, section]) => (section === null ? [] : [{ id, name, section }]))
  return pageFrame(
    {
      version,
      title: headlineOfReview(review),
      kicker: `A review of ${sayCount(review.machines.length, 'machine')}`,
      standfirst: reviewStandfirst(review),
      links: told.map(({ id, name }) => [id, name] as const),
      lead: html``,
      parts: told.map(({ section }) => section),
    },
    options,
  )
}

async function pairsSection(charts: readonly Chart[], review: Review): Promise<Html | null> {
  if (charts.length === 0) return null
  const pairs = pairsOf(review)
  const figures: { readonly of: PairOfMode; readonly told: Html }[] = []
  for (const [index, chart] of charts.entries())
    figures.push({ of: pairs[index]!, told: await pageFigure(chart) })
  return html`<section id="pairs" aria-labelledby="pairs-title"><h2 id="pairs-title">Side by side, as tested and at equal power</h2>
${toldByPair(figures, review)}</section>`
}

function methodSection(content: ReviewContent): Html {
  const [, ...paragraphs] = reviewMethod(content).paragraphs
  return html`<section id="method" aria-labelledby="method-title"><h2 id="method-title">How it was computed</h2>
${paragraphs.map((text) => html`<p>${text}</p>`)}
<ul>
<li>Another workload has another curve, and another sample of a machine other watts.</li>
<li>Room temperature, cooling, firmware and power mode change what a machine holds.</li>
<li>Power is what the machine’s own sensor reported; its error is in every figure that has watts in it.</li>
</ul>
${content.cautions === '' ? null : html`<p>${content.cautions}</p>`}</section>`
}
