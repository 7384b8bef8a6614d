import { existsSync } from 'node:fs'
import { readFile } from 'node:fs/promises'
import { createRequire } from 'node:module'
import { dirname, join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { loadDrawing } from '../charts/loadDrawing.js'
import type { PageParts } from './pageFrame.js'

/** Weights of the page's font: text and everything that stands out. */
const WEIGHTS = [400, 600] as const

/** Pictures have no system to fall back to, so they carry more. */
const PICTURE_SUBSETS = ['latin', 'latin-ext', 'greek', 'cyrillic'] as const

/**
 * Reads what a page carries along: its script as bundled by the build, and the font.
 *
 * @param bundle - the page's script: with the what-if, or what every page has
 * @throws Error when the package was not built (`npm run build`)
 */
export async function readPageParts(bundle: 'whatIf' | 'pageScript' = 'whatIf'): Promise<PageParts> {
  const file = join(packageFolder(), 'dist', 'page', `${bundle}.js`)
  const [script, latin, latinExtended] = await Promise.all([
    readFile(file, 'utf8'),
    readFontFaces('latin'),
    readFontFaces('latin-ext'),
  ])
  return { script, fontFaces: { latin, latinExtended } }
}

/** The font's files as the package has them: WOFF2, one for each weight and script. */
export async function readPictureFonts(): Promise<readonly Uint8Array[]> {
  return Promise.all(
    WEIGHTS.flatMap((weight) => PICTURE_SUBSETS.map((subset) => readFontFile(weight, subset))),
  )
}

async function readFontFaces(subset: keyof typeof UNICODE_RANGES): Promise<string> {
  return (await Promise.all(WEIGHTS.map((weight) => readFontFace(weight, subset)))).join('\n')
}

async function readFontFace(weight: number, subset: keyof typeof UNICODE_RANGES): Promise<string> {
  const woff2 = await readFontFile(weight, subset)
  const source = `url(data:font/woff2;base64,${woff2.toString('base64')}) format('woff2')`
  const range = UNICODE_RANGES[subset]
  return `@font-face{font-family:'Source Sans 3';font-style:normal;font-display:swap;font-weight:${weight};src:${source};unicode-range:${range}}`
}

/** As the font's own style sheet has them, so that a browser looks into the right file. */
const UNICODE_RANGES = {
  latin:
    'U+0000-00FF,U+0131,U+0152-0153,U+02BB-02BC,U+02C6,U+02DA,U+02DC,U+0304,U+0308,U+0329,U+2000-206F,U+20AC,U+2122,U+2191,U+2193,U+2212,U+2215,U+FEFF,U+FFFD',
  'latin-ext':
    'U+0100-02BA,U+02BD-02C5,U+02C7-02CC,U+02CE-02D7,U+02DD-02FF,U+0304,U+0308,U+0329,U+1D00-1DBF,U+1E00-1E9F,U+1EF2-1EFF,U+2020,U+20A0-20AB,U+20AD-20C0,U+2113,U+2C60-2C7F,U+A720-A7FF',
} as const

async function readFontFile(weight: number, subset: string): Promise<Buffer> {
  const require = createRequire(import.meta.url)
  const file = `@fontsource/source-sans-3/files/source-sans-3-${subset}-${weight}-normal.woff2`
  return readFile(await loadDrawing(() => require.resolve(file)))
}

/** The folder of this package: the nearest above with a package.json, from source and from the build alike. */
export function packageFolder(): string {
  let folder = dirname(fileURLToPath(import.meta.url))
  while (!existsSync(join(folder, 'package.json')) && dirname(folder) !== folder) folder = dirname(folder)
  return folder
}
