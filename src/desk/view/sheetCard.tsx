/// <reference lib="dom" />
import { useContext, useEffect, useMemo, useState } from 'preact/hooks'
import { parseSheet } from '../../sheet/parseSheet.js'
import { DeskContext } from '../reach/deskContext.js'
import { type DeskSheet, fitQuestion, fittedTogether, scoredSheets, withSheet } from '../state/desk.js'
import { askedTest, isReviewText, reviewTests } from '../state/reviewTests.js'
import { type SheetField, type SheetFields, sheetFields, withField } from '../state/sheetFields.js'
import { deskFault } from '../work/deskFault.js'
import type { DeskFault } from '../work/deskJob.js'
import { AskQuestion } from './askQuestion.js'
import { FaultLine } from './faultLine.js'
import { ScoreBox } from './scoreBox.js'
import { TextField } from './textField.js'

/** One tested machine: its names, its scores, and what they make of a watt. */
export function SheetCard({ sheet, position }: { readonly sheet: DeskSheet; readonly position: number }) {
  const { desk, change } = useContext(DeskContext)
  const asked = askedTest(sheet)
  const isReview = isReviewText(sheet.text)
  const fields = sheetFields(sheet.text, asked)
  const title = `sheet-${sheet.id}`
  const isScored = scoredSheets(desk).includes(sheet)
  const sheets = fittedTogether(desk, sheet.id)
  const fault = useMemo(() => (isScored ? null : faultOfSheet(sheet)), [sheet, isScored])
  const question = isScored ? fitQuestion(desk, sheet.id) : null
  return (
    <article class="card" aria-labelledby={title} data-sheet={sheet.file}>
      <p class="kicker">
        <span class="file">{sheet.file}</span>
        <button
          type="button"
          class="quiet"
          aria-label={`Take off ${sheet.file}`}
          onClick={() => change((now) => withSheet(now, sheet.id, null))}
        >
          Take off
        </button>
      </p>
      <h3 id={title} tabIndex={-1}>
        <span class={`swatch swatch-${position % 4}`} aria-hidden="true" />
        {fields?.machine || sheet.file}
      </h3>
      {asked !== undefined && <TestChoice sheet={sheet} asked={asked} />}
      {fields !== null && <Names sheet={sheet} fields={fields} isReview={isReview} />}
      {fields !== null && fields.log !== '' && !isReview && <ScoreBox sheet={sheet} fields={fields} />}
      {fields !== null && fields.log !== '' && asked !== undefined && <ReviewScores fields={fields} />}
      {sheets.length > 1 && isScored && (
        <p class="faint small">
          Fitted together with{' '}
          {sheets
            .slice(1)
            .map(({ file }) => file)
            .join(', ')}
          : the same chip and workload.
        </p>
      )}
      {fault && <FaultLine fault={fault} />}
      {question !== null && <AskQuestion question={question} />}
      <SheetText sheet={sheet} />
    </article>
  )
}

/** What is wrong with a sheet that nobody can fit yet; of others the fit tells it. */
function faultOfSheet(sheet: DeskSheet): DeskFault | null {
  try {
    parseSheet(sheet.text, sheet.file, askedTest(sheet))
    return null
  } catch (error) {
    return deskFault(error)
  }
}

/** Which test of a sheet of many workloads is shown. */
function TestChoice({ sheet, asked }: { readonly sheet: DeskSheet; readonly asked: string }) {
  const { change } = useContext(DeskContext)
  const tests = reviewTests(sheet.text) ?? []
  return (
    <>
      <div class="names">
        <label>
          <span>Workload and mode</span>
          <select
            value={asked}
            onChange={(event) => {
              const chosen = event.currentTarget.value
              change((now) => withSheet(now, sheet.id, { asked: chosen }))
            }}
          >
            {tests.map((test) => (
              <option key={test} value={test}>
                {test}
              </option>
            ))}
          </select>
        </label>
      </div>
      <p class="faint small">
        This sheet holds many workloads. One of them is shown and asked about; the others stay in the sheet as
        they are.
      </p>
    </>
  )
}

/** Scores of a test among many: they are changed in the text of the sheet, which has those of its other metrics in the same lines. */
function ReviewScores({ fields }: { readonly fields: SheetFields }) {
  return (
    <details>
      <summary>
        Scores of the runs in {fields.log}, in {fields.score}
      </summary>
      <pre class="small">{fields.scores}</pre>
      <p class="faint small">They are changed in the text of the sheet, below.</p>
    </details>
  )
}

const NAMES: readonly (readonly [SheetField, string, string])[] = [
  ['machine', 'Machine', ''],
  ['chip', 'Chip', ''],
  ['chassis', 'Chassis', ''],
  ['ambient', 'Room, °C', 'not measured'],
  ['workload', 'Workload', ''],
  ['score', 'Unit of the score', 'points, fps, s, min'],
]

/** Fields that every workload of a sheet shares. */
const SHARED: readonly SheetField[] = ['machine', 'chip', 'chassis', 'ambient']

function Names({
  sheet,
  fields,
  isReview,
}: {
  readonly sheet: DeskSheet
  readonly fields: SheetFields
  readonly isReview: boolean
}) {
  const { change } = useContext(DeskContext)
  const set = (field: SheetField, value: string) => {
    if (value.trim() === fields[field]) return
    const said =
      field === 'ambient' && /^[\d.,+-]+$/.test(value.trim())
        ? `${value.trim().replace(',', '.')} degC`
        : value
    change((now) => withSheet(now, sheet.id, { text: withField(sheet.text, field, said) }))
  }
  return (
    <div class="names">
      {NAMES.filter(([field]) => !isReview || SHARED.includes(field)).map(([field, label, hint]) => (
        <TextField
          key={field}
          label={label}
          value={field === 'ambient' ? fields.ambient.replace(/ *degC$/, '') : fields[field]}
          placeholder={hint}
          set={(text) => set(field, text)}
        />
      ))}
      {!isReview && (
        <label>
          <span>Better is</span>
          <select value={fields.better} onChange={(event) => set('better', event.currentTarget.value)}>
            <option value="higher">a higher score</option>
            <option value="lower">a shorter time</option>
          </select>
        </label>
      )}
    </div>
  )
}

/** The sheet itself, for whoever wants to see or write it. */
function SheetText({ sheet }: { readonly sheet: DeskSheet }) {
  const { change } = useContext(DeskContext)
  const [text, setText] = useState(sheet.text)
  useEffect(() => setText(sheet.text), [sheet.text])
  return (
    <details>
      <summary>The test sheet as text</summary>
      <textarea
        class="yaml"
        rows={Math.min(24, text.split('\n').length + 1)}
        spellcheck={false}
        aria-label={`Text of ${sheet.file}`}
        value={text}
        onInput={(event) => setText(event.currentTarget.value)}
        onChange={() => text !== sheet.text && change((now) => withSheet(now, sheet.id, { text }))}
      />
    </details>
  )
}
