import type { TestedMachine } from '../../machine/testedMachine.js'
import { whatIfSpec } from '../charts/chartWhatIf.js'
import { loadDrawing } from '../charts/loadDrawing.js'
import { compileChart } from '../charts/plotSvg.js'
import { type Html, html, trustedHtml } from '../figures/html.js'
import { sayGapText } from '../text/sayGapText.js'
import { methodBox } from './methodBox.js'
import type { PageCharts } from './pageCharts.js'
import type { PageContent } from './pageContent.js'
import { pageFigure } from './pageFigure.js'
import { type PageParts, pageFrame } from './pageFrame.js'
import { headlineOfPage } from './pageHeadlines.js'
import {
  auditSection,
  glanceTable,
  inputsSection,
  machineTables,
  machineTitle,
  methodSection,
  standfirst,
} from './pageSections.js'
import { publicPath } from './publicPath.js'
import { whatIfControls } from './whatIf/whatIfControls.js'
import type { WhatIfMachine } from './whatIf/whatIfState.js'

/**
 * The page of machines in one workload as one HTML file that asks nothing of any network: pictures, fonts, styles, the what-if's code
 * and its data are inside.
 *
 * Pictures are drawn here as SVG, so that the page reads without scripts; only the what-if's chart is live.
 *
 * @param options.dark - whether the page begins dark; otherwise it follows the reader's system
 */
export async function plotPage(
  content: PageContent,
  charts: PageCharts,
  options: PageParts & { readonly dark: boolean },
): Promise<string> {
  const workloads = [...new Set(content.machines.map(({ chip }) => chip.workload.name))]
  return pageFrame(
    {
      version: content.version,
      title: headlineOfPage(content),
      kicker: `Power and score · ${workloads.join(' · ')}`,
      standfirst: standfirst(content),
      links: linksOf(content),
      lead: glanceTable(content),
      parts: await body(content, charts),
      data: html`<script type="application/json" id="what-if-data">${trustedHtml(scriptJson(await whatIfData(content)))}</script>
`,
    },
    options,
  )
}

/** The answer first: why and by how much, then the chips, then each machine. */
async function body(content: PageContent, charts: PageCharts): Promise<Html[]> {
  const machines: Html[] = []
  for (const index of content.machines.keys()) machines.push(await machineSection(index, content, charts))
  return [
    ...(await gapSections(content, charts)),
    ...(await equalPowerSections(charts)),
    ...machines,
    whatIfControls(content.machines.map(whatIfMachine)),
    auditSection(content),
    methodSection(content),
    inputsSection(content, methodBox(content)),
  ]
}

async function gapSections(content: PageContent, charts: PageCharts): Promise<Html[]> {
  if (charts.gaps.length === 0) return []
  // With two machines the headline and the paragraph at the top say it already.
  const alone = content.machines.length === 2
  const figures: Html[] = []
  for (const [index, chart] of charts.gaps.entries()) {
    const figure = await pageFigure(chart, alone ? { heading: null } : {})
    figures.push(alone ? figure : html`${figure}<p>${sayGapText(content.gaps[index]!)}</p>`)
  }
  return [
    html`<section id="gap" aria-labelledby="gap-title"><h2 id="gap-title">Where the gap comes from</h2>${figures}</section>`,
  ]
}

async function equalPowerSections({ comparison }: PageCharts): Promise<Html[]> {
  if (comparison === null) return []
  return [
    html`<section id="equal-power" aria-labelledby="equal-power-title"><h2 id="equal-power-title">The chips at equal power</h2>
${await pageFigure({ ...comparison, name: 'equal-power-chart' })}
<p class="faint">A chip scores more per watt at a lower power, so scores per watt compare only at equal power.</p></section>`,
  ]
}

/** Traces of a machine; its score curve only where the chart at equal power has none of its chip. */
async function machineSection(index: number, content: PageContent, charts: PageCharts): Promise<Html> {
  const machine = content.machines[index]!
  const { traces, curve } = charts.machines[index]!
  const isFirst = content.machines.findIndex(({ chip }) => chip.name === machine.chip.name) === index
  const showsCurve = charts.comparison === null && isFirst
  const figures: Html[] = []
  for (const chart of traces) {
    const said = content.machines.length === 1 && chart === traces[0]
    figures.push(await pageFigure(chart, said ? { heading: null } : {}))
  }
  if (showsCurve) figures.push(await pageFigure(curve))
  return html`<section id="machine-${index + 1}" aria-labelledby="machine-${index + 1}-title">
<h2 id="machine-${index + 1}-title"><span class="swatch swatch-${index % 4}" aria-hidden="true"></span>${machineTitle(machine, content)}</h2>
${figures}${machineTables(machine)}
</section>
`
}

function linksOf(content: PageContent): readonly (readonly [string, string])[] {
  return [
    ...(content.gaps.length > 0 ? [['gap', 'The gap'] as const] : []),
    ...(content.equalPower ? [['equal-power', 'Equal power'] as const] : []),
    ...content.machines.map(
      (machine, index) => [`machine-${index + 1}`, machineTitle(machine, content)] as const,
    ),
    ['what-if', 'What if'],
    ['audit', 'Was the test fair?'],
    ['method', 'How it was computed'],
    ['inputs', 'Repeat it'],
  ]
}

async function whatIfData(content: PageContent): Promise<object> {
  const vega = await loadDrawing(() => import('vega'))
  const compiled = vega.parse(await compileChart(whatIfSpec()), undefined, { ast: true })
  return { machines: content.machines.map(whatIfMachine), chart: compiled }
}

function whatIfMachine(machine: TestedMachine): WhatIfMachine {
  const { chip, chassis, loop, asTested } = machine
  return {
    machine: machine.machine,
    chip,
    tested: chassis,
    loop,
    asTested,
    sheets: machine.tests.map((test) => quoteArgument(publicPath(test.sheet.file))).join(' '),
  }
}

/** A file name as a shell takes it. */
function quoteArgument(name: string): string {
  return /^[\w./-]+$/.test(name) ? name : `'${name.replaceAll("'", "'\\''")}'`
}

/** JSON inside a script element: `<` may not appear, or a name could end the element. */
function scriptJson(value: object): string {
  return JSON.stringify(value, rounded)
    .replaceAll('<', '\\u003c')
    .replaceAll('\u2028', '\\u2028')
    .replaceAll('\u2029', '\\u2029')
}

/** Eight digits: half of the bytes, and far below what any figure shows. */
function rounded(_key: string, value: unknown): unknown {
  return typeof value === 'number' ? Number(value.toPrecision(8)) : value
}
