import { DARK_THEME, LIGHT_THEME, themeProperties } from '../charts/chartTheme.js'

/**
 * The page's style sheet: one column of text and pictures, light and dark after the reader's system or the page's own
 * switch, always light on paper; from 360 px up.
 *
 * @param fontFaces - `@font-face` rules with embedded fonts
 */
export function pageStyle(fontFaces: string): string {
  const light = `${themeProperties(LIGHT_THEME)};--soft:#F5F6F7;--edge:#B9C0C7;--note:#00639B;--caution:#865B00;--unsafe:#B3261E`
  const dark = `${themeProperties(DARK_THEME)};--soft:#1D2125;--edge:#59626B;--note:#7CC5EF;--caution:#F0B43A;--unsafe:#FF9A8F`
  return `${fontFaces}
:root{color-scheme:light;${light}}
@media (prefers-color-scheme:dark){:root:not([data-theme=light]){color-scheme:dark;${dark}}}
:root[data-theme=dark]{color-scheme:dark;${dark}}
${RULES}
@media print{:root,:root[data-theme],:root:not([data-theme=light]){color-scheme:light;${light}}
${PRINT_RULES}}`
}

const RULES = `
*{box-sizing:border-box}
html{-webkit-text-size-adjust:100%;text-size-adjust:100%;scroll-padding-top:1rem}
body{margin:0;background:var(--background);color:var(--ink);font:1.0625rem/1.55 'Source Sans 3','Source Sans Pro',system-ui,sans-serif;overflow-wrap:break-word}
.page{max-width:calc(860px + 3rem);margin:0 auto;padding:0 1.5rem 4rem}
header.top{padding-top:2.5rem}
.kicker{max-width:none;display:flex;justify-content:space-between;align-items:center;gap:1rem;margin:0;color:var(--faint);font-size:.9375rem}
h1{font-size:clamp(1.75rem,1.2rem + 2.6vw,2.75rem);line-height:1.15;font-weight:600;letter-spacing:-.01em;margin:.75rem 0 1rem;text-wrap:balance}
h2{font-size:1.75rem;line-height:1.2;font-weight:600;margin:2.75rem 0 .5rem;padding-top:.75rem;border-top:3px solid var(--ink)}
h3{font-size:1.25rem;line-height:1.3;font-weight:600;margin:2.25rem 0 .25rem;text-wrap:balance}
p{margin:.5rem 0;max-width:44rem}
.lead{font-size:1.25rem;line-height:1.5}
.faint{color:var(--faint)}
a{color:inherit;text-decoration-thickness:1px;text-underline-offset:3px}
nav ul{max-width:none;display:flex;flex-wrap:wrap;gap:.25rem 1.25rem;list-style:none;padding:.75rem 0;margin:1.5rem 0 0;border-top:1px solid var(--grid);border-bottom:1px solid var(--grid)}
nav a{display:inline-block;padding:.25rem 0}
.skip{position:absolute;left:-999em}
.skip:focus{left:1rem;top:1rem;background:var(--background);padding:.5rem 1rem;z-index:1}
:focus-visible{outline:3px solid var(--limit);outline-offset:2px;border-radius:2px}
figure{margin:1.5rem 0 0}
.notes{list-style:none;padding:0;margin:.5rem 0;font-size:.9375rem}
.notes li{margin:.15rem 0}
figcaption p{margin:.125rem 0 .75rem}
.chart svg{display:block;max-width:100%;height:auto}
.narrow{display:none}
details{margin:.5rem 0}
summary{cursor:pointer;color:var(--faint);width:fit-content}
.scroll{overflow-x:auto;margin:1rem 0;background:linear-gradient(to right,var(--background) 40%,transparent) left/2.5rem 100% no-repeat local,linear-gradient(to left,var(--background) 40%,transparent) right/2.5rem 100% no-repeat local,linear-gradient(to right,var(--edge),transparent) left/.9rem 100% no-repeat scroll,linear-gradient(to left,var(--edge),transparent) right/.9rem 100% no-repeat scroll}
table{border-collapse:collapse;font-size:1rem;line-height:1.35;font-variant-numeric:tabular-nums;min-width:100%}
th,td{text-align:left;vertical-align:baseline;padding:.4rem 1.25rem .4rem 0;border-bottom:1px solid var(--grid);font-weight:400}
thead th{color:var(--faint);vertical-align:bottom}
tbody th{font-weight:600}
th.number,td.number{text-align:right;white-space:nowrap}
th:last-child,td:last-child{padding-right:0}
td .interval{color:var(--faint)}
.stacked .interval{display:block}.stacked br{display:none}
.swatch{display:inline-block;width:.75em;height:.75em;border-radius:50%;margin-right:.5em}
.swatch-0{background:var(--machine1)}.swatch-1{background:var(--machine2);border-radius:0}.swatch-2{background:var(--machine3);border-radius:0;clip-path:polygon(50% 0,100% 100%,0 100%)}.swatch-3{background:var(--machine4);border-radius:0;clip-path:polygon(50% 0,100% 50%,50% 100%,0 50%)}
.hidden{position:absolute;width:1px;height:1px;overflow:hidden;clip-path:inset(50%);white-space:nowrap}
code,pre{font-family:ui-monospace,'DejaVu Sans Mono',Menlo,Consolas,monospace;font-size:.875em}
pre{background:var(--soft);padding:.75rem 1rem;white-space:pre-wrap;overflow-wrap:anywhere;border-radius:4px;max-width:100%}
td code{word-break:break-all}
ul.plain{list-style:none;padding:0;max-width:46rem}
ul.plain li{padding:.6rem 0;border-bottom:1px solid var(--grid)}
ol,ul{max-width:46rem}
li{margin:.3rem 0}
.severity{font-weight:600;margin-right:.4em}
.note{color:var(--note)}.caution{color:var(--caution)}.unsafe{color:var(--unsafe)}
button,select,input{font:inherit;color:inherit}
button,select{background:var(--soft);border:1px solid var(--faint);border-radius:4px;padding:.35rem .8rem;min-height:2.5rem;cursor:pointer}
button:hover{border-color:var(--ink)}
input[type=number]{background:var(--background);border:1px solid var(--faint);border-radius:4px;padding:.3rem .5rem;width:6.5rem;min-height:2.5rem;font-variant-numeric:tabular-nums}
input[aria-invalid=true]{border-color:var(--unsafe)}
input[type=range]{width:100%;min-width:0;height:2.5rem;accent-color:var(--limit);margin:0}
.controls{display:grid;grid-template-columns:1fr 1fr;gap:0 2.5rem;margin:1.25rem 0}
fieldset{border:0;padding:0;margin:0 0 1rem;min-width:0}
legend{font-weight:600;padding:0}
.field{display:grid;grid-template-columns:1fr auto auto;align-items:center;gap:0 .6rem}
.field label{grid-column:1/-1;color:var(--faint);font-size:.9375rem}
.unit{color:var(--faint);min-width:1.2em}
.buttons{display:flex;flex-wrap:wrap;gap:.6rem;align-items:center;margin:1rem 0}
.result td{font-size:1.125rem}
.result .figure{font-weight:600}
.live svg{display:block;max-width:100%}
.problem{color:var(--unsafe);margin:0}
.switch{white-space:nowrap}
footer{margin-top:4rem;padding-top:1rem;border-top:1px solid var(--grid);color:var(--faint);font-size:.9375rem}
@media (max-width:640px){
.page{padding:0 1rem 3rem}
.wide{display:none}.narrow{display:block}
.narrow svg{width:100%;max-width:480px}
.controls{grid-template-columns:1fr}
h2{font-size:1.5rem;margin-top:3rem}
th,td{white-space:nowrap;padding-right:.9rem}
.result td{font-size:1rem}
.worded tbody th{white-space:normal;min-width:7.5rem}
.worded .interval{display:block}.worded br{display:none}
.lead{font-size:1.125rem}
}`

const PRINT_RULES = `
body{font-size:10.5pt}
.page{max-width:none;padding:0}
nav,.skip,.switch,.controls,.buttons,summary{display:none}
h2{margin-top:2rem;break-after:avoid}
h3{break-after:avoid}
figure,.result{break-inside:avoid}
.wide{display:block}.narrow{display:none}
.scroll{overflow:visible;background:none}
a{text-decoration:none}`
