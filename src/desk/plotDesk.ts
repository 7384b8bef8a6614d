import { html, trustedHtml } from '../show/figures/html.js'
import { inScript, securityPolicy } from '../show/page/securityPolicy.js'
import { deskStyle } from './deskStyle.js'

/** What the desk carries along. */
export interface DeskParts {
  readonly version: string
  /** The desk, bundled for the browser: page and worker in one script. */
  readonly script: string
  /** The script of a published page, for pages that are taken away. */
  readonly pageScript: string
  readonly fontFaces: { readonly latin: string; readonly latinExtended: string }
}

/**
 * The desk as one HTML file that asks nothing of any network.
 *
 * The content-security policy allows the desk's own script and style by their hashes, workers that it makes of its own text, pictures
 * that it makes itself, and nothing else: no address can be fetched, no text from a file can run.
 */
export async function plotDesk({ version, script, pageScript, fontFaces }: DeskParts): Promise<string> {
  const style = deskStyle(`${fontFaces.latin}\n${fontFaces.latinExtended}`)
  const code = inScript(script)
  const page = html`<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="${await securityPolicy({ script: code, style, workers: true })}">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="generator" content="holdwatt ${version}">
<meta name="referrer" content="no-referrer">
<title>holdwatt desk</title>
<link rel="icon" href="data:,">
<style>${trustedHtml(style)}</style>
</head>
<body>
<div class="desk" id="desk"><noscript><p class="problem">The desk works by scripts: allow them for this file. Nothing is sent anywhere.</p></noscript></div>
<script type="text/plain" id="page-script">${trustedHtml(inScript(pageScript))}</script>
<script>${trustedHtml(code)}</script>
</body>
</html>
`
  return page.markup
}
