import type { Html } from '../../figures/html.js'
import { html } from '../../figures/html.js'
import type { WhatIfField, WhatIfMachine } from './whatIfState.js'

/**
 * The what-if of the page as markup: sliders and number fields for the limits, the result as a table, a live summary and
 * the place of the chart. `whatIf.ts` brings it to life in the page.
 */
export function whatIfControls(machines: readonly WhatIfMachine[]): Html {
  return html`<section id="what-if" aria-labelledby="what-if-title">
<h2 id="what-if-title">What if the chassis sustained another power?</h2>
<p>Set other limits for the same chip: the sustained power, and the higher powers at the start of a load.
The page computes the projection with the code of <code>holdwatt project</code>.</p>
<noscript><p class="problem">This part needs scripts. Everything else on the page works without.</p></noscript>
<form id="what-if-form">
<div class="buttons"><label for="wi-machine">Chip</label>
<select id="wi-machine" name="machine">${machines.map(
    (machine, index) => html`<option value="${index}">${machine.chip.name} of ${machine.machine}</option>`,
  )}</select></div>
<div class="controls">
<fieldset><legend>Sustained</legend>${field('sustainedW', 'Sustained power', 'W')}</fieldset>
<fieldset><legend>Short-term</legend>${field('shortTermW', 'Short-term power', 'W')}${field('shortTermForS', 'Short-term power is held for', 's')}</fieldset>
<fieldset><legend>Burst</legend>${field('burstW', 'Burst power', 'W')}${field('burstForS', 'Burst power is held for', 's')}</fieldset>
<fieldset><legend>Chassis of this test</legend><div class="buttons">${machines.map(
    (machine, index) => html`<button type="button" data-chassis="${index}">As in ${machine.machine}</button>`,
  )}</div></fieldset>
</div>
</form>
<p class="problem" id="wi-problem" role="alert"></p>
<div class="scroll result" tabindex="0" role="region" aria-label="Table: projected and measured scores"><table>
<caption class="hidden">Projected and measured scores</caption>
<thead><tr><th scope="col">Score</th><th scope="col" class="number">Projected</th><th scope="col" class="number">90 % interval</th>
<th scope="col" class="number">Measured</th><th scope="col" class="number">Change</th></tr></thead>
<tbody>${resultRow('First run', 'first')}${resultRow('Steady', 'steady')}</tbody></table></div>
<p id="wi-summary" aria-live="polite"></p>
<p id="wi-outside" class="faint"></p>
<p class="faint">Projected package power in watts over the minutes of the loop, from idle; gray is the chassis fitted to the test.</p>
<div class="live" id="wi-chart" role="img" aria-label="Projected power over time"><div id="wi-drawing" aria-hidden="true"></div></div>
<details><summary>The numbers of this chart</summary><div class="scroll" tabindex="0" role="region" aria-label="Table: projected power over time">
<table><caption class="hidden">Projected power over time</caption><thead><tr><th scope="col" class="number">After</th>
<th scope="col" class="number">Projected</th><th scope="col" class="number">Fitted to the test</th></tr></thead><tbody id="wi-trace"></tbody></table></div></details>
<p class="faint">The same from the command line:</p>
<pre><code id="wi-command"></code></pre>
<p class="faint">The address of this page carries what you set: copy it to share this what-if.</p>
</section>`
}

/** A slider and a number field for the same value; either moves the other. */
function field(name: WhatIfField, label: string, unit: string): Html {
  const id = `wi-${name}`
  return html`<div class="field"><label for="${id}">${label}, ${unit}</label>
<input type="range" id="${id}-slider" data-field="${name}" aria-label="${label}, ${unit}, slider" step="0.5">
<input type="number" id="${id}" data-field="${name}" min="0.1" step="any" inputmode="decimal" aria-describedby="wi-problem">
<span class="unit" aria-hidden="true">${unit}</span></div>`
}

function resultRow(name: string, which: string): Html {
  return html`<tr><th scope="row">${name}</th><td class="number"><data class="figure" id="wi-${which}" value=""></data></td>
<td class="number" id="wi-${which}-interval"></td><td class="number" id="wi-${which}-measured"></td><td class="number" id="wi-${which}-change"></td></tr>
`
}
