import type { Review } from '../../../predict/review/reviewMachines.js'
import { capitalised } from '../../figures/capitalised.js'
import { type Html, type HtmlPart, html } from '../../figures/html.js'
import { sayCount, sayGivenPower } from '../../figures/sayEstimate.js'
import { wordedModes } from '../../tables/wordedModes.js'
import {
  type PairOfMode,
  pairedResults,
  pairsOf,
  wordedCauses,
  wordedMeans,
} from '../../tables/wordedPairs.js'
import {
  type ResultsOfMode,
  wordedEqualPower,
  wordedGains,
  wordedPerWatt,
  wordedScores,
} from '../../tables/wordedScores.js'
import { nameAlone, type WordedTable } from '../../tables/wordedTable.js'
import { listed, modePrefix, reviewTexts, sayLeftOut } from '../../text/sayReviewText.js'
import { auditList } from '../pageSections.js'
import { pageTable } from '../pageTable.js'
import { meanOfPair } from './reviewCharts.js'
import type { ReviewContent } from './reviewContent.js'

/** What was tested, in a sentence. */
export function reviewStandfirst({ machines, results }: Review): Html {
  const workloads = new Set(results.map(({ workload }) => workload)).size
  const modes = modesOf(results).flatMap((mode) => mode ?? [])
  const parts = machines.map(({ machine, chip }) => `${machine} (${chip})`).join(', ')
  const under =
    modes.length === 0 ? '' : `, in ${modes.length === 1 ? 'the mode' : 'the modes'} ${listed(modes)}`
  return html`<p class="lead">${parts}: ${sayCount(workloads, 'workload')}${under}.</p>`
}

/** Sentences that may be quoted: each stands alone. */
export function quoteSection(review: Review): Html {
  const { pairs, dependence, modes } = reviewTexts(review)
  const ofPairs = review.means.map((mean, index) => ({ of: mean, told: paragraph(pairs[index]!) }))
  const texts = ofPairs.length > 0 ? toldByPair(ofPairs, review) : [...dependence, ...modes].map(paragraph)
  return html`<section id="quote" aria-labelledby="quote-title"><h2 id="quote-title">In words</h2>
${texts}</section>`
}

/** More pairs of machines and modes than this are too many to read one after another. */
const MANY_PAIRS = 6

/** What is told of every pair; of many, those of the machine that is named first, and the others behind an opener. */
export function toldByPair(
  pairs: readonly { readonly of: Pick<PairOfMode, 'a' | 'b'>; readonly told: Html }[],
  { machines }: Pick<Review, 'machines'>,
): readonly Html[] {
  const [first] = machines
  const isFirst = ({ of }: (typeof pairs)[number]) => of.a === first?.machine || of.b === first?.machine
  const others = pairs.filter((pair) => !isFirst(pair)).map(({ told }) => told)
  if (pairs.length <= MANY_PAIRS || others.length === 0) return pairs.map(({ told }) => told)
  return [
    ...pairs.filter(isFirst).map(({ told }) => told),
    html`<details><summary>The same between the other machines (${others.length})</summary>
${others}</details>`,
  ]
}

/** Geometric means of every pair, and what they leave out. */
export function meansSection(review: Review): Html | null {
  if (review.means.length === 0) return null
  const table = wordedMeans(review)
  return html`<section id="means" aria-labelledby="means-title"><h2 id="means-title">Geometric means over workloads</h2>
<p class="faint">${table.title}. Faster means a higher score, or a shorter time. In brackets: the interval that holds the true value in 90&nbsp;% of cases.</p>
${bareTable(table)}
${sayAllLeftOut(review).map(paragraph)}</section>`
}

/** Each pair's where pairs differ, each mode's where modes do, else one for all. */
function sayAllLeftOut({ means }: Review): readonly string[] {
  const said = means.map((mean) => ({ ...mean, text: sayLeftOut(mean.leftOut) || 'Nothing is left out.' }))
  const textsOf = (some: typeof said) => [...new Set(some.map(({ text }) => text))]
  if (textsOf(said).length === 1) return textsOf(said)
  return [...new Set(means.map(({ mode }) => mode))].flatMap((mode) => {
    const own = said.filter((mean) => mean.mode === mode)
    const [text, ...others] = textsOf(own)
    if (others.length === 0) return [`${modePrefix(mode)}${mode === null ? text : uncapitalised(text!)}`]
    return own.map((mean) => `${modePrefix(mode)}${mean.a} over ${mean.b}: ${uncapitalised(mean.text)}`)
  })
}

function uncapitalised(text: string): string {
  return `${text.slice(0, 1).toLowerCase()}${text.slice(1)}`
}

/** Scores as tested and at equal power, and what power has to do with them, mode by mode. */
export function scoresSection({ machines, results }: Review, atW: number | null = null): Html {
  const names = machines.map(({ machine }) => machine)
  const isEqual = names.length > 1 && results.some(({ atW }) => atW !== null)
  const modes = modesOf(results).map((mode) => {
    const of: ResultsOfMode = { mode, machines: names, results: results.filter((each) => each.mode === mode) }
    const equal = isEqual ? wordedEqualPower(of) : null
    const tables = [wordedScores(of), equal, wordedPerWatt(of), wordedGains(of)]
    return html`${tables.map((table) => (table === null ? null : headedTable(table)))}${dependenceOf(of.results)}`
  })
  return html`<section id="scores" aria-labelledby="scores-title"><h2 id="scores-title">Every score</h2>
<p class="faint">${sayBetter(results)}${isEqual ? ` Equal power: ${sayEqualPower(atW)}${atW === null ? '; they are named under each workload' : ''}.` : ''}</p>
${modes}</section>`
}

/** At which watts and temperature chips are compared. */
export function sayEqualPower(atW: number | null): string {
  const chosen = 'halfway (geometric mean) between what the machines held'
  const watts = atW === null ? `the same watts, ${chosen}` : sayGivenPower(atW)
  return `all chips at ${watts}, and at the temperature halfway between theirs`
}

/** Of which scores less is better. */
function sayBetter(results: Review['results']): string {
  const lower = [...new Set(results.filter(({ better }) => better === 'lower').map(nameAlone))]
  if (lower.length === 0) return 'Higher scores are better.'
  return `Lower is better in ${listed(lower)}${results.every(({ better }) => better === 'lower') ? '' : ', higher in all others'}.`
}

/** Which results of a mode depend on power. */
function dependenceOf(results: Review['results']): Html {
  const texts = reviewTexts({ machines: [], results, means: [], modes: [] }).dependence
  return html`${texts.map(paragraph)}`
}

/** How much of every difference is chip, power held and temperature. */
export function causesSection(review: Review): Html | null {
  const tables = pairsOf(review).flatMap((of) => {
    const table = wordedCauses(of, pairedResults(review, of), meanOfPair(review, of))
    return table === null ? [] : [{ of, told: headedTable(table) }]
  })
  if (tables.length === 0) return null
  return html`<section id="causes" aria-labelledby="causes-title"><h2 id="causes-title">Chip, watts or cooling</h2>
<p class="faint">How much of each difference as tested is the chip, how much the power that each machine held, and how much its temperature (a hotter chip leaks more power). The parts multiply to the whole.</p>
${toldByPair(tables, review)}</section>`
}

/** Power modes of a machine against its first. */
export function modesSection(review: Review): Html | null {
  if (review.modes.length === 0) return null
  return html`<section id="modes" aria-labelledby="modes-title"><h2 id="modes-title">Power modes against each other</h2>
${reviewTexts(review).modes.map(paragraph)}
${wordedModes(review).map(headedTable)}</section>`
}

/** What the check found of every sheet: how much, and the findings behind an opener. */
export function reviewAudit(content: ReviewContent): Html {
  const found = content.findings.flatMap(({ findings }) => findings)
  const count = (severity: string) => found.filter((finding) => finding.severity === severity).length
  const [unsafe, cautions, notes] = [
    count('unsafe'),
    count('caution') + content.warnings.length,
    count('note'),
  ]
  const parts = [
    ...(unsafe === 0
      ? []
      : [`${sayCount(unsafe, 'finding')} that ${unsafe === 1 ? 'makes' : 'make'} conclusions unsafe`]),
    ...(cautions === 0 ? [] : [sayCount(cautions, 'caution')]),
    ...(notes === 0 ? [] : [sayCount(notes, 'note')]),
  ]
  const list = auditList(content)
  const opener = html`<p>The check of the sheets and their logs has ${listed(parts)}.</p>
<details><summary>What the check found</summary>${list}</details>`
  return html`<section id="audit" aria-labelledby="audit-title"><h2 id="audit-title">Was the test fair?</h2>
${parts.length === 0 ? list : opener}</section>`
}

function modesOf(results: Review['results']): readonly (string | null)[] {
  return [...new Set(results.map(({ mode }) => mode))]
}

/** A worded table under its title. */
function headedTable(table: WordedTable): Html {
  const { title, note } = table
  return html`<h3>${capitalised(title)}</h3>
${bareTable(table)}${note === undefined ? null : html`<p class="faint">${note}</p>`}
`
}

/** Intervals stand beside their figures; below them where there are many columns, or the screen is small. */
function bareTable({ title, columns, rows }: WordedTable): Html {
  const table = { columns: columns.map(({ heading }) => capitalised(heading)), rows }
  const stacked = columns.length > MANY_COLUMNS ? html` stacked` : null
  return html`<div class="worded${stacked}">${pageTable(table, capitalised(title), sayCell)}</div>`
}

const MANY_COLUMNS = 4

/** A figure with its interval apart; further lines in small. */
function sayCell(cell: string): HtmlPart {
  const [first = '', ...others] = cell.split('\n')
  const [, figure = first, interval, mark = ''] = /^(.*\S) (\(.* to .*\))(\*?)$/.exec(first) ?? []
  return [
    figure,
    ...(interval === undefined ? [] : [html` <span class="interval">${interval}</span>${mark}`]),
    ...others.map((line) => html`<br><span class="interval">${line}</span>`),
  ]
}

function paragraph(text: string): Html {
  return html`<p>${text}</p>
`
}
