/// <reference lib="dom" />
import { useContext, useEffect, useState } from 'preact/hooks'
import { orderLimits, type WhatIfField, type WhatIfState } from '../../show/page/whatIf/whatIfState.js'
import { DeskContext } from '../reach/deskContext.js'
import { useAsked } from '../reach/useAsked.js'
import { type DeskSheet, fitQuestion, fittedTogether, logsOfSheets, sheetFile } from '../state/desk.js'
import { sheetFields } from '../state/sheetFields.js'
import type { SupposedLimits } from '../work/question.js'
import { AskQuestion } from './askQuestion.js'

const FIELDS: readonly (readonly [WhatIfField, string, string])[] = [
  ['sustainedW', 'Sustained power', 'W'],
  ['shortTermW', 'Short-term power', 'W'],
  ['shortTermForS', 'Short-term power is held for', 's'],
  ['burstW', 'Burst power', 'W'],
  ['burstForS', 'Burst power is held for', 's'],
]

/** The same chip in another chassis: that of another machine on the desk, or limits in numbers. */
export function ProjectForm({
  sheet,
  others,
}: {
  readonly sheet: DeskSheet
  readonly others: readonly DeskSheet[]
}) {
  const { desk, files } = useContext(DeskContext)
  const sheets = fittedTogether(desk, sheet.id)
  const { latest } = useAsked('question', {
    question: fitQuestion(desk, sheet.id),
    logs: logsOfSheets(files, sheets),
  })
  const [chassisId, setChassis] = useState('')
  const [set, setSet] = useState<WhatIfState | null>(null)
  const chassis = others.find(({ id }) => id === chassisId)
  const limits = latest?.limits
  if (!limits) return <p class="faint">The machine is being fitted …</p>
  const state = set ?? limits.state
  const move = (field: WhatIfField, text: string) => {
    const value = Number(text)
    if (!(value > 0 && value < LARGEST)) return false
    setSet(orderLimits({ ...state, [field]: value }, field))
    return true
  }
  const target = chassis === undefined ? supposed(state) : sheetFile(chassis)
  return (
    <>
      <div class="buttons">
        <label class="inline">
          <span>in a chassis</span>
          <select value={chassis?.id ?? ''} onChange={(event) => setChassis(event.currentTarget.value)}>
            <option value="">with limits in numbers</option>
            {others.map((other) => (
              <option key={other.id} value={other.id}>
                as of {sheetFields(other.text)?.machine || other.file}
              </option>
            ))}
          </select>
        </label>
        {chassis === undefined && set !== null && (
          <button type="button" onClick={() => setSet(null)}>
            As tested
          </button>
        )}
      </div>
      {chassis === undefined && (
        <div class="controls">
          {FIELDS.map(([field, label, unit]) => (
            <div class="field" key={field}>
              <label for={`limit-${field}`}>
                {label}, {unit}
              </label>
              <input
                type="range"
                aria-label={`${label}, ${unit}, slider`}
                min={unit === 'W' ? limits.sliderW[0] : 1}
                max={unit === 'W' ? limits.sliderW[1] : LONGEST_S}
                step="0.5"
                value={state[field]}
                onInput={(event) => move(field, event.currentTarget.value)}
              />
              <NumberField id={`limit-${field}`} value={state[field]} set={(text) => move(field, text)} />
              <span class="unit" aria-hidden="true">
                {unit}
              </span>
            </div>
          ))}
        </div>
      )}
      <AskQuestion question={{ kind: 'project', sheets, target }} />
    </>
  )
}

/** A number that is set when the hand leaves it; one that makes no sense is put back. */
function NumberField({
  id,
  value,
  set,
}: {
  readonly id: string
  readonly value: number
  readonly set: (text: string) => boolean
}) {
  const [text, setText] = useState(`${value}`)
  useEffect(() => setText(`${value}`), [value])
  return (
    <input
      type="number"
      id={id}
      min="0.1"
      step="any"
      inputMode="decimal"
      value={text}
      onInput={(event) => setText(event.currentTarget.value)}
      onChange={() => set(text) || setText(`${value}`)}
    />
  )
}

/** Watts or seconds beyond which a number is a slip of the hand. */
const LARGEST = 100_000
/** As far as the sliders for times reach; the number fields take more. */
const LONGEST_S = 300

/** What the command is told: a stage that would hold no more than the next is none. */
function supposed(state: WhatIfState): SupposedLimits {
  const { sustainedW, shortTermW, shortTermForS, burstW, burstForS } = state
  const hasShortTerm = shortTermW > sustainedW
  const hasBurst = burstW > shortTermW
  return {
    sustainedW,
    shortTermW: hasShortTerm ? shortTermW : null,
    shortTermForS: hasShortTerm ? shortTermForS : null,
    burstW: hasBurst ? burstW : null,
    burstForS: hasBurst ? burstForS : null,
  }
}
