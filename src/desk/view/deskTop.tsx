/// <reference lib="dom" />
import { useState } from 'preact/hooks'

/** The head of the desk: its name, undo and redo, light or dark. */
export function DeskTop({
  undo,
  redo,
}: {
  readonly undo: (() => void) | null
  readonly redo: (() => void) | null
}) {
  const [dark, setDark] = useState(() => matchMedia('(prefers-color-scheme: dark)').matches)
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
