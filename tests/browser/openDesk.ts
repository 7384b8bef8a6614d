import { fileURLToPath } from 'node:url'
import type { Page } from 'playwright-core'

export const sample = (name: string) => fileURLToPath(new URL(`../../samples/${name}`, import.meta.url))

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
