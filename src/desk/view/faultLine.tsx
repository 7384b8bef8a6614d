import type { DeskFault } from '../work/deskJob.js'

/** What went wrong, and what to do, in a line. */
export function FaultLine({ fault, again }: { readonly fault: DeskFault; readonly again?: () => void }) {
  return (
    <p class="problem" role="alert" data-code={fault.code}>
      {fault.message}
      {/[.!?]$/.test(fault.message) ? '' : '.'}
      {fault.remedy === '' ? '' : ` ${fault.remedy[0]!.toUpperCase()}${fault.remedy.slice(1)}.`}{' '}
      {again && fault.code === 'given-up' && (
        <button type="button" class="quiet" onClick={again}>
          Try again
        </button>
      )}
    </p>
  )
}
