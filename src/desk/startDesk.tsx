/// <reference lib="dom" />
import { render } from 'preact'
import { deskWork } from './state/deskWork.js'
import { keepDesk } from './state/keepDesk.js'
import { DeskView } from './view/deskView.js'
import { answerJobs, type WorkPort } from './work/answerJobs.js'

/**
 * Starts the desk. One script does both: in the page it shows the desk and starts workers from its own text; in a worker it answers. So
 * no code is carried twice.
 */
export function startDesk(): void {
  if (!('document' in globalThis)) {
    answerJobs(globalThis as unknown as WorkPort)
    return
  }
  const text = document.currentScript?.textContent ?? ''
  const address = URL.createObjectURL(new Blob([text], { type: 'text/javascript' }))
  const work = deskWork(() => new Worker(address))
  render(<DeskView work={work} keeper={keepDesk()} />, document.getElementById('desk')!)
}
