import { existsSync } from 'node:fs'
import { type Browser, chromium } from 'playwright-core'

/** The shell is the same engine without the window around it: it does the same pages for a third of the processor time. */
const PLACES = ['chromium-headless-shell', 'chromium', 'chromium-browser', 'google-chrome'].map(
  (name) => `/usr/bin/${name}`,
)

/** Path of a browser to test in, or undefined: HOLDWATT_BROWSER, else where Linux distributions put Chromium. */
export function findBrowser(): string | undefined {
  const named = process.env.HOLDWATT_BROWSER
  return [...(named ? [named] : []), ...PLACES].find((path) => existsSync(path))
}

let opened: Promise<Browser> | undefined

/**
 * The browser, headless, with everything off that would talk to a network by itself: one for all files of a worker, whose tabs share nothing
 * unless they share a context. It ends with the worker.
 */
export function openBrowser(executablePath: string): Promise<Browser> {
  opened ??= launch(executablePath)
  return opened
}

async function launch(executablePath: string): Promise<Browser> {
  return chromium.launch({
    executablePath,
    args: [
      '--no-sandbox',
      '--disable-gpu',
      '--disable-quic',
      '--no-first-run',
      '--disable-background-networking',
      '--disable-component-update',
      '--disable-sync',
    ],
  })
}
