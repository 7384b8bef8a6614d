import { readFile } from 'node:fs/promises'
import { createRequire } from 'node:module'
import type { Page } from 'playwright-core'
import { expect } from 'vitest'

const axeSource = createRequire(import.meta.url).resolve('axe-core/axe.min.js')

/**
 * An accessibility engine objects to nothing, wide and on a phone of 360 px, light, and dark where it is wide; and the page is no wider than the phone.
 * Nothing is left for the dark phone: its places are those of the light one, its colours those of the wide dark page.
 */
export async function expectAccessible(tab: Page): Promise<void> {
  await tab.setViewportSize({ width: 1280, height: 900 })
  await tab.emulateMedia({ colorScheme: 'dark' })
  expect(await findAxeProblems(tab, true), 'dark').toEqual([])
  await tab.emulateMedia({ colorScheme: 'light' })
  for (const [width, height] of [
    [1280, 900],
    [360, 740],
  ] as const) {
    await tab.setViewportSize({ width, height })
    expect(await findAxeProblems(tab), `light, ${width} px`).toEqual([])
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
