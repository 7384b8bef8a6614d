import type { LogOptions } from '../../log/trace.js'
import type { FleetOptions } from './fleetOptions.js'
import type { FleetCommand } from './fleetTask.js'

/** What is asked of many files. */
export interface FleetRequest<C extends FleetCommand = FleetCommand> {
  readonly command: C
  /** Column choices for the logs among them. */
  readonly logOptions: LogOptions
  readonly options: FleetOptions
}
