/// <reference lib="dom" />
import { useLayoutEffect, useRef } from 'preact/hooks'

/** A picture that the worker drew, put into the page as elements; whatever is no part of a drawing is left out. */
export function SvgPicture({ svg }: { readonly svg: string }) {
  const place = useRef<HTMLDivElement>(null)
  useLayoutEffect(() => {
    const drawn = new DOMParser().parseFromString(svg, 'image/svg+xml').documentElement
    clean(drawn)
    place.current?.replaceChildren(document.importNode(drawn, true))
  }, [svg])
  return <div class="drawing" aria-hidden="true" ref={place} />
}

const DRAWN = new Set([
  'svg',
  'g',
  'path',
  'text',
  'tspan',
  'rect',
  'line',
  'circle',
  'defs',
  'clipPath',
  'title',
  'desc',
])

/** Text comes from files: the renderer escapes it, and this is the second lock. */
function clean(element: Element): void {
  for (const child of [...element.children]) {
    if (DRAWN.has(child.localName)) clean(child)
    else child.remove()
  }
  for (const { name } of [...element.attributes]) {
    if (/^on/i.test(name) || /href$/i.test(name)) element.removeAttribute(name)
  }
}
