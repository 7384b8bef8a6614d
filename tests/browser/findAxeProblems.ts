import { readFile } from 'node:fs/promises'
import { createRequire } from 'node:module'
import type { Page } from 'playwright-core'

const axeSource = createRequire(import.meta.url).resolve('axe-core/axe.min.js')

/** What an accessibility engine objects to. */
export async function findAxeProblems(tab: Page): Promise<string[]> {
  await tab.evaluate(await readFile(axeSource, 'utf8'))
  const found = await tab.evaluate(async () => {
    const { axe } = window as unknown as {
      axe: { run: () => Promise<{ violations: { id: string; nodes: { html: string }[] }[] }> }
    }
    return (await axe.run()).violations
  })
  return found.flatMap((violation) =>
    violation.nodes.map((node) => `${violation.id}: ${node.html.slice(0, 160)}`),
  )
}
