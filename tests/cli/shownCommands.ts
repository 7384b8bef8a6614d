/** A command line that a page shows, and what it says is printed. */
export interface ShownCommand {
  readonly line: string
  /** The whole output; or, where it begins with `…`, the end of it. */
  readonly printed: string
}

/** What installs or tests the project itself, changes folders or says something. */
const LEFT_OUT = /^(npm |npx |git |cd |#|$)/

/** Every command line of a page's sh blocks, continued lines joined. */
export function commandsOf(markdown: string): readonly string[] {
  const blocks = [...markdown.matchAll(/^```(?:sh|bash|console)\n([\s\S]*?)^```/gm)].map((match) => match[1]!)
  return blocks
    .flatMap((block) => block.replaceAll('\\\n', ' ').split('\n'))
    .map((line) => line.replace(/^\$ /, '').trim())
    .filter((line) => !LEFT_OUT.test(line))
}

/** Command lines that are followed by what they print. */
export function outputsOf(markdown: string): readonly ShownCommand[] {
  return [...markdown.matchAll(/^```sh\n(holdwatt .*)\n```\n\n```text\n([\s\S]*?)^```/gm)].map((match) => ({
    line: match[1]!,
    printed: match[2]!,
  }))
}

/**
 * What a page shows of an output as it is now: the whole of it; or, where the page shows only the end, `…` and from the line on that the
 * page begins with, or, if there is no such line any more, as many lines as before.
 */
export function excerptOf(stdout: string, printed: string): string {
  const now = `${stdout.trimEnd().replace(/^ *\n/, '')}\n`
  if (!printed.startsWith('…\n')) return now
  const shown = printed.slice(2).split('\n')
  const lines = now.split('\n')
  const same = lines.lastIndexOf(shown[0]!)
  return `…\n${lines.slice(same >= 0 ? same : -shown.length).join('\n')}`
}
