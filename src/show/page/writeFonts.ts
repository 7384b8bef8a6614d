import { closeSync, mkdtempSync, openSync, rmSync, unlinkSync, writeFileSync } from 'node:fs'
import { platform, tmpdir } from 'node:os'
import { join } from 'node:path'
import { noteTemporary } from '../../files/writeTemporary.js'
import { loadDrawing } from '../charts/loadDrawing.js'
import { readPictureFonts } from './readPageParts.js'

/** Unpacked fonts as files. */
export interface WrittenFonts {
  readonly paths: readonly string[]
  readonly remove: () => void
}

/**
 * Writes the fonts of pictures where the rasteriser can read them: it takes only unpacked ones, and only from disk.
 *
 * On Linux each file loses its name before anything is written to it and is read through its descriptor, so that nothing is left
 * behind however this process ends. Elsewhere they stand in a folder of their own until they are removed, by a signal that
 * ends the process too.
 */
export async function writeFonts(): Promise<WrittenFonts> {
  const { decompress } = await loadDrawing(() => import('wawoff2'))
  const fonts: Uint8Array[] = []
  // One after the other: the unpacker hands out its own memory, which the next font would overwrite.
  for (const woff2 of await readPictureFonts()) fonts.push(Uint8Array.from(await decompress(woff2)))
  const folder = mkdtempSync(join(tmpdir(), 'holdwatt-fonts-'))
  const gone = noteTemporary(folder)
  const removeFolder = () => {
    rmSync(folder, { recursive: true, force: true })
    gone()
  }
  if (platform() !== 'linux')
    return { paths: fonts.map((font, i) => named(font, i, folder)), remove: removeFolder }
  // The folder stands for less than a millisecond.
  const descriptors = fonts.map((_, i) => unnamed(join(folder, `${i}.ttf`)))
  removeFolder()
  for (const [i, font] of fonts.entries()) writeFileSync(descriptors[i]!, font)
  return {
    paths: descriptors.map((descriptor) => `/proc/self/fd/${descriptor}`),
    remove: () => descriptors.forEach(closeSync),
  }
}

function named(font: Uint8Array, index: number, folder: string): string {
  const path = join(folder, `${index}.ttf`)
  writeFileSync(path, font)
  return path
}

function unnamed(path: string): number {
  const descriptor = openSync(path, 'wx+')
  unlinkSync(path)
  return descriptor
}
