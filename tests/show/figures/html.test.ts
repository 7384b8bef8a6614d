import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { html, trustedHtml } from '../../../src/show/figures/html.js'

describe('the page’s templates', () => {
  it('escape every inserted text, between tags and in attributes', () => {
    const bad = `<img src=x onerror="a('b')">&`
    expect(html`<p title="${bad}">${bad}</p>`.markup).toBe(
      '<p title="&lt;img src=x onerror=&quot;a(&#39;b&#39;)&quot;&gt;&amp;">&lt;img src=x onerror=&quot;a(&#39;b&#39;)&quot;&gt;&amp;</p>',
    )
  })

  it('let no text open a tag, close an attribute or send a control sequence', () => {
    fc.assert(
      fc.property(fc.string({ unit: 'binary', maxLength: 60 }), (text) => {
        const inside = html`${text}`.markup
        expect(inside).not.toMatch(/[<>"']/)
        expect(inside).not.toMatch(/[^\P{Cc}\t\n\r]/u)
      }),
      { seed: 5, numRuns: 500 },
    )
  })

  it('join lists, keep markup and drop null', () => {
    const items = ['a', 'b<'].map((item) => html`<li>${item}</li>`)
    expect(html`<ul>${items}${null}${trustedHtml('<hr>')}${3}</ul>`.markup).toBe(
      '<ul><li>a</li><li>b&lt;</li><hr>3</ul>',
    )
  })
})
