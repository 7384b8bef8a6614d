import type { ReadTest, ReadTrial, TestedMachine } from '../../machine/testedMachine.js'
import type { LoggedTrial } from '../../sheet/testSheet.js'
import { html } from '../figures/html.js'
import { sayDuration } from '../figures/sayDuration.js'
import { sayCount } from '../figures/sayEstimate.js'
import type { PageContent } from './pageContent.js'
import { publicPath } from './publicPath.js'

/** How a page's figures came about, short enough to stand under an article. */
export interface MethodBox {
  readonly title: string
  readonly paragraphs: readonly string[]
  /** Files with their SHA-256 checksums. */
  readonly files: readonly { readonly name: string; readonly sha256: string }[]
  readonly command: string
}

/** Forms of a method box, for pasting: plain text, Markdown, a fragment of HTML. */
export type BoxForm = 'text' | 'markdown' | 'html'

/** What was measured, from which columns and options, how it was computed, and from which files. */
export function methodBox(content: PageContent): MethodBox {
  return {
    title: METHOD_TITLE,
    paragraphs: [
      sayOrigin(content.version),
      ...content.machines.map(sayMachine),
      'Stages are where a log is best cut into level pieces and exponential decays, with a price for every cut. What held the power is read from the log: an abrupt step is a set limit, a temperature at its ceiling is heat.',
      'The score curve is fitted to the scores and to all of the power during each run, with several shapes weighed against each other. Scores at equal power are read from it, and its band widens where nothing was measured.',
      'The figures hold for these samples, this workload, and the power that the logs report.',
    ],
    files: content.inputs.map(({ name, sha256 }) => ({ name, sha256 })),
    command: content.command,
  }
}

export const METHOD_TITLE = 'How these figures were made'

export function sayOrigin(version: string): string {
  return `Computed by holdwatt ${version} from power logs and scores. Figures in brackets are intervals that hold the true value in 90 % of cases.`
}

/** The box in one of its forms. */
export function methodBoxAs(form: BoxForm, box: MethodBox): string {
  if (form === 'text') return boxText(box)
  return form === 'markdown' ? boxMarkdown(box) : boxHtml(box)
}

/** Letters that Markdown would read as marks, made plain. */
export function markdownText(text: string): string {
  return text.replace(/[\\`*_[\]<>|#]/g, '\\$&').replace(/\s+/g, ' ')
}

function sayMachine({ machine, chip, runs, tests }: TestedMachine): string {
  const [test] = tests
  const room = test?.sheet.ambientC == null ? '' : `, room at ${test.sheet.ambientC} °C`
  const isPaced = runs.some(({ placedBy }) => placedBy === 'rate')
  const counted = isPaced
    ? sayCount(runs.length, 'block of the pace', 'blocks of the pace')
    : sayCount(runs.length, 'scored run')
  const trials = (test?.trials ?? []).map(sayTrial)
  return `${machine} (${chip.name}) on ${chip.workload.name}: ${trials.join('; ')}; ${counted}${room}.`
}

/** Where a trial's power is from. */
function sayTrial(read: ReadTest['trials'][number]): string {
  if (read.kind === 'noted') return 'levels of power noted by hand'
  return `${sayPowerLog(read)}${sayOptions(read.trial)}`
}

/** The column of a log that power was read from, and how often it has a sample. */
export function sayPowerLog({ log, trial }: ReadTrial): string {
  return `power from “${log.columns.power}” of ${publicPath(trial.log)}, a sample every ${sayDuration(log.trace.intervalS)}`
}

/** The choices that were made in reading a log. */
function sayOptions({ mode, load, options }: LoggedTrial): string {
  const parts = [
    mode === null ? '' : `mode ${mode}`,
    load === null ? '' : `load ${load}`,
    options.device === undefined ? '' : `device ${options.device}`,
    options.from === undefined ? '' : `from ${options.from.text}`,
    options.to === undefined ? '' : `to ${options.to.text}`,
    options.rate === undefined ? '' : `pace from “${options.rate}”`,
  ]
  return parts.map((part) => (part === '' ? '' : `, ${part}`)).join('')
}

function boxText({ title, paragraphs, files, command }: MethodBox): string {
  const list = files.map(({ name, sha256 }) => `  ${sha256}  ${name}`)
  return [
    title,
    ...paragraphs,
    ['Files, with their SHA-256:', ...list].join('\n'),
    `Made again by: ${command}`,
  ].join('\n\n')
}

function boxMarkdown({ title, paragraphs, files, command }: MethodBox): string {
  const list = files.map(({ name, sha256 }) => `- ${markdownText(name)}, SHA-256 \`${sha256}\``)
  return [
    `**${title}**`,
    ...paragraphs.map(markdownText),
    list.join('\n'),
    `Made again by:\n\n    ${command.replace(/\s+/g, ' ')}`,
  ].join('\n\n')
}

function boxHtml({ title, paragraphs, files, command }: MethodBox): string {
  return html`<aside>
<p><strong>${title}</strong></p>
${paragraphs.map(
  (paragraph) => html`<p>${paragraph}</p>
`,
)}<ul>
${files.map(
  ({ name, sha256 }) => html`<li>${name}, SHA-256 <code>${sha256}</code></li>
`,
)}</ul>
<p>Made again by: <code>${command}</code></p>
</aside>`.markup
}
