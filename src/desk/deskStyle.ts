import { pageStyle } from '../show/page/pageStyle.js'

/**
 * The desk's style sheet: the page's own, and what a desk has beside it.
 *
 * @param fontFaces - `@font-face` rules with embedded fonts
 */
export function deskStyle(fontFaces: string): string {
  return `${pageStyle(fontFaces)}
${RULES}`
}

const RULES = `
:root{--mark:#FFE9A8}
:root[data-theme=dark]{--mark:#5A4A12}
@media (prefers-color-scheme:dark){:root:not([data-theme=light]){--mark:#5A4A12}}
.desk{max-width:1240px;margin:0 auto;padding:0 1.5rem 4rem}
.desk header.top{display:flex;flex-wrap:wrap;justify-content:space-between;align-items:center;gap:.25rem 1.5rem;padding:1rem 0 .5rem}
.desk h1{font-size:1.5rem;margin:0;display:flex;align-items:center;gap:.6rem}
.desk header.top .buttons{margin:0}
.mark{width:1.6rem;height:1.1rem;display:inline-block;border-left:3px solid var(--limit);border-bottom:3px solid var(--limit);border-top:3px solid var(--heat);border-top-right-radius:1.1rem 1.1rem}
.desk h2{margin:2rem 0 1rem;font-size:1.5rem}
.drop{display:flex;flex-wrap:wrap;align-items:center;justify-content:space-between;gap:.25rem 1.5rem;border:2px dashed var(--faint);border-radius:8px;padding:.5rem 1rem;margin:.5rem 0;background:var(--soft)}
.drop p{margin:.25rem 0}
.drop.large{flex-direction:column;justify-content:center;padding:clamp(2.5rem,12vh,8rem) 1rem;text-align:center;gap:1rem}
.drop.large strong{display:block;font-size:clamp(1.75rem,1.2rem + 2.6vw,2.75rem);font-weight:600;line-height:1.2}
.drop.over{border-color:var(--limit);border-style:solid}
.card{border:1px solid var(--grid);border-radius:8px;padding:1rem 1.25rem 1.25rem;margin:1rem 0 1.5rem}
.card h3{margin:.25rem 0 .75rem;max-width:none}
.card .kicker{justify-content:space-between}
.file{overflow-wrap:anywhere}
button:disabled{opacity:.55;cursor:default}
button.quiet{background:none;border-color:transparent;text-decoration:underline;text-underline-offset:3px;color:var(--faint);padding:.25rem .5rem;min-height:2rem}
button.quiet:hover{color:var(--ink)}
.small{font-size:.9375rem;max-width:none}
.chart.zoomable{touch-action:pan-y;cursor:zoom-in;min-height:10rem}
.chart.zoomed{cursor:grab}
.chart.zoomed:active{cursor:grabbing}
.zoomable svg{pointer-events:none}
.drawing{user-select:none;-webkit-user-select:none}
.drawing-soon{padding:6rem 0;text-align:center;max-width:none}
.tools{margin:.5rem 0;gap:.4rem}
.tools button{padding:.2rem .6rem;min-height:2.1rem;font-size:.9375rem}
.chart.zoomable{position:relative}
.chart.correcting{padding-top:1.5rem}
.edge{position:absolute;top:0;bottom:0;width:1.5rem;margin-left:-.75rem;cursor:ew-resize;touch-action:none;z-index:1}
.edge[hidden]{display:none}
.edge::before{content:'';position:absolute;left:calc(50% - 1px);top:0;bottom:0;border-left:2px solid var(--ink)}
.edge.opens{margin-left:-3px}.edge.opens::before{left:2px}.edge.opens .edge-tag{left:2px;transform:none}
.edge.closes{margin-left:calc(3px - 1.5rem)}.edge.closes::before{left:auto;right:2px}.edge.closes .edge-tag{left:auto;right:2px;transform:none}
.edge.split::before{border-left-style:dashed}
.edge:focus-visible{outline:3px solid var(--limit);outline-offset:-2px}
.edge-tag{position:absolute;top:0;left:50%;transform:translateX(-50%);background:var(--ink);color:var(--background);font-size:.8125rem;line-height:1.3;padding:0 .3rem;border-radius:3px;white-space:nowrap;font-variant-numeric:tabular-nums}
mark{background:var(--mark);color:var(--ink);padding:.05rem .4rem;border-radius:3px;font-size:.875rem;font-weight:400}
.load-head mark{margin-left:.6rem}
.correct{border:1px solid var(--grid);border-radius:6px;padding:.5rem 1rem;margin:.5rem 0 1rem;min-width:0}
.correct legend{font-weight:600;padding:0 .3rem}
.correct p,.correct ol,.correct li{max-width:none}
.correct ol{margin:0;padding:0}
.load-row{display:flex;flex-wrap:wrap;align-items:center;gap:.25rem .9rem;padding:.3rem 0;border-top:1px solid var(--grid)}
.load-row .buttons{margin:0}
.load-row .by{color:var(--faint);font-size:.9375rem;margin-left:auto}
.split-row{display:flex;flex-wrap:wrap;align-items:center;gap:.5rem;flex-basis:100%}
.load-row input{width:6.5rem}
input[aria-invalid=true]{border-color:var(--unsafe);border-width:2px}
table.loads{font-size:.9375rem}
.loads .why{white-space:normal;min-width:16rem;color:var(--faint)}
.loads tbody+tbody{border-top:2px solid var(--ink)}
.loads .load-head th{padding-top:.7rem}
.loads .settles>*{font-style:normal;color:var(--faint)}
.held{font-weight:600;white-space:nowrap}
.held-power-limit{color:var(--limit-text)}.held-heat{color:var(--heat-text)}.held-demand{color:var(--demand-text)}.held-undetermined{color:var(--undetermined-text)}
.reading{display:flex;flex-wrap:wrap;align-items:center;gap:.75rem}
progress{accent-color:var(--limit);width:14rem;max-width:60vw}
.steps{max-width:52rem;font-size:1.125rem;margin:2rem auto}
.steps li{margin:.75rem 0}
.names{display:grid;grid-template-columns:repeat(auto-fill,minmax(13rem,1fr));gap:.75rem 1.25rem;margin:.75rem 0 1rem}
.names label>span,.scores label>span,.inline>span{display:block;color:var(--faint);font-size:.9375rem}
.names input,.names select,textarea{width:100%;min-width:0}
input[type=text],textarea{background:var(--background);border:1px solid var(--faint);border-radius:4px;padding:.3rem .5rem;min-height:2.5rem;color:inherit;font:inherit}
textarea{font-variant-numeric:tabular-nums;line-height:1.4;resize:vertical}
textarea.yaml{font-family:ui-monospace,'DejaVu Sans Mono',Menlo,Consolas,monospace;font-size:.875rem;white-space:pre;overflow:auto}
.scores textarea{max-width:34rem;display:block;margin-top:.25rem}
.inline{display:flex;flex-wrap:wrap;align-items:center;gap:.5rem}
.inline select{max-width:100%}
button[aria-pressed=true]{background:var(--ink);color:var(--background);border-color:var(--ink)}
button.main{background:var(--limit);border-color:var(--limit);color:#fff;font-weight:600}
:root[data-theme=dark] button.main{color:#14171A}
button.danger{border-color:var(--unsafe);color:var(--unsafe)}
.conclusion{font-size:1.25rem;line-height:1.4;font-weight:600;max-width:52rem;margin:1rem 0}
.answer p{max-width:52rem}
.answer h4{font-size:1.0625rem;font-weight:600;margin:0}
.answer figure{margin:1.75rem 0 0}
.answer .controls{margin:.5rem 0}
table.data{font-size:.9375rem;min-width:0}
.command{background:var(--soft);padding:.1rem .35rem;border-radius:3px;overflow-wrap:anywhere}
.take .buttons>span{min-width:8rem;font-weight:600}
.desk footer p{max-width:52rem}
@media (prefers-color-scheme:dark){:root:not([data-theme=light]) button.main{color:#14171A}}
@media (max-width:640px){.loads .why{min-width:30rem}.desk{padding:0 .75rem 3rem}.card{padding:.75rem .75rem 1rem;border-left:0;border-right:0;border-radius:0;margin:1rem -.75rem}}
@media (prefers-reduced-motion:no-preference){.drop{transition:border-color .15s}}
@media (min-width:1600px){.desk{max-width:1480px}}
@media (min-width:2200px){:root{font-size:118.75%}.desk{max-width:2120px}.cards{display:grid;grid-template-columns:repeat(2,minmax(0,1fr));gap:0 1.5rem;align-items:start}.cards>.card:only-child{grid-column:1/-1}}
@media (min-width:3200px){:root{font-size:150%}.desk{max-width:3000px}}
@media print{.desk{max-width:none;padding:0}.desk header.top .buttons,.drop,.buttons,.correct,.edge,button,.take,.controls input[type=range],details:not([open]){display:none}.card{border:0;padding:0;margin:0 0 1.5rem}.card h3,.answer h4,figcaption{break-after:avoid}figure,.chart,tr{break-inside:avoid}.scroll{overflow:visible}.loads .why{min-width:0}.names input,.names select{border:0;padding:0;min-height:0;background:none;appearance:none}}`
