import { DeskContext } from '../reach/deskContext.js'
import { useDesk } from '../reach/useDesk.js'
import { scoredSheets } from '../state/desk.js'
import type { DeskWork } from '../state/deskWork.js'
import type { DeskKeeper } from '../state/keepDesk.js'
import { AskSection } from './askSection.js'
import { DeskTop } from './deskTop.js'
import { DropZone } from './dropZone.js'
import { FaultLine } from './faultLine.js'
import { LogCard } from './logCard.js'
import { SheetCard } from './sheetCard.js'
import { TakeAway } from './takeAway.js'

/** The whole desk. */
export function DeskView({ work, keeper }: { readonly work: DeskWork; readonly keeper: DeskKeeper }) {
  const { reach, words, faults, take, forget, undo, redo } = useDesk(work, keeper)
  const { desk } = reach
  const isEmpty = desk.logs.length === 0 && desk.sheets.length === 0
  return (
    <DeskContext.Provider value={reach}>
      <DeskTop undo={undo} redo={redo} />
      <main id="main" tabIndex={-1}>
        <DropZone onFiles={take} large={isEmpty} />
        {faults.map((fault) => (
          <FaultLine key={fault.message} fault={fault} />
        ))}
        <p class="hidden" aria-live="polite">
          {words}
        </p>
        {isEmpty && <Welcome />}
        {desk.logs.length > 0 && (
          <section aria-labelledby="logs-title">
            <h2 id="logs-title">Logs</h2>
            <div class="cards">
              {desk.logs.map((log) => (
                <LogCard key={log.id} log={log} />
              ))}
            </div>
          </section>
        )}
        {desk.sheets.length > 0 && (
          <section aria-labelledby="machines-title">
            <h2 id="machines-title">Machines and scores</h2>
            <div class="cards">
              {desk.sheets.map((sheet, index) => (
                <SheetCard key={sheet.id} sheet={sheet} position={index} />
              ))}
            </div>
          </section>
        )}
        {scoredSheets(desk).length > 0 && <AskSection />}
        {!isEmpty && <TakeAway forget={forget} />}
      </main>
      <footer>
        <p>
          Nothing leaves this computer: the desk asks nothing of any network, and what lies on it is kept in
          this browser alone. Every figure stands with the interval that holds the true value in 90 % of
          cases.
        </p>
      </footer>
    </DeskContext.Provider>
  )
}

/** What to do first. */
function Welcome() {
  return (
    <ol class="steps">
      <li>
        <strong>Drop a power log</strong> from any logger: you see which watts the machine held, for how long,
        and what held it.
      </li>
      <li>
        <strong>Name the machine and paste its scores</strong>: they find their runs, and you see what the
        chip makes of a watt.
      </li>
      <li>
        <strong>Ask</strong>: another chassis, chips at equal power, why one scores less, how long to test
        next time.
      </li>
      <li>
        <strong>Take it away</strong> as a page to publish, pictures, tables, or a sheet that the command goes
        on from.
      </li>
    </ol>
  )
}
