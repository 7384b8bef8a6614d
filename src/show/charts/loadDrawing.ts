import { InputError } from '../../errors.js'

/**
 * Loads one of the packages that draw: they take longer to load than all the rest, and more room on disk, so whoever draws loads them, and an
 * installation may leave them out.
 *
 * @param load - imports the package
 * @throws InputError `drawing-not-installed`
 */
export async function loadDrawing<T>(load: () => T | Promise<T>): Promise<T> {
  try {
    return await load()
  } catch (error) {
    if (!isMissing(error)) throw error
    throw new InputError(
      'drawing-not-installed',
      'the packages that draw pages and pictures are not installed: they were left out (--omit=optional)',
      {
        remedy:
          'install them: npm install holdwatt --include=optional. All that is text or JSON works without',
      },
    )
  }
}

/** By node's codes for a package that is not there. */
function isMissing(error: unknown): boolean {
  const code = error instanceof Error && 'code' in error ? error.code : undefined
  return code === 'ERR_MODULE_NOT_FOUND' || code === 'MODULE_NOT_FOUND'
}
