/// <reference lib="dom" />
import { useContext, useState } from 'preact/hooks'
import { DeskContext } from '../reach/deskContext.js'
import { fontFaces, saveText } from '../reach/saveFile.js'
import { fittedTogether, logsOfSheets, scoredSheets } from '../state/desk.js'
import { formatDesk } from '../state/deskFile.js'
import { sheetFields } from '../state/sheetFields.js'
import { deskFault } from '../work/deskFault.js'
import type { DeskFault } from '../work/deskJob.js'
import { FaultLine } from './faultLine.js'

/** What can be taken away as files, and how all of it is forgotten. */
export function TakeAway({ forget }: { readonly forget: () => Promise<void> }) {
  const { desk, files, work, blobs, say } = useContext(DeskContext)
  const [fault, setFault] = useState<DeskFault | null>(null)
  const [sure, setSure] = useState(false)
  const [busy, setBusy] = useState(false)
  const scored = scoredSheets(desk)
  const saveDesk = async () => {
    try {
      saveText('my.desk.json', await formatDesk(desk, blobs), 'application/json')
    } catch (error) {
      setFault(deskFault(error))
    }
  }
  const savePage = () => {
    setBusy(true)
    setFault(null)
    const machines = scored.map(({ id }) => fittedTogether(desk, id))
    const script = document.getElementById('page-script')?.textContent ?? ''
    const version =
      document.querySelector<HTMLMetaElement>('meta[name=generator]')?.content.replace('holdwatt ', '') ?? ''
    const parts = { script, fontFaces: fontFaces() }
    work.ask('page', { machines, logs: logsOfSheets(files, machines.flat()), parts, version }, (asked) => {
      if (asked.state === 'waiting') return
      setBusy(false)
      if (asked.state === 'failed') setFault(asked.fault)
      else saveText('page.html', asked.answer, 'figures/html')
    })
  }
  const saveModels = (id: string, which: 'chip' | 'chassis') => {
    const sheets = fittedTogether(desk, id)
    work.ask('models', { sheets, logs: logsOfSheets(files, sheets) }, (asked) => {
      if (asked.state === 'failed') setFault(asked.fault)
      if (asked.state !== 'done') return
      const stem = sheets[0]!.file.replace(/\.ya?ml$/i, '')
      saveText(`${stem}-${which}.json`, asked.answer[which], 'application/json')
    })
  }
  return (
    <section aria-labelledby="take-title" class="take">
      <h2 id="take-title">Take away</h2>
      <p>
        <strong>The whole desk</strong> is one file: drop it here again, on this computer or another.
        {scored.length > 0 && ' A page shows all machines to readers, with pictures, tables and a what-if.'}
      </p>
      <div class="buttons">
        <button type="button" onClick={saveDesk}>
          Desk as one file
        </button>
        {scored.length > 0 && (
          <button type="button" onClick={savePage} disabled={busy}>
            {busy ? 'Making the page …' : 'Page to publish'}
          </button>
        )}
      </div>
      {fault && <FaultLine fault={fault} />}
      {desk.sheets.map((sheet) => (
        <div class="buttons" key={sheet.id} role="group" aria-label={sheet.file}>
          <span>{sheetFields(sheet.text)?.machine || sheet.file}</span>
          <button type="button" onClick={() => saveText(sheet.file, sheet.text, 'application/yaml')}>
            Sheet (YAML)
          </button>
          {scored.includes(sheet) && (
            <>
              <button type="button" onClick={() => saveModels(sheet.id, 'chip')}>
                Chip model
              </button>
              <button type="button" onClick={() => saveModels(sheet.id, 'chassis')}>
                Chassis model
              </button>
            </>
          )}
        </div>
      ))}
      <p class="faint small">
        What lies here is kept in this browser until you say otherwise, and closing the tab loses nothing.{' '}
        {sure ? (
          <>
            <button
              type="button"
              class="danger"
              onClick={() => {
                setSure(false)
                void forget()
              }}
            >
              Forget everything now
            </button>{' '}
            <button type="button" class="quiet" onClick={() => setSure(false)}>
              Keep it
            </button>
          </>
        ) : (
          <button
            type="button"
            class="quiet"
            onClick={() => {
              setSure(true)
              say('Press again to forget everything.')
            }}
          >
            Forget everything
          </button>
        )}
      </p>
    </section>
  )
}
