/** Markup that is safe to put into a page: only {@link html} makes it. */
export interface Html {
  readonly markup: string
}

/** What may stand in a template: markup stays, everything else is text and is escaped. */
export type HtmlPart = Html | string | number | null | readonly HtmlPart[]

/**
 * A template whose inserted values are escaped, whoever wrote them: a machine called `<script>` shows as that text.
 *
 * Values may stand between tags and inside double-quoted attributes. Lists are joined, null is nothing.
 *
 * @example html`<h2>${sheet.machine}</h2>`.markup
 */
export function html(literals: TemplateStringsArray, ...parts: readonly HtmlPart[]): Html {
  const pieces = literals.map(
    (literal, index) => literal + (index < parts.length ? markupOf(parts[index]!) : ''),
  )
  return { markup: pieces.join('') }
}

/** Markup that the program made itself (a drawn SVG); never text from a user's file. */
export function trustedHtml(markup: string): Html {
  return { markup }
}

function markupOf(part: HtmlPart): string {
  if (part === null) return ''
  if (typeof part === 'number') return String(part)
  if (typeof part === 'string') return escapeHtml(part)
  return 'markup' in part ? part.markup : part.map(markupOf).join('')
}

/** Control characters other than line breaks and tabs, and lone surrogates, show as a replacement character; a
 * per cent sign stays with its number. */
function escapeHtml(text: string): string {
  return text
    .replace(/[^\P{Cc}\t\n\r]|\p{Cs}/gu, '\ufffd')
    .replaceAll('&', '&amp;')
    .replaceAll('<', '&lt;')
    .replaceAll('>', '&gt;')
    .replaceAll('"', '&quot;')
    .replaceAll("'", '&#39;')
    .replaceAll(' %', '\u00a0%')
}
