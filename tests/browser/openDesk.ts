import { fileURLToPath, pathToFileURL } from 'node:url'
import type { Browser, BrowserContext, BrowserContextOptions, Page } from 'playwright-core'

export const sample = (name: string) => fileURLToPath(new URL(`../../samples/${name}`, import.meta.url))

/** A desk in a tab of its own, with the network cut, and all that it asked for or complained of. */
export interface OpenDesk {
  readonly tab: Page
  readonly context: BrowserContext
  readonly requests: readonly string[]
  readonly messages: readonly string[]
  readonly close: () => Promise<void>
}

export async function openDesk(
  browser: Browser,
  file: string,
  options: BrowserContextOptions = {},
): Promise<OpenDesk> {
  const context = await browser.newContext({ reducedMotion: 'reduce', acceptDownloads: true, ...options })
  await context.setOffline(true)
  const tab = await context.newPage()
  const requests: string[] = []
  const messages: string[] = []
  const address = pathToFileURL(file).href
  tab.on('request', (request) => {
    const url = request.url()
    if (url !== address && !/^(data|blob):/.test(url)) requests.push(url)
  })
  tab.on('console', (message) => messages.push(message.text()))
  tab.on('pageerror', (error) => messages.push(error.message))
  await tab.goto(address)
  return { tab, context, requests, messages, close: () => context.close() }
}

type Chosen = string | { readonly name: string; readonly mimeType: string; readonly buffer: Buffer }

/** Lays files on the desk, as the dialog of the button does. */
export async function giveFiles(tab: Page, files: readonly Chosen[]): Promise<void> {
  await tab
    .locator('input[type=file]')
    .first()
    .setInputFiles(files as string[])
}

export const textFile = (name: string, text: string | Buffer) => ({
  name,
  mimeType: 'text/plain',
  buffer: Buffer.from(text),
})

/** Waits until every log that can be drawn is drawn. */
export async function drawn(tab: Page, count: number): Promise<void> {
  await tab
    .locator('.zoomable svg')
    .nth(count - 1)
    .waitFor({ state: 'attached' })
}
