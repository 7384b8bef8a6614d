import { closeSync, openSync, readdirSync, readSync } from 'node:fs'
import { join } from 'node:path'
import type { SysfsText, SysfsTree } from './sysfsTree.js'

/**
 * The tree below a folder of the disk, `/sys` or a copy of it. Reading is synchronous: the files are made by the kernel
 * in microseconds, and a sample should not be spread over the turns of an event loop.
 */
export function readSysfs(root: string): SysfsTree {
  return {
    root,
    list: (folder) => listFolder(join(root, folder)),
    read: (path) => readText(join(root, path)),
  }
}

const NATURAL_ORDER = new Intl.Collator('en', { numeric: true })

function listFolder(path: string): readonly string[] {
  try {
    return readdirSync(path).sort(NATURAL_ORDER.compare)
  } catch {
    return []
  }
}

/** No file of such a tree is longer than a page of memory; one buffer for all of them, as every sample reads many. */
const PAGE = Buffer.alloc(4096)

function readText(path: string): SysfsText {
  try {
    const file = openSync(path, 'r')
    try {
      return { text: PAGE.toString('latin1', 0, readSync(file, PAGE, 0, PAGE.length, 0)) }
    } finally {
      closeSync(file)
    }
  } catch (error) {
    const code = error instanceof Error && 'code' in error ? error.code : ''
    if (code === 'EACCES' || code === 'EPERM') return { problem: 'denied' }
    return { problem: code === 'ENOENT' || code === 'ENOTDIR' ? 'missing' : 'failed' }
  }
}
