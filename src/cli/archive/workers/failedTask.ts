import { InputError } from '../../../errors.js'
import { sayFailure } from '../../output/sayFailure.js'
import type { FailedTask } from './archiveTask.js'

/** A task that came to nothing: bad input (status 2), or a fault of the tool (1), which must not stop the others either. */
export function failedTask(paths: readonly string[], thrown: unknown, debug: boolean): FailedTask {
  const [first] = paths
  const error = thrown instanceof InputError && first !== undefined ? thrown.at({ file: first }) : thrown
  const { text, status } = sayFailure(error, debug ? { HOLDWATT_DEBUG: '1' } : {})
  const where = error instanceof InputError ? error.details.where : undefined
  return {
    kind: 'failed',
    paths,
    error: {
      code: error instanceof InputError ? error.code : 'tool-fault',
      message: error instanceof Error ? error.message : String(error),
      file: where?.file ?? first ?? null,
      line: where?.line ?? null,
      remedy: (error instanceof InputError ? error.details.remedy : undefined) ?? null,
    },
    // A fault of the tool names no file by itself.
    said: status === 1 ? `${first}: ${text}` : text,
    status: status === 1 ? 1 : 2,
  }
}
