/// <reference lib="dom" />
import { useEffect, useRef, useState } from 'preact/hooks'

/** The head of the desk: its name, undo and redo, light or dark. */
export function DeskTop({
  undo,
  redo,
}: {
  readonly undo: (() => void) | null
  readonly redo: (() => void) | null
}) {
  const [dark, setDark] = useState(() => matchMedia('(prefers-color-scheme: dark)').matches)
  const steps = useRef({ undo, redo })
  steps.current = { undo, redo }
  useEffect(() => {
    const onKey = (event: KeyboardEvent) => {
      const step = stepOf(event)
      if (step === null) return
      event.preventDefault()
      steps.current[step]?.()
    }
    addEventListener('keydown', onKey)
    return () => removeEventListener('keydown', onKey)
  }, [])
  const turn = () => {
    document.documentElement.dataset.theme = dark ? 'light' : 'dark'
    setDark(!dark)
  }
  return (
    <header class="top">
      <a class="skip" href="#main">
        To the desk
      </a>
      <h1>
        <span class="mark" aria-hidden="true" />
        holdwatt desk
      </h1>
      <div class="buttons">
        <button type="button" onClick={() => undo?.()} disabled={undo === null}>
          Undo
        </button>
        <button type="button" onClick={() => redo?.()} disabled={redo === null}>
          Redo
        </button>
        <button type="button" onClick={turn} aria-pressed={dark}>
          Dark
        </button>
      </div>
    </header>
  )
}

/** Ctrl+Z, Ctrl+Shift+Z and Ctrl+Y, with the command key where that is the habit; a field that is typed in has its own. */
function stepOf(event: KeyboardEvent): 'undo' | 'redo' | null {
  const isTyping = event.target instanceof Element && event.target.matches('input[type=text], textarea')
  if (isTyping || !(event.ctrlKey || event.metaKey) || event.altKey) return null
  const key = event.key.toLowerCase()
  if (key === 'z') return event.shiftKey ? 'redo' : 'undo'
  return key === 'y' ? 'redo' : null
}
