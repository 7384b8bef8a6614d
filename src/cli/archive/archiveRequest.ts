import type { LogOptions } from '../../log/trace.js'
import type { ArchiveOptions } from './archiveOptions.js'
import type { ArchiveCommand } from './workers/archiveTask.js'

/** What is asked of many files. */
export interface ArchiveRequest<C extends ArchiveCommand = ArchiveCommand> {
  readonly command: C
  /** Column choices for the logs among them. */
  readonly logOptions: LogOptions
  readonly options: ArchiveOptions
}
