/** Where in the user's input something was wrong: a file, and a line and column counted from 1. */
export interface InputLocation {
  readonly file?: string
  readonly line?: number
  readonly column?: number
}

/**
 * Bad input or bad usage: the one error that a user can correct. The command line prints it and exits with 2.
 *
 * `code` is stable and kebab-case (`column-ambiguous`); the message says "expected X, got Y", with units;
 * `remedy` says what to do.
 */
export class InputError extends Error {
  override readonly name = 'InputError'

  constructor(
    readonly code: string,
    message: string,
    readonly details: {
      readonly where?: InputLocation
      readonly remedy?: string
      /** Further faults found in the same input, for telling all of them at once. */
      readonly others?: readonly InputError[]
    } = {},
  ) {
    super(message)
  }

  /** The same error with the place where it happened; what is already known stays. */
  at(where: InputLocation): InputError {
    return new InputError(this.code, this.message, {
      ...this.details,
      where: { ...where, ...this.details.where },
    })
  }
}
