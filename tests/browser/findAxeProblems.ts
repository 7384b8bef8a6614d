import { readFile } from 'node:fs/promises'
import { createRequire } from 'node:module'
import type { Page } from 'playwright-core'
import { expect } from 'vitest'

const axeSource = createRequire(import.meta.url).resolve('axe-core/axe.min.js')

/** An accessibility engine objects to nothing, light and dark, wide and on a phone of 360 px, and the page is no wider than the phone. */
export async function expectAccessible(tab: Page): Promise<void> {
  for (const [width, height] of [
    [1280, 900],
    [360, 740],
  ] as const) {
    await tab.setViewportSize({ width, height })
    for (const colorScheme of ['light', 'dark'] as const) {
      await tab.emulateMedia({ colorScheme })
      expect(await findAxeProblems(tab, colorScheme === 'dark'), `${colorScheme}, ${width} px`).toEqual([])
    }
    expect(await tab.evaluate(() => document.documentElement.scrollWidth)).toBe(width)
  }
}

/** What dark colours can make wrong, for the dark changes nothing but colours. */
const COLOR_RULES = ['color-contrast', 'link-in-text-block']

/** What an accessibility engine objects to; or only to the colours. */
export async function findAxeProblems(tab: Page, colorsOnly = false): Promise<string[]> {
  const isThere = await tab.evaluate(() => 'axe' in window)
  if (!isThere) await tab.evaluate(await readFile(axeSource, 'utf8'))
  const options = { resultTypes: ['violations'], ...(colorsOnly ? { runOnly: COLOR_RULES } : {}) }
  const found = await tab.evaluate(async (wanted) => {
    const { axe } = window as unknown as {
      axe: { run: (options: object) => Promise<{ violations: { id: string; nodes: { html: string }[] }[] }> }
    }
    return (await axe.run(wanted)).violations
  }, options)
  return found.flatMap((violation) =>
    violation.nodes.map((node) => `${violation.id}: ${node.html.slice(0, 160)}`),
  )
}
