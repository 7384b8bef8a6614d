import { existsSync, readFileSync } from 'node:fs'
import { dirname, join } from 'node:path'
import { fileURLToPath } from 'node:url'

/** The version in the package.json above a module: the same from source, from the build and from an installed package. */
export function readVersion(moduleUrl: string): string {
  let folder = dirname(fileURLToPath(moduleUrl))
  while (dirname(folder) !== folder) {
    const file = join(folder, 'package.json')
    if (existsSync(file)) {
      const found = JSON.parse(readFileSync(file, 'utf8')) as { name?: unknown; version?: unknown }
      if (found.name === 'holdwatt') return String(found.version)
    }
    folder = dirname(folder)
  }
  return 'unknown'
}
