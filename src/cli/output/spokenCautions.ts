import type { Caution } from '../../predict/projection/caution.js'
import { sayCaution } from '../../show/text/sayCaution.js'

/** Cautions as a JSON document tells them, in the form of warnings. */
export function spokenCautions(
  cautions: readonly Caution[],
): readonly { readonly code: string; readonly message: string }[] {
  return cautions.map((code) => ({ code, message: sayCaution(code) }))
}
