/// <reference lib="dom" />
import { useContext, useEffect, useState } from 'preact/hooks'
import { DeskContext } from '../reach/deskContext.js'
import { type DeskSheet, logsOfSheets, sheetFile, withSheet } from '../state/desk.js'
import type { SheetFields } from '../state/sheetFields.js'
import type { DeskFault } from '../work/deskJob.js'
import { FaultLine } from './faultLine.js'

/** Scores of a machine: typed one a line, or pasted from a spreadsheet; each finds its run by time or order. */
export function ScoreBox({ sheet, fields }: { readonly sheet: DeskSheet; readonly fields: SheetFields }) {
  const { change, work, files } = useContext(DeskContext)
  const [text, setText] = useState(fields.scores)
  const [told, setTold] = useState<readonly string[]>([])
  const [fault, setFault] = useState<DeskFault | null>(null)
  useEffect(() => setText(fields.scores), [fields.scores])
  const place = () => {
    if (text.trim() === fields.scores.trim()) return
    const ask = { sheet: sheetFile(sheet), logs: logsOfSheets(files, [sheet]), table: text }
    work.ask('scores', ask, (asked) => {
      if (asked.state === 'failed') setFault(asked.fault)
      if (asked.state !== 'done') return
      const { placed, unplaced } = asked.answer
      setFault(null)
      setTold([
        ...(placed > 0
          ? [placed === 1 ? 'One score found its run.' : `${placed} scores found their runs.`]
          : []),
        ...unplaced,
      ])
      if (asked.answer.text !== sheet.text)
        change((now) => withSheet(now, sheet.id, { text: asked.answer.text }))
    })
  }
  const lines = Math.min(16, Math.max(4, text.split('\n').length + 1))
  return (
    <div class="scores">
      <label>
        <span>
          Scores of the runs in {fields.log}, one a line, or rows pasted from a spreadsheet (start, end,
          score)
        </span>
        <textarea
          rows={lines}
          spellcheck={false}
          value={text}
          onInput={(event) => setText(event.currentTarget.value)}
          onChange={place}
        />
      </label>
      {fault && <FaultLine fault={fault} />}
      <div role="status">
        {told.length > 0 && (
          <ul class="plain small">
            {told.map((line) => (
              <li key={line}>{line}</li>
            ))}
          </ul>
        )}
      </div>
    </div>
  )
}
