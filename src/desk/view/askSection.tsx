/// <reference lib="dom" />
import { useContext, useState } from 'preact/hooks'
import { DeskContext } from '../reach/deskContext.js'
import { type DeskSheet, placeOf, scoredSheets, sheetFile } from '../state/desk.js'
import { sheetFields } from '../state/sheetFields.js'
import { nameOfSheet } from '../work/question.js'
import { AskQuestion } from './askQuestion.js'
import { ProjectForm } from './projectForm.js'

const KINDS = [
  ['project', 'In another chassis'],
  ['compare', 'At equal power'],
  ['explain', 'Why one scores less'],
  ['plan', 'How to test next time'],
  ['check', 'Was the test fair?'],
] as const

type AskedKind = (typeof KINDS)[number][0]

/** What can be asked of the machines on the desk. */
export function AskSection() {
  const { desk } = useContext(DeskContext)
  const sheets = scoredSheets(desk)
  const place = ({ id }: DeskSheet) => placeOf(desk, id)
  const [kind, setKind] = useState<AskedKind>('project')
  const [firstId, setFirst] = useState('')
  const [secondId, setSecond] = useState('')
  const first = sheets.find(({ id }) => id === firstId) ?? sheets[0]!
  const others = sheets.filter((sheet) => sheet !== first)
  const second = others.find(({ id }) => id === secondId) ?? others[0]
  const possible = KINDS.filter(([each]) => sheets.length > 1 || (each !== 'compare' && each !== 'explain'))
  const now = possible.some(([each]) => each === kind) ? kind : 'project'
  return (
    <section aria-labelledby="ask-title" class="ask">
      <h2 id="ask-title">Questions</h2>
      <div class="buttons" role="group" aria-label="Questions">
        {possible.map(([each, words]) => (
          <button type="button" key={each} aria-pressed={each === now} onClick={() => setKind(each)}>
            {words}
          </button>
        ))}
      </div>
      <article class="card" aria-label="Question and answer">
        {(now === 'project' || now === 'plan' || now === 'explain') && (
          <div class="buttons">
            <SheetSelect label="Machine" sheets={sheets} value={first} set={setFirst} />
            {now === 'explain' && second && (
              <SheetSelect label="held against" sheets={others} value={second} set={setSecond} />
            )}
          </div>
        )}
        {now === 'project' && <ProjectForm key={first.id} sheet={first} others={others} />}
        {now === 'compare' && (
          <AskQuestion
            question={{ kind: 'compare', sheets: sheets.map(sheetFile), places: sheets.map(place) }}
          />
        )}
        {now === 'explain' && second && (
          <AskQuestion
            question={{
              kind: 'explain',
              sheets: [sheetFile(first), sheetFile(second)],
              places: [place(first), place(second)],
            }}
          />
        )}
        {now === 'plan' && <AskQuestion question={{ kind: 'plan', sheets: [sheetFile(first)] }} />}
        {now === 'check' && <AskQuestion question={{ kind: 'check', sheets: sheets.map(sheetFile) }} />}
      </article>
    </section>
  )
}

function SheetSelect({
  label,
  sheets,
  value,
  set,
}: {
  readonly label: string
  readonly sheets: readonly DeskSheet[]
  readonly value: DeskSheet
  readonly set: (id: string) => void
}) {
  return (
    <label class="inline">
      <span>{label}</span>
      <select value={value.id} onChange={(event) => set(event.currentTarget.value)}>
        {sheets.map((sheet) => (
          <option key={sheet.id} value={sheet.id}>
            {sheetFields(sheet.text)?.machine || sheet.file} ({nameOfSheet(sheetFile(sheet))})
          </option>
        ))}
      </select>
    </label>
  )
}
