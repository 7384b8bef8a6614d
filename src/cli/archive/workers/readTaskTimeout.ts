import { stat } from 'node:fs/promises'

/** A half-hour log takes a tenth of a second, the slowest of 20,000 mutated sheets three. Common practice, no source. */
const TIMEOUT_PER_FILE_S = 1800
/** Twenty times what a log of 100 MB takes with a drop every minute. */
const TIMEOUT_PER_MB_S = 6

/**
 * How long a task may take before it is given up as one that never ends, in seconds: so much longer than any work takes
 * that only a hang (a fault of the tool, a disk that no longer answers) comes to it, on whatever machine.
 */
export async function readTaskTimeout(paths: readonly string[]): Promise<number> {
  const sizes = await Promise.all(
    paths.map((path) =>
      stat(path).then(
        (file) => file.size,
        () => 0,
      ),
    ),
  )
  const megabytes = sizes.reduce((sum, size) => sum + size, 0) / 1e6
  return TIMEOUT_PER_FILE_S * paths.length + TIMEOUT_PER_MB_S * megabytes
}
