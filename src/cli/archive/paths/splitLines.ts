import { InputError } from '../../../errors.js'

/** A line without its end; `ended` is false for a last line that nothing ends. */
export interface Line {
  readonly text: string
  readonly ended: boolean
  /** Bytes since the last line break, of a last line that nothing ends: its text may hold replacements of another length. */
  readonly bytes?: number
}

/**
 * Lines of a UTF-8 stream, LF or CRLF, as they come: no more is read ahead than the piece at hand.
 *
 * @param most - characters of the longest line that may come
 * @throws InputError `line-too-long`
 */
export async function* splitLines(
  pieces: AsyncIterable<Uint8Array>,
  limits: { readonly most: number; readonly file: string },
): AsyncGenerator<Line> {
  const decoder = new TextDecoder('utf-8')
  let rest: string[] = []
  let [held, heldBytes] = [0, 0]
  let line = 1
  for await (const piece of pieces) {
    const parts = decoder.decode(piece, { stream: true }).split('\n')
    for (const part of parts.slice(0, -1)) {
      yield { text: [...rest, part].join('').replace(/\r$/, ''), ended: true }
      rest = []
      held = 0
      line += 1
    }
    rest.push(parts.at(-1)!)
    const lastBreak = piece.lastIndexOf(LINE_BREAK)
    heldBytes = lastBreak === -1 ? heldBytes + piece.length : piece.length - lastBreak - 1
    held += parts.at(-1)!.length
    if (held > limits.most) throw tooLong(limits.file, line, limits.most)
  }
  const last = rest.join('') + decoder.decode()
  if (last !== '') yield { text: last.replace(/\r$/, ''), ended: false, bytes: heldBytes }
}

const LINE_BREAK = 0x0a

function tooLong(file: string, line: number, most: number): InputError {
  return new InputError('line-too-long', `expected a line of at most ${most} characters, got a longer one`, {
    where: { file, line },
    remedy: 'is this the right file? A list has one path a line',
  })
}
