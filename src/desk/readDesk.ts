import { readFile } from 'node:fs/promises'
import { join } from 'node:path'
import { packageFolder, readPageParts } from '../show/page/readPageParts.js'
import { plotDesk } from './plotDesk.js'

/**
 * The desk as the build made it.
 *
 * @throws Error when the package was not built (`npm run build`)
 */
export function readDesk(): Promise<string> {
  return readFile(join(packageFolder(), 'dist', 'desk.html'), 'utf8')
}

/**
 * The desk from its bundled script and what a published page carries along.
 *
 * @param script - `startDesk.tsx`, bundled for the browser
 */
export async function deskOfParts(script: string): Promise<string> {
  const { version } = JSON.parse(await readFile(join(packageFolder(), 'package.json'), 'utf8')) as {
    readonly version: string
  }
  const { script: pageScript, fontFaces } = await readPageParts()
  return plotDesk({ version, script, pageScript, fontFaces })
}
