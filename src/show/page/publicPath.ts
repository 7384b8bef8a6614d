/**
 * How a page names a file. Which folders a publisher's disk has is nobody's business: of an absolute path the name alone stays.
 *
 * @example publicPath('/home/somebody/heron.yaml') // 'heron.yaml'
 */
export function publicPath(path: string): string {
  return ABSOLUTE.test(path) ? path.split(/[\\/]/).at(-1)! : path
}

// From the root, of a drive or of the system: the same on every system, and in a browser.
const ABSOLUTE = /^([\\/]|[A-Za-z]:[\\/])/
