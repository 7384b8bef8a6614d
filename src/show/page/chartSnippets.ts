import type { Chart } from '../charts/chart.js'
import { html } from '../figures/html.js'
import { markdownText } from './methodBox.js'

/** Every chart as a figure with its alternative text and caption, for an article: the pictures lie in the same folder. */
export function chartSnippets(charts: readonly Chart[]): {
  readonly markdown: string
  readonly html: string
} {
  return {
    markdown: charts.map(figureMarkdown).join('\n\n'),
    html: charts.map(figureHtml).join('\n\n'),
  }
}

function figureMarkdown({ name, title, subtitle, summary }: Chart): string {
  return `![${markdownText(summary)}](${name}.png)\n*${markdownText(`${title}. ${subtitle}.`)}*`
}

function figureHtml({ name, title, subtitle, summary }: Chart): string {
  return html`<figure>
<img src="${name}.svg" alt="${summary}">
<figcaption>${title}. ${subtitle}.</figcaption>
</figure>`.markup
}
