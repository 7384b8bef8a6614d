import { useContext } from 'preact/hooks'
import { DeskContext } from '../reach/deskContext.js'
import { useAsked } from '../reach/useAsked.js'
import { logsOfSheets } from '../state/desk.js'
import type { Question } from '../work/question.js'
import { AnswerView } from './answerView.js'
import { FaultLine } from './faultLine.js'

/** A question with its answer, as soon as it comes. */
export function AskQuestion({ question }: { readonly question: Question }) {
  const { files } = useContext(DeskContext)
  const named = question.kind === 'project' && 'file' in question.target ? [question.target] : []
  const logs = logsOfSheets(files, [...question.sheets, ...named])
  const { asked, latest, again } = useAsked('question', { question, logs })
  return (
    <div aria-busy={asked?.state === 'waiting'}>
      {asked?.state === 'failed' && <FaultLine fault={asked.fault} again={again} />}
      {latest === null && asked?.state === 'waiting' && <p class="faint">Working it out …</p>}
      {latest !== null && asked?.state !== 'failed' && (
        <AnswerView question={question} logs={logs} answer={latest} />
      )}
    </div>
  )
}
