/// <reference lib="dom" />
import { useEffect, useState } from 'preact/hooks'

/**
 * A line of text with its label. It is set when the hand leaves it or presses Enter; while it is typed, nothing that happens elsewhere
 * touches it, and Escape puts it back.
 */
export function TextField({
  label,
  says,
  inline = false,
  value,
  set,
  placeholder = '',
}: {
  readonly label: string
  /** What a screen reader says where the label alone is too short. */
  readonly says?: string
  readonly inline?: boolean
  readonly value: string
  /** @returns false for what can't be taken: the field then says so */
  readonly set: (text: string) => unknown
  readonly placeholder?: string
}) {
  const [text, setText] = useState(value)
  const [isWrong, setWrong] = useState(false)
  const show = () => {
    setText(value)
    setWrong(false)
  }
  useEffect(show, [value])
  return (
    <label class={inline ? 'inline' : ''}>
      <span>{label}</span>
      <input
        type="text"
        maxLength={LONGEST}
        placeholder={placeholder}
        {...(says === undefined ? {} : { 'aria-label': says })}
        value={text}
        aria-invalid={isWrong}
        onInput={(event) => setText(event.currentTarget.value)}
        onChange={() => setWrong(text !== value && set(text) === false)}
        onKeyDown={(event) => event.key === 'Escape' && show()}
      />
    </label>
  )
}

/** The longest name that a sheet takes. */
const LONGEST = 200
