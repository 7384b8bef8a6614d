/// <reference lib="dom" />

/** Hands a text to the person as a file. */
export function saveText(name: string, text: string, type: string): void {
  saveBlob(name, new Blob([text], { type: `${type};charset=utf-8` }))
}

function saveBlob(name: string, blob: Blob): void {
  const link = document.createElement('a')
  link.href = URL.createObjectURL(blob)
  link.download = name.replace(/[^\p{L}\p{N}._ -]+/gu, '-')
  link.click()
  // The browser has taken it by then.
  setTimeout(() => URL.revokeObjectURL(link.href), 60_000)
}

/** Pictures for a screen that is twice as fine. */
const SCALE = 2

/** An SVG as PNG, drawn by the browser with the desk's own font. */
export async function saveSvgAsPng(name: string, svg: string): Promise<void> {
  const style = `<style>${fontFaces().latin}</style>`
  const picture = new Image()
  picture.src = URL.createObjectURL(
    new Blob([svg.replace(/(<svg[^>]*>)/, `$1${style}`)], { type: 'image/svg+xml' }),
  )
  await picture.decode()
  const canvas = document.createElement('canvas')
  canvas.width = picture.naturalWidth * SCALE
  canvas.height = picture.naturalHeight * SCALE
  canvas.getContext('2d')?.drawImage(picture, 0, 0, canvas.width, canvas.height)
  URL.revokeObjectURL(picture.src)
  canvas.toBlob((blob) => blob && saveBlob(name, blob), 'image/png')
}

/** The fonts that the desk's own style sheet begins with: two weights for western European letters, two for further Latin ones. */
export function fontFaces(): { readonly latin: string; readonly latinExtended: string } {
  const lines = (document.querySelector('style')?.textContent ?? '').split('\n')
  const faces = lines.filter((line) => line.startsWith('@font-face'))
  return { latin: faces.slice(0, 2).join('\n'), latinExtended: faces.slice(2, 4).join('\n') }
}
