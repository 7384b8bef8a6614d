/** What a command may use of the process; passed in, so that commands can be read and tested without one. */
export interface Context {
  readonly version: string
  readonly env: { readonly [name: string]: string | undefined }
  readonly stdoutIsTerminal: boolean
  readonly stderrIsTerminal: boolean
  /** Columns of the terminal; undefined when stdout is none. */
  readonly columns: number | undefined
  /** Lines of the terminal that stderr is; left out when it is none. */
  readonly rows?: number | undefined
  writeOut(text: string): void
  writeErr(text: string): void
  /** Waits until what was written has gone on to its reader; left out: it always has. */
  readonly outDrained?: () => Promise<void>
  /** From now on output that nobody takes is no reason to end, until the function that is returned is called; left out: it never is. */
  readonly outliveOutput?: () => () => void
  /** Standard input; left out: it is empty. */
  readonly readIn?: () => AsyncIterable<Uint8Array> & { readonly destroy?: () => unknown }
  /** Asks a question on the terminal; left out where nobody sits at one. */
  readonly ask?: (question: string) => Promise<string>
  /** File descriptor of standard output. */
  readonly stdoutFd?: number
  /** Module that worker threads start from; left out: everything is done in this thread. */
  readonly workerFile?: string
  /** Sets the exit status of a command that ran to its end. */
  setExit(status: ExitStatus): void
}

/** 0 done, 1 a fault of the tool, 2 bad usage or bad input, 3 a check found something unsafe (section 3 of cli/README.md). */
export type ExitStatus = 0 | 1 | 2 | 3
