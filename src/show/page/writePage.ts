import { mkdir } from 'node:fs/promises'
import { join } from 'node:path'
import { InputError } from '../../errors.js'
import { fileNotWritable } from '../../files/fileNotWritable.js'
import { readHead } from '../../files/readHead.js'
import { writeFileSafely } from '../../files/writeFileSafely.js'
import type { Chart } from '../charts/chart.js'
import { DARK_THEME, LIGHT_THEME } from '../charts/chartTheme.js'
import { loadDrawing } from '../charts/loadDrawing.js'
import { MADE_BY, plotSvg } from '../charts/plotSvg.js'
import { markPng, PNG_MARK } from './markPng.js'
import { writeFonts } from './writeFonts.js'

/**
 * Writes a page: whole or not at all. A file that is there already is replaced when it is a page of this tool, so
 * that a page can be made again; anything else only with `force`.
 *
 * @throws InputError `file-exists`, `file-not-writable`
 */
export async function writePage(
  path: string,
  page: string,
  options: { readonly force: boolean },
): Promise<void> {
  const mayReplace = async () =>
    options.force || (await startsWithMark(path, '<meta name="generator" content="holdwatt'))
  await writeFileSafely(path, page, { mayReplace })
}

/** Writes text that is there to be pasted. One of that kind is replaced, anything else only with `force`. */
export async function writeSnippet(
  path: string,
  text: string,
  options: { readonly force: boolean; readonly mark: string },
): Promise<void> {
  const mayReplace = async () => options.force || (await startsWithMark(path, options.mark))
  await writeFileSafely(path, `${text}\n`, { mayReplace })
}

/** How pictures are written. */
export interface ChartFiles {
  readonly folder: string
  /** Width of a picture, px: 1280 fits a video frame. */
  readonly widthPx: number
  readonly dark: boolean
  readonly force: boolean
  /** Told after each picture: how many of them are done. */
  readonly onProgress: (done: number) => void
}

/** Logical width of a chart as a picture, px: at 1280 its text is 22 px high, legible in a video. */
const PICTURE_PX = 800

/**
 * Writes each chart as SVG (font by name, with the system's own as fallback) and as PNG (font drawn in).
 *
 * The folder is made if it is missing. Pictures that are there already are replaced when they were made by this tool.
 *
 * @returns paths written, in order
 * @throws InputError `file-exists`, `file-not-writable`
 */
export async function writeCharts(charts: readonly Chart[], files: ChartFiles): Promise<readonly string[]> {
  await makeFolder(files.folder)
  const fonts = await writeFonts()
  try {
    const written: string[] = []
    for (const [index, chart] of charts.entries()) {
      written.push(...(await writeChart(chart, files, fonts.paths)))
      files.onProgress(index + 1)
    }
    return written
  } finally {
    fonts.remove()
  }
}

async function makeFolder(folder: string): Promise<void> {
  try {
    await mkdir(folder, { recursive: true })
  } catch (error) {
    // A file of that name is in the way.
    const inTheWay = error instanceof Error && 'code' in error && error.code === 'EEXIST'
    throw inTheWay
      ? new InputError('file-not-writable', 'expected a folder, got a file', {
          where: { file: folder },
        })
      : fileNotWritable(folder, error)
  }
}

async function writeChart(chart: Chart, files: ChartFiles, fontFiles: readonly string[]): Promise<string[]> {
  const theme = files.dark ? DARK_THEME : LIGHT_THEME
  const frame = { widthPx: PICTURE_PX, theme, titled: true }
  const svg = await plotSvg(chart, frame, { pixelWidth: files.widthPx })
  const stem = join(files.folder, chart.name)
  const png = markPng(await drawPng(svg, files.widthPx, fontFiles))
  await writePicture(`${stem}.png`, png, { force: files.force, mark: PNG_MARK })
  await writePicture(`${stem}.svg`, svg, { force: files.force, mark: MADE_BY })
  return [`${stem}.svg`, `${stem}.png`]
}

async function writePicture(
  path: string,
  picture: string | Uint8Array,
  { force, mark }: { readonly force: boolean; readonly mark: string },
): Promise<void> {
  await writeFileSafely(path, picture, {
    mayReplace: async () => force || (await startsWithMark(path, mark)),
  })
}

async function drawPng(svg: string, widthPx: number, fontFiles: readonly string[]): Promise<Uint8Array> {
  const { Resvg } = await loadDrawing(() => import('@resvg/resvg-js'))
  const picture = new Resvg(svg.replace("'Source Sans 3'", `'${PACKED_FAMILY}'`), {
    fitTo: { mode: 'width', value: widthPx },
    // The system's fonts stand behind for scripts that the packaged font has not.
    font: {
      fontFiles: [...fontFiles],
      loadSystemFonts: true,
      defaultFontFamily: PACKED_FAMILY,
      sansSerifFamily: PACKED_FAMILY,
    },
  })
  return picture.render().asPng()
}

/** What the packaged files call themselves, cut as they are from one variable font; their weights are right all the same. */
const PACKED_FAMILY = 'Source Sans 3 ExtraLight'

async function startsWithMark(path: string, mark: string): Promise<boolean> {
  try {
    return (await readHead(path, 'latin1')).includes(mark)
  } catch {
    return false
  }
}
