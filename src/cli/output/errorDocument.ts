import { InputError } from '../../errors.js'

/** The document that `--json` prints for bad input, beside the words on stderr (section 3 of cli/README.md). */
export function errorDocument(
  error: unknown,
  head: { readonly command: string | null; readonly version: string },
): object {
  const { command, version } = head
  const isInput = error instanceof InputError
  const message = error instanceof Error ? error.message : String(error)
  const { where, remedy, others } = isInput ? error.details : {}
  return {
    tool: 'holdwatt',
    version,
    command,
    error: {
      code: isInput ? error.code : 'command-line',
      message: message.replace(/^error: /, ''),
      file: where?.file ?? null,
      line: where?.line ?? null,
      remedy: remedy ?? null,
      others: (others ?? []).map((other) => ({
        code: other.code,
        message: other.message,
        file: other.details.where?.file ?? null,
        line: other.details.where?.line ?? null,
      })),
    },
  }
}
