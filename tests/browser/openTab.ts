import { pathToFileURL } from 'node:url'
import type { Browser, BrowserContext, BrowserContextOptions, Page } from 'playwright-core'
import { expect } from 'vitest'

/** A file in a tab of its own, with the network cut, and all that it asked for or complained of. */
export interface OpenTab {
  readonly tab: Page
  readonly context: BrowserContext
  readonly requests: readonly string[]
  readonly messages: readonly string[]
  readonly close: () => Promise<void>
}

/** @param hash - what stands behind the address: `#…` */
export async function openTab(
  browser: Browser,
  file: string,
  options: BrowserContextOptions = {},
  hash = '',
): Promise<OpenTab> {
  const context = await browser.newContext({ reducedMotion: 'reduce', acceptDownloads: true, ...options })
  await context.setOffline(true)
  const tab = await context.newPage()
  const requests: string[] = []
  const messages: string[] = []
  const address = pathToFileURL(file).href
  tab.on('request', (request) => {
    const url = request.url()
    if (url.split('#')[0] !== address && !/^(data|blob):/.test(url)) requests.push(url)
  })
  tab.on('console', (message) => messages.push(message.text()))
  tab.on('pageerror', (error) => messages.push(error.message))
  await tab.goto(`${address}${hash}`)
  return { tab, context, requests, messages, close: () => context.close() }
}

/** A light page becomes dark by its switch, and is light again on paper. */
export async function expectSwitchesAndPrints(tab: Page): Promise<void> {
  const background = () => tab.evaluate(() => getComputedStyle(document.body).backgroundColor)
  expect(await background()).toBe('rgb(255, 255, 255)')
  await tab.locator('#theme-switch').click()
  expect(await background()).toBe('rgb(20, 23, 26)')
  await tab.emulateMedia({ media: 'print' })
  expect(await background()).toBe('rgb(255, 255, 255)')
}
