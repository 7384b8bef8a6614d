import { asTested } from '../../machine/asTested.js'
import { mainLoad } from '../../machine/mainLoad.js'
import type { TestedMachine } from '../../machine/testedMachine.js'
import { capitalised } from '../figures/capitalised.js'
import { finestDecimals, groupDigits } from '../figures/digits.js'
import { type Html, html } from '../figures/html.js'
import { sayDuration, sayMoment } from '../figures/sayDuration.js'
import {
  sayEstimate,
  sayMeasuredScore,
  sayPercent,
  sayPower,
  sayScore,
  sayValue,
} from '../figures/sayEstimate.js'
import { concludeStages } from '../text/concludeStages.js'
import { groupFindings } from '../text/groupFindings.js'
import { heldByNames, heldByWords } from '../text/heldByWords.js'
import { sayChassis } from '../text/sayChassis.js'
import { sayGapText } from '../text/sayGapText.js'
import { type MethodBox, methodBoxAs } from './methodBox.js'
import type { PageContent } from './pageContent.js'
import { pageTable } from './pageTable.js'

/** Two or three sentences under the headline. */
export function standfirst(content: PageContent): Html {
  const [gap] = content.gaps
  if (gap && content.machines.length === 2) return html`<p class="lead">${sayGapText(gap)}</p>`
  if (content.machines.length > 1)
    return html`<p class="lead">${content.machines.map(sayMachine).join(' ')}</p>`
  const load = mainLoad(content.machines[0]!.tests[0]!)?.load
  return load ? html`<p class="lead">${concludeStages(load)}</p>` : html``
}

/** `Heron 14 sustains 44.2 W (held by a power limit) and scores 11 020 points there.` */
function sayMachine(machine: TestedMachine): string {
  const { heldBy, steadyScore, sustainedW } = asTested(machine)
  const held = heldBy === null ? '' : ` (${heldByWords[heldBy]})`
  const { workload } = machine.chip
  const scores = steadyScore
    ? ` and ${workload.better === 'lower' ? 'takes' : 'scores'} ${sayValue(steadyScore, workload.score, 'score')} there`
    : ''
  return `${machine.machine} sustains ${sayValue(sustainedW, 'W')}${held}${scores}.`
}

/** The machines side by side: what they sustain, what held it, and what they score. */
export function glanceTable(content: PageContent): Html {
  const { workload } = content.machines[0]!.chip
  const alike = hasOneWorkload(content)
  const unit = workload.better === 'lower' ? `${workload.score} (lower is better)` : workload.score
  const columns = ['Machine', 'Chip', 'Starts at', 'Sustains', 'Held by', 'First run', 'Steady']
  const rows = content.machines.map((machine) => {
    const load = mainLoad(machine.tests[0]!)?.load
    const { firstScore, steadyScore, sustainedW, heldBy } = asTested(machine)
    const scoreUnit = alike ? '' : machine.chip.workload.score
    return [
      machineTitle(machine, content),
      machine.chip.name,
      load?.stages[0] ? sayValue(load.stages[0].levelW, 'W') : 'unknown',
      sayEstimate(sustainedW, 'W'),
      heldBy === null ? 'no log' : heldByNames[heldBy],
      firstScore ? sayValue(firstScore, scoreUnit, 'score') : 'unknown',
      steadyScore ? sayScore(steadyScore, scoreUnit) : 'unknown',
    ]
  })
  return html`<section aria-labelledby="glance"><h2 id="glance">At a glance</h2><p class="faint">Power and scores as measured${alike ? `, scores in ${unit}` : ''}. In brackets: the interval that holds the true value in 90&nbsp;% of cases.</p>
${pageTable({ columns, rows }, 'The machines as tested')}</section>`
}

/** The machine's name, with the workload where the page has several. */
export function machineTitle(machine: TestedMachine, content: PageContent): string {
  return hasOneWorkload(content) ? machine.machine : `${machine.machine}, ${machine.chip.workload.name}`
}

function hasOneWorkload({ machines }: PageContent): boolean {
  return new Set(machines.map(({ chip }) => JSON.stringify(chip.workload))).size === 1
}

/** Stages with their evidence, the fitted chassis, and the runs of one machine: for who wants to look closer. */
export function machineTables(machine: TestedMachine): Html {
  return html`<details><summary>What held the power, stage by stage</summary>${evidence(machine)}</details>
<details><summary>The fitted chassis</summary>${pageTable({ columns: ['Limit', 'Value'], rows: sayChassis(machine.chassis).map(([name, value]) => [capitalised(name!), value!]) }, `Chassis of ${machine.machine}`)}</details>
<details><summary>${machine.runs.length === 1 ? 'The run' : `All ${machine.runs.length} runs`}</summary>${pageTable(runTable(machine), `Runs of ${machine.machine}`)}</details>`
}

/** What the audit found, worst first. */
export function auditSection(content: PageContent): Html {
  return html`<section id="audit" aria-labelledby="audit-title"><h2 id="audit-title">Was the test fair?</h2>
${auditList(content)}</section>`
}

/** The findings as a list, or that there are none. */
export function auditList(content: Pick<PageContent, 'findings' | 'warnings'>): Html {
  const order = ['unsafe', 'caution', 'note'] as const
  const found = content.findings.flatMap((file) =>
    groupFindings(file.findings).map(({ first, others }) => ({ ...first, others, path: file.path })),
  )
  const sorted = found.sort((a, b) => order.indexOf(a.severity) - order.indexOf(b.severity))
  const items = [
    ...sorted.map(
      (
        finding,
      ) => html`<li><span class="severity ${finding.severity}">${SEVERITY_WORDS[finding.severity]}</span> ${capitalised(finding.message)}${finding.others === '' ? null : ` The same: ${finding.others}.`}
<span class="faint">${finding.path}${finding.atS === null ? '' : `, at ${sayMoment(finding.atS)}`} · ${finding.code}</span></li>`,
    ),
    ...content.warnings.map(
      (warning) =>
        html`<li><span class="severity caution">Caution</span> ${warning.message} <span class="faint">${warning.code}</span></li>`,
    ),
  ]
  const none = html`<p>The check found nothing wrong.</p>`
  return items.length === 0 ? none : html`<ul class="plain">${items}</ul>`
}

const SEVERITY_WORDS = { unsafe: 'Unsafe', caution: 'Caution', note: 'Note' } as const

/** How the figures came about, and what to be careful with. */
export function methodSection(content: PageContent): Html {
  return html`<section id="method" aria-labelledby="method-title"><h2 id="method-title">How it was computed</h2>
<details><summary>The method in seven steps</summary>
<ol>
<li><strong>Stages.</strong> The log is cut where a cost is least: squared distance from level pieces and exponential decays, plus a price for every
cut that is set by the noise and its autocorrelation, so that pure noise is hardly ever cut (modified Bayesian information criterion, Zhang and Siegmund 2007).</li>
<li><strong>What held it.</strong> A power limit shows as an abrupt step with the temperature below its ceiling; heat as a flat temperature while power
gives way; the workload itself as power below what the machine can hold. Where the log shows none of these, the cause is unknown.</li>
<li><strong>The chassis.</strong> A running average of power that may not exceed a limit gives the holds; a thermal network and its ceiling give what heat allows.</li>
<li><strong>The chip.</strong> Score is the time-mean of a rate over each run’s own power trace. Several shapes of the curve are weighed by how well they explain
the runs, against a prior from published voltage-frequency tables; the band widens where nothing was measured.</li>
<li><strong>Projections</strong> run chip and chassis together through the whole loop, for every curve that the data leave possible.</li>
<li><strong>The gap</strong> is shared out by exchanging chip, sustained power and burst one at a time in every order (Shapley 1953); its parts multiply to the whole.</li>
<li><strong>Intervals</strong> hold the true value in 90 % of cases, and carry noise, run-to-run scatter and the choice of curve.</li>
</ol></details>
<ul>
<li>These figures hold for this workload and these samples of the machines; another workload has another curve.</li>
<li>Room temperature, cooling, firmware and power mode change what a chassis holds.</li>
<li>Power is what the machine’s own sensor reported; its error is in every figure that has watts in it.</li>
</ul>
${content.cautions === '' ? null : html`<p>${content.cautions}</p>`}</section>`
}

/** Inputs with their checksums, the command to repeat, and how the figures were made, to paste. */
export function inputsSection(
  content: Pick<PageContent, 'inputs' | 'version' | 'command'>,
  box: MethodBox,
): Html {
  const rows = content.inputs.map((input) => [input.name, groupDigits(input.bytes, 0), input.sha256])
  return html`<section id="inputs" aria-labelledby="inputs-title"><h2 id="inputs-title">Repeat it</h2>
<p>Made by holdwatt ${content.version} from these files. With the same files, this command gives the same page:</p>
<pre><code>${content.command}</code></pre>
<div class="scroll" tabindex="0" role="region" aria-label="Table: inputs"><table><caption class="hidden">Inputs</caption>
<thead><tr><th scope="col">File</th><th scope="col" class="number">Bytes</th><th scope="col">SHA-256</th></tr></thead>
<tbody>${rows.map(
    (
      row,
    ) => html`<tr><th scope="row">${row[0]!}</th><td class="number">${row[1]!}</td><td><code>${row[2]!}</code></td></tr>
`,
  )}</tbody></table></div>
<details><summary>A box to paste under an article</summary>${FORMS.map(
    ([form, name]) => html`<h3>${name}</h3>
<pre class="paste" tabindex="0"><code>${methodBoxAs(form, box)}</code></pre>`,
  )}</details></section>`
}

const FORMS = [
  ['text', 'Plain text'],
  ['markdown', 'Markdown'],
  ['html', 'HTML'],
] as const

function evidence(machine: TestedMachine): Html {
  const loads = machine.tests[0]!.trials.flatMap((read) => (read.kind === 'logged' ? read.loads : []))
  if (loads.length === 0) return html`<p>No log: the powers were written down by hand.</p>`
  const { load } = mainLoad(machine.tests[0]!)!
  return html`<p>${concludeStages(load)}</p>
<ul class="plain">${load.stages.map(
    (
      stage,
    ) => html`<li><strong>${sayMoment(stage.startS)} to ${sayMoment(stage.endS)}, ${stage.label}, ${heldByWords[stage.heldBy.label]}.</strong>
${sentence(stage.heldBy.evidence.join('; '))}</li>`,
  )}</ul>`
}

function sentence(text: string): string {
  return text === '' ? '' : `${capitalised(text)}.`
}

function runTable(machine: TestedMachine) {
  const { score } = machine.chip.workload
  const rows = machine.runs.map((run, index) => [
    String(index + 1),
    run.endS === null ? '–' : sayMoment(run.startS),
    run.of !== undefined ? `mean of ${run.of}` : run.endS === null ? '–' : sayDuration(run.endS - run.startS),
    sayPower(run.meanW),
    sayMeasuredScore(run.score),
    groupDigits(run.fittedScore, finestDecimals(run.fittedScore, 'score')),
    sayPercent(100 * (run.score / run.fittedScore - 1)),
  ])
  return { columns: ['Run', 'From', 'Took', 'Mean power', `Score, ${score}`, 'Fitted', 'Against fit'], rows }
}
