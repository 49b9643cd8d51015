import { describe, expect, it } from 'vitest';
import { html, Html, typesetHtml } from '../../src/report/html.js';

const [thin, bound] = ['\u202f', '\u00a0'];

describe('html', () => {
  it('escapes every value but Html', () => {
    expect(html`<p>${'a < b & "c"'}${new Html('<b>d</b>')}${[1, null, false]}</p>`.text).toBe('<p>a &lt; b &amp; &quot;c&quot;<b>d</b>1</p>');
  });
});

describe('typesetHtml', () => {
  it('sets the texts between tags, and neither attributes nor figures, code or styles', () => {
    const kept = '<svg width="1 m"><text>1234 h</text></svg><style>a { b: 1234 s }</style><pre>1234 h</pre><code class="x">1234 h</code>';
    expect(typesetHtml(`<p title="1234 h">1234 h</p>${kept}<p>5 %</p>`)).toBe(`<p title="1234 h">1${thin}234${bound}h</p>${kept}<p>5${bound}%</p>`);
  });
});
