import { existsSync } from 'node:fs'
import { type Browser, chromium } from 'playwright-core'

const PLACES = ['/usr/bin/chromium', '/usr/bin/chromium-browser', '/usr/bin/google-chrome']

/** Path of a browser to test in, or undefined: HOLDWATT_BROWSER, else where Linux distributions put Chromium. */
export function findBrowser(): string | undefined {
  const named = process.env.HOLDWATT_BROWSER
  return [...(named ? [named] : []), ...PLACES].find((path) => existsSync(path))
}

/** Starts the browser headless, with everything off that would talk to a network by itself. */
export async function openBrowser(executablePath: string): Promise<Browser> {
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
