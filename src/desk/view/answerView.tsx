/// <reference lib="dom" />
import { useContext } from 'preact/hooks'
import { csvTables } from '../../show/tables/csvTable.js'
import type { DataTable } from '../../show/tables/dataTable.js'
import { markdownTables } from '../../show/tables/markdownTable.js'
import { DeskContext } from '../reach/deskContext.js'
import { saveSvgAsPng, saveText } from '../reach/saveFile.js'
import { useAsked } from '../reach/useAsked.js'
import { useWidth } from '../reach/useWidth.js'
import { SvgPicture } from '../trace/svgPicture.js'
import type { LogFile } from '../work/logFile.js'
import type { ChartWords, DeskAnswer, Question } from '../work/question.js'

/** An answer: its conclusion, pictures, tables, what to mind, and the command that says the same. */
export function AnswerView({
  question,
  logs,
  answer,
}: {
  readonly question: Question
  readonly logs: readonly LogFile[]
  readonly answer?: DeskAnswer
}) {
  if (answer === undefined) return null
  const stem = `${question.kind}-${question.sheets[0]!.file.replace(/\.ya?ml$/i, '')}`
  return (
    <div class="answer" data-kind={question.kind}>
      {answer.charts[0]?.title !== answer.title && <p class="conclusion">{answer.title}</p>}
      {answer.text.map((words) => (
        <p key={words}>{words}</p>
      ))}
      {answer.charts.map((chart) => (
        <ChartFigure key={chart.name} chart={chart} question={question} logs={logs} />
      ))}
      {answer.tables.map((table) =>
        table.rows.length > 12 ? (
          <details key={table.title}>
            <summary>{table.title}</summary>
            <DataTableView table={table} />
          </details>
        ) : (
          <DataTableView key={table.title} table={table} />
        ),
      )}
      {answer.warnings.map((words) => (
        <p class="caution small" key={words}>
          {words}
        </p>
      ))}
      {answer.cautions !== '' && <p class="small cautions">{answer.cautions}</p>}
      <p class="faint small">
        The same from a command line: <code class="command">{answer.command}</code>
      </p>
      <div class="buttons tools">
        <button
          type="button"
          onClick={() => saveText(`${stem}.csv`, `${csvTables(answer.tables)}\n`, 'text/csv')}
        >
          Table as CSV
        </button>
        <button
          type="button"
          onClick={() => saveText(`${stem}.md`, `${markdownTables(answer.tables)}\n`, 'text/markdown')}
        >
          Table as Markdown
        </button>
      </div>
    </div>
  )
}

function ChartFigure({
  chart,
  question,
  logs,
}: {
  readonly chart: ChartWords
  readonly question: Question
  readonly logs: readonly LogFile[]
}) {
  const { work } = useContext(DeskContext)
  const { element, widthPx } = useWidth()
  const { latest } = useAsked(
    'picture',
    widthPx > 0 ? { question, logs, name: chart.name, widthPx, form: 'page' } : null,
  )
  const save = (form: 'svg' | 'png') =>
    work.ask('picture', { question, logs, name: chart.name, widthPx: 800, form: 'light' }, (asked) => {
      if (asked.state !== 'done') return
      if (form === 'svg') saveText(`${chart.name}.svg`, asked.answer, 'image/svg+xml')
      else void saveSvgAsPng(`${chart.name}.png`, asked.answer)
    })
  return (
    <figure>
      <figcaption>
        <h4>{chart.title}</h4>
        <p class="faint small">{chart.subtitle}.</p>
      </figcaption>
      <div class="chart" role="img" aria-label={chart.summary} ref={element}>
        {latest === null ? <p class="faint drawing-soon">Drawing …</p> : <SvgPicture svg={latest} />}
      </div>
      <details>
        <summary>The numbers of this chart</summary>
        <DataTableView
          table={{
            title: chart.title,
            headings: [...chart.table.columns],
            rows: chart.table.rows.map((row) => [...row]),
            numeric: chart.table.columns.map(() => false),
          }}
        />
      </details>
      <div class="buttons tools">
        <button type="button" onClick={() => save('svg')}>
          Picture as SVG
        </button>
        <button type="button" onClick={() => save('png')}>
          Picture as PNG
        </button>
      </div>
    </figure>
  )
}

function DataTableView({ table }: { readonly table: DataTable }) {
  const { title, headings, rows, numeric } = table
  return (
    <div class="scroll" tabIndex={0} role="group" aria-label={`Table: ${title}`}>
      <table class="data">
        <caption class="hidden">{title}</caption>
        <thead>
          <tr>
            {headings.map((heading, index) => (
              <th key={heading} scope="col" class={numeric[index] ? 'number' : ''}>
                {heading}
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          {rows.map((row, at) => (
            <tr key={at}>
              {row.map((cell, index) => (
                <td key={headings[index]} class={numeric[index] ? 'number' : ''}>
                  {cell}
                </td>
              ))}
            </tr>
          ))}
        </tbody>
      </table>
    </div>
  )
}
