import { type Html, html, trustedHtml } from '../figures/html.js'
import { pageStyle } from './pageStyle.js'
import { inScript, securityPolicy } from './securityPolicy.js'

/** What a page carries along, read from the installed package. */
export interface PageParts {
  /** What runs in the page, bundled for the browser. */
  readonly script: string
  /** `@font-face` rules with the fonts inside them: for western European letters, and for further Latin ones. */
  readonly fontFaces: { readonly latin: string; readonly latinExtended: string }
}

/** What stands in the frame of a page. */
export interface PageBody {
  readonly version: string
  readonly title: string
  /** The line over the title. */
  readonly kicker: string
  /** What stands under the title. */
  readonly standfirst: Html
  /** Places of sections, and how they are called. */
  readonly links: readonly (readonly [id: string, name: string])[]
  readonly lead: Html
  readonly parts: readonly Html[]
  /** Elements that carry data for the script. */
  readonly data?: Html
}

/**
 * The frame of every page: one HTML file that asks nothing of any network. Pictures, fonts, styles, code and data are inside.
 *
 * Colours are custom properties, so one picture serves light, dark and print. The content-security policy allows the page's own
 * script and style by their hashes and nothing else; every text from a sheet or a log is escaped by `html`.
 *
 * @param options.dark - whether the page begins dark; otherwise it follows the reader's system
 */
export async function pageFrame(
  body: PageBody,
  options: PageParts & { readonly dark: boolean },
): Promise<string> {
  const { version, title, kicker, parts } = body
  const style = pageStyle(fontFacesFor(parts, options.fontFaces))
  const script = inScript(options.script)
  const page = html`<!doctype html>
<html lang="en"${options.dark ? html` data-theme="dark"` : null}>
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="${await securityPolicy({ script, style })}">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="generator" content="holdwatt ${version}">
<meta name="referrer" content="no-referrer">
<title>${title}</title>
<link rel="icon" href="data:,">
<style>${trustedHtml(style)}</style>
</head>
<body>
<div class="page">
<a class="skip" href="#main">To the findings</a>
<header class="top">
<p class="kicker"><span>${kicker}</span>
<button type="button" id="theme-switch" class="switch" >Light or dark</button></p>
<h1>${title}</h1>
${body.standfirst}
${navigation(body)}
</header>
<main id="main" tabindex="-1">
${body.lead}
${parts}
</main>
<footer><p>Made by holdwatt ${version}. Intervals hold the true value in 90&nbsp;% of cases.</p></footer>
</div>
${body.data ?? null}<script>${trustedHtml(script)}</script>
</body>
</html>
`
  return page.markup
}

function navigation({ links }: PageBody): Html {
  return html`<nav aria-label="Sections"><ul>${links.map(([id, name]) => html`<li><a href="#${id}">${name}</a></li>`)}</ul></nav>`
}

/** Half of the fonts' bytes are for letters that most pages have none of. */
function fontFacesFor(parts: readonly Html[], faces: PageParts['fontFaces']): string {
  const needsMore = parts.some((part) => /[\u0100-\u024f]/.test(part.markup))
  return needsMore ? `${faces.latin}\n${faces.latinExtended}` : faces.latin
}
