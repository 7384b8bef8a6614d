import { basename, isAbsolute } from 'node:path'

/**
 * How a page names a file. Which folders a publisher's disk has is nobody's business: of an absolute path the name alone stays.
 *
 * @example publicPath('/home/somebody/heron.yaml') // 'heron.yaml'
 */
export function publicPath(path: string): string {
  return isAbsolute(path) ? basename(path) : path
}
