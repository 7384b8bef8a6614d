/// <reference lib="dom" />
import { useEffect, useRef, useState } from 'preact/hooks'
import { type DroppedFiles, filesOfDrop } from '../reach/filesOfDrop.js'

/** Takes files: dropped anywhere on the page, with the folders that they lie in, or chosen. */
export function DropZone({
  onFiles,
  large,
}: {
  readonly onFiles: (dropped: DroppedFiles) => void
  readonly large: boolean
}) {
  const input = useRef<HTMLInputElement>(null)
  const [over, setOver] = useState(false)
  useEffect(() => listen(onFiles, setOver), [onFiles])
  return (
    <div class={`drop${large ? ' large' : ''}${over ? ' over' : ''}`}>
      <p>
        {large ? <strong>Drop power logs here</strong> : 'Drop more files anywhere'}
        {large && (
          <span class="faint">
            any logger’s text table, a folder of them, zipped or not; test sheets and desks too
          </span>
        )}
      </p>
      <button type="button" onClick={() => input.current?.click()}>
        Choose files
      </button>
      <input
        ref={input}
        type="file"
        multiple
        class="hidden"
        tabIndex={-1}
        aria-label="Files for the desk"
        onChange={() => {
          onFiles({ files: [...(input.current?.files ?? [])], faults: [] })
          if (input.current) input.current.value = ''
        }}
      />
    </div>
  )
}

function listen(onFiles: (dropped: DroppedFiles) => void, setOver: (over: boolean) => void): () => void {
  const stay = (event: DragEvent) => {
    event.preventDefault()
    setOver(true)
  }
  const leave = (event: DragEvent) => {
    if (event.relatedTarget === null) setOver(false)
  }
  const drop = (event: DragEvent) => {
    event.preventDefault()
    setOver(false)
    if (event.dataTransfer !== null) void filesOfDrop(event.dataTransfer).then(onFiles)
  }
  addEventListener('dragover', stay)
  addEventListener('dragleave', leave)
  addEventListener('drop', drop)
  return () => {
    removeEventListener('dragover', stay)
    removeEventListener('dragleave', leave)
    removeEventListener('drop', drop)
  }
}
