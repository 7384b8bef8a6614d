/** What is known of each row besides its time. */
export interface SampleRows {
  /** Line in the file. */
  readonly lines: Int32Array
  /** Whether two rows hold the same values. */
  readonly same: (a: number, b: number) => boolean
}
