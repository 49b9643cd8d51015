import { mkdtempSync, readFileSync, existsSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { table } from 'arquero';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { InputError, makeChannel, makeRecording, plotHistory } from '../../src/index.js';
import { awaitsAtTop, letLoopsBreathe } from '../../src/kernel/breathing.js';
import { bundleOf } from '../../src/kernel/bundle.js';
import { compileFault, type CompileMessage } from '../../src/kernel/diagnostics.js';
import { isWhole } from '../../src/kernel/isWhole.js';
import { faultOf } from '../../src/kernel/fault.js';
import { gatherStreams } from '../../src/kernel/gatherStreams.js';
import { highlight } from '../../src/kernel/highlight.js';
import { writeOutShorthand } from '../../src/kernel/shorthand.js';
import { markdownHtml } from '../../src/kernel/markdown.js';
import { newHeader, readMessage, writeMessage } from '../../src/kernel/message.js';
import { runKernelCommand } from '../../src/kernel/runKernelCommand.js';
import { withTypes } from '../../src/kernel/scope.js';
import { dataDirs, findSpecs, userDataDir } from '../../src/kernel/spec.js';

function gather(): { io: { out(t: string): void; err(t: string): void; progress(t: string): void }; out: string[]; err: string[] } {
  const out: string[] = [];
  const err: string[] = [];
  return { io: { out: (t) => void out.push(t), err: (t) => void err.push(t), progress: () => undefined }, out, err };
}

const message = (messageText: string, code = 2345): CompileMessage => ({ start: { line: 0, character: 4 }, end: { line: 0, character: 6 }, messageText, code });
const unitMessage = (given: string, needed: string): CompileMessage => message(`Argument of type 'Channel<${given}>' is not assignable to parameter of type 'Channel<${needed}>'.`);

describe('messages of the compiler', () => {
  it.each([
    ['"mV/V"', '"N·m"', 'This needs a channel in N·m, but the one given is in mV/V. Use toTorque with the gauge and the section to turn a bridge signal into torque.'],
    ['"V"', '"Pa"', 'This needs a channel in Pa, but the one given is in V. Use toTorque, then shearStress.'],
    ['"kN·m"', '"N·m"', `This needs a channel in N·m, but the one given is in kN·m. Convert it: convert(channel, 'N·m').`],
    ['"?"', '"N·m"', `This needs a channel in N·m, but the one given is in ?. State it with assignUnit(channel, 'N·m') if that is what it is.`],
    ['"rpm"', '"N·m"', 'This needs a channel in N·m, but the one given is in rpm. No verb leads from angular speed to torque: take another channel.'],
    ['"N·m"', '"Pa" | "MPa"', 'This needs a channel in Pa or MPa, but the one given is in N·m. Use shearStress with the section to turn torque into stress.'],
    ['Unit', '"N·m"', `This needs a channel in N·m, but the unit of the one given is not known to the compiler. Say which it is when you take it: pick(recording, name, 'N·m').`],
  ])('say for %s where %s is needed what to do', (given, needed, sentence) => {
    expect(compileFault([unitMessage(given, needed)], 'f(a, bb);').message).toBe(sentence);
  });

  it('carry the line and a mark under the place', () => {
    expect(compileFault([message('No.')], 'f(a,bb);').lines).toEqual(['CompileError: No.', '  line 1: f(a,bb);', '              ^^']);
  });

  it('name the nearest name in scope', () => {
    expect(compileFault([message(`Cannot find name 'lowpas'.`, 2304)], 'lowpas', ['lowpass', 'notch']).message).toBe(`Cannot find name 'lowpas'. Did you mean 'lowpass'?`);
  });

  it('leave out what only follows from a cell that is not written right, unless it is all there is', () => {
    const follows = message(`Exported variable 'broken' has or is using private name ''.`, 4025);
    expect(compileFault([follows, { ...message('Type expected.', 1110), start: { line: 0, character: 9 } }], 'const broken: = ;').lines.join()).not.toContain('Exported');
    expect(compileFault([follows], 'const broken: = ;').message).toContain('Exported');
  });

  it('show the details of one mistake once, and at most five mistakes', () => {
    const many = Array.from({ length: 7 }, (_, k) => ({ ...message(`m${k}`), start: { line: k, character: 0 }, end: { line: k, character: 1 } }));
    const { lines } = compileFault([many[0]!, { ...many[0]!, messageText: 'detail' }, ...many.slice(1)], 'a\nb\nc\nd\ne\nf\ng');
    expect(lines.at(-1)).toBe('… and 2 more');
    expect(lines.join()).not.toContain('detail');
  });
});

describe('errors of a cell', () => {
  it('of ours show the sentence only', () => {
    const error = new InputError({ where: 'lowpass', argument: 'cutoff', expected: 'below 500 Hz', given: '600 Hz' });
    expect(faultOf(error, '', '').lines).toEqual(['InputError: lowpass: cutoff must be below 500 Hz, got 600 Hz.']);
  });

  it('of another kind show the calls', () => {
    const { lines } = faultOf(new TypeError('bad'), '', '');
    expect(lines[0]).toBe('TypeError: bad');
    expect(lines.length).toBeGreaterThan(1);
  });

  it('may be anything that was thrown', () => {
    expect(faultOf('no', '', '')).toMatchObject({ name: 'Thrown', message: 'no' });
    expect(faultOf({ a: 1 }, '', '').lines).toEqual(['Thrown: { a: 1 }']);
  });
});

describe('loops of a cell', () => {
  const check = 'if (__quillshaft__.due()) await __quillshaft__.breathe();';
  it.each([
    ['while (true) { await f(); }', `while (true) { ${check} await f(); }`],
    ['for (const x of xs) await f(x);', `for (const x of xs) { ${check} await f(x); }`],
    ['for await (const x of xs) { g(x); }', `for await (const x of xs) { ${check} g(x); }`],
    ['do { await f(); } while (x);', `do { ${check} await f(); } while (x);`],
    ['while (a) while (b) await f();', `while (a) { ${check} while (b) { ${check} await f(); } }`],
  ])('that await can be stopped: %s', (before, after) => {
    expect(letLoopsBreathe(before)).toBe(after);
  });

  it.each(['while (true) {}', 'for (const x of xs) { later(async () => { await f(x); }); } await g();', 'await f();'])('that do not await stay as they are: %s', (code) => {
    expect(letLoopsBreathe(code)).toBe(code);
  });

  it('that do not await can be stopped too where their cell runs as an async function', () => {
    const some = 'if ((++__quillshaft__.turns & 63) === 0 && __quillshaft__.due()) await __quillshaft__.breathe();';
    expect(letLoopsBreathe('await f(); while (true) {}', true)).toBe(`await f(); while (true) { ${some}}`);
    const inFunctions = 'await f(); const g = () => { for (;;) {} }; class A { m() { do {} while (1); } }';
    expect(letLoopsBreathe(inFunctions, true)).toBe(inFunctions);
  });
});

describe('a cell', () => {
  it.each(['await f();', 'for await (const x of xs) g(x);', 'if (a) { for await (const x of xs) {} }'])('awaits at its top in %s', (code) => {
    expect(awaitsAtTop(code)).toBe(true);
  });

  it.each(['f();', 'async () => { for await (const x of xs) await g(x); };', 'class A { async m() { await g(); } }', '"await"'])('does not await at its top in %s', (code) => {
    expect(awaitsAtTop(code)).toBe(false);
  });
});

describe('what a cell prints', () => {
  function record(): { readonly told: string[]; readonly sink: ReturnType<typeof gatherStreams> } {
    const told: string[] = [];
    const sink = gatherStreams({ stream: (name, text) => void told.push(`${name}:${text}`), display: () => void told.push('display'), result: () => void told.push('result') });
    return { told, sink };
  }

  it('goes out at once where it is little', () => {
    const { told, sink } = record();
    sink.stream('stdout', 'a');
    sink.stream('stderr', 'b');
    expect(told).toEqual(['stdout:a', 'stderr:b']);
  });

  it('is gathered where it is much, and loses nothing', async () => {
    const { told, sink } = record();
    const lines = Array.from({ length: 20000 }, (_, i) => `line ${i}\n`);
    for (const line of lines) sink.stream('stdout', line);
    await new Promise((resolve) => setTimeout(resolve, 60));
    expect(told.map((text) => text.replace('stdout:', '')).join('')).toBe(lines.join(''));
    expect(told.length).toBeLessThan(1000);
  });

  it('is overtaken by no display, no result, and not by the other stream', () => {
    const { told, sink } = record();
    const expected: string[] = [];
    for (let i = 0; i < 60; i++) {
      sink.stream('stdout', `${i}`);
      sink.stream('stderr', `${i}`);
      sink.display({ data: {}, metadata: {} }, false);
      expected.push(`stdout:${i}`, `stderr:${i}`, 'display');
    }
    sink.stream('stdout', 'last');
    sink.result({}, 1);
    expect(told).toEqual([...expected, 'stdout:last', 'result']);
  });
});

describe('whether a cell can end', () => {
  it.each(['const x = `', 'const x = `a ${1}', '/* to be', 'f(', 'for (const x of [1]) {'])('it cannot in %s', (code) => {
    expect(isWhole(code).completed).toBe(false);
  });

  it.each(['const x = 1;', 'const x = `a ${1}`;', '/* said */', 'x', ''])('it can in %j', (code) => {
    expect(isWhole(code).completed).toBe(true);
  });
});

describe('properties written short', () => {
  const earlier = (name: string): boolean => ['gauge', 'section'].includes(name);
  it.each([
    ['f({ gauge, section });', 'f({ gauge: exports.gauge, section: exports.section });'],
    ['({ gauge, other } = x);', '({ gauge: exports.gauge, other } = x);'],
    ['f({ gauge: 1 }, { other });', 'f({ gauge: 1 }, { other });'],
    ['const gauge = 2; f({ gauge });', 'const gauge = 2; f({ gauge });'],
    ['const g = (gauge) => ({ gauge, section });', 'const g = (gauge) => ({ gauge, section: exports.section });'],
    ['{ let gauge = 1; f({ gauge }); } f({ gauge });', '{ let gauge = 1; f({ gauge }); } f({ gauge: exports.gauge });'],
    ['const { gauge } = x;', 'const { gauge } = x;'],
  ])('mean the name that is in scope: %s', (before, after) => {
    expect(writeOutShorthand(before, earlier)).toBe(after);
  });
});

describe('packages that state their types in exports only', () => {
  const file = '/x/node_modules/frames/package.json';
  it('are found by the compiler of the cells', () => {
    expect(JSON.parse(withTypes(file, JSON.stringify({ exports: { '.': { node: { types: './a.d.ts' } } } }))!)).toMatchObject({ types: './a.d.ts' });
  });

  it.each([
    [file, '{"types":"b.d.ts","exports":{".":{"types":"./a.d.ts"}}}'], [file, '{"main":"a.js"}'], [file, 'no json'], ['/x/package.json', '{"exports":{".":{"types":"./a.d.ts"}}}'],
  ])('and others stay as they are: %s %s', (path, text) => {
    expect(withTypes(path, text)).toBe(text);
  });
});

describe('views', () => {
  const channel = makeChannel({ name: 'torque', unit: 'N·m', sampleRate: 10, values: [1, 2, NaN, 4] });

  it('of a channel have a plain line, a figure, its trail', () => {
    const bundle = bundleOf(channel);
    expect(bundle['text/plain']).toBe(`Channel torque [N·m]: 4 samples at 10 Hz (0.400 s), 25 % masked in 1 span, makeChannel`);
    expect(bundle['text/html']).toMatch(/<svg[\s\S]*Trail: 1 step/);
  });

  it('of a recording list its channels', () => {
    expect(bundleOf(makeRecording('run', [channel]))['text/html']).toMatch(/<td>torque<\/td><td>N·m<\/td><td>4<\/td>/);
  });

  it('of a figure carry Vega-Lite and SVG', () => {
    const bundle = bundleOf(plotHistory(channel));
    expect(Object.keys(bundle)).toEqual(['application/vnd.vegalite.v5+json', 'image/svg+xml', 'text/plain']);
    expect(bundle['image/svg+xml']).toContain('Torque / N·m');
  });

  it('of ten million samples stay below 300 kB and lose no peak', () => {
    const values = new Float64Array(1e7);
    for (let i = 0; i < values.length; i++) values[i] = Math.sin(i * 1e-3) + (i % 7) * 0.1;
    values[6_543_210] = 777;
    const bundle = bundleOf(makeChannel({ name: 'torque', unit: 'N·m', sampleRate: 5000, values }));
    expect(JSON.stringify(bundle).length).toBeLessThan(300_000);
    expect(Number(/Y-axis titled [^>]* to (\d+)"/.exec(bundle['text/html'] as string)![1])).toBeGreaterThanOrEqual(777);
  });

  it('of an Arquero table are rows', () => {
    const bundle = bundleOf(table({ range: [1, 2.5], count: [3, 4] }));
    expect(bundle['text/plain']).toBe('Table: 2 rows × 2 columns\nrange  count\n    1      3\n  2.5      4');
    expect(bundle['text/html']).toContain('<td>2.5</td><td>4</td>');
  });

  it('of a long table show the first rows and say how many there are', () => {
    const bundle = bundleOf(table({ x: Array.from({ length: 50 }, (_, i) => i) }));
    expect(bundle['text/plain']).toContain('… 30 more rows');
  });

  it('of a list of plain objects of one shape are rows', () => {
    const bundle = bundleOf([{ policy: 'half', 'cycles [1]': 4.5 }, { policy: 'drop', 'cycles [1]': 4 }]);
    expect(bundle['text/plain']).toBe('2 rows × 2 columns\npolicy  cycles [1]\n  half         4.5\n  drop           4');
    expect(bundle['text/html']).toContain('<td>half</td><td>4.5</td>');
    expect(bundleOf([{ a: 1 }, { b: 2 }])['text/plain']).toBe('[ { a: 1 }, { b: 2 } ]');
    expect(bundleOf([{ a: [1] }])['text/plain']).toBe('[ { a: [ 1 ] } ]');
  });

  it('of anything else are what a console prints', () => {
    expect(bundleOf([1, 2])).toEqual({ 'text/plain': '[ 1, 2 ]' });
    expect(bundleOf('a\nb')).toEqual({ 'text/plain': 'a\nb' });
    expect(bundleOf({ [Symbol.for('Jupyter.display')]: () => ({ 'text/html': '<i>' }) })['text/html']).toBe('<i>');
  });

  it('escape what stands in names', () => {
    expect(bundleOf(makeChannel({ name: '<b>&', unit: '1', sampleRate: 1, values: [1, 2] }))['text/html']).not.toContain('<b>&');
  });
});

describe('the source on a page', () => {
  it('is marked and loses nothing', () => {
    const source = 'const a = `x ${f({ b: "<" })} y`; // note\n/re/.test(a) && 1e3;';
    const html = highlight(source);
    expect(html).toContain('<span class="k">const</span>');
    expect(html).toContain('<span class="c">// note</span>');
    expect(html.replace(/<[^>]+>/g, '').replace(/&lt;/g, '<').replace(/&gt;/g, '>').replace(/&quot;/g, '"').replace(/&amp;/g, '&')).toBe(source);
  });
});

describe('prose on a page', () => {
  it('has its formulas drawn, and money left alone', () => {
    expect(markdownHtml('at $m=5$ it')).toMatch(/<math.*<mi>m<\/mi>/);
    expect(markdownHtml('$$a^2$$')).toContain('display="block"');
    expect(markdownHtml('from $5 to $6')).toBe('<p>from $5 to $6</p>\n');
    expect(markdownHtml('**bold** and `$x$`')).toBe('<p><strong>bold</strong> and <code>$x$</code></p>\n');
  });
});

describe('messages on the wire', () => {
  const written = writeMessage({ identities: [Buffer.from('me')], header: newHeader('execute_request', 's'), parent: {}, content: { code: 'N·m' } }, 'key');

  it('come back as they were', () => {
    expect(readMessage(written, 'key')).toMatchObject({ header: { msg_type: 'execute_request', session: 's' }, content: { code: 'N·m' } });
  });

  it('are refused with another key, or changed, or cut', () => {
    expect(() => readMessage(written, 'other')).toThrow('signature');
    expect(() => readMessage([...written.slice(0, -1), Buffer.from('{}')], 'key')).toThrow('signature');
    expect(() => readMessage(written.slice(0, 4), 'key')).toThrow('no Jupyter message');
  });
});

describe('quillshaft kernel', () => {
  let dir: string;
  beforeEach(() => { dir = mkdtempSync(join(tmpdir(), 'spec-')); });
  afterEach(() => { rmSync(dir, { recursive: true, force: true }); });

  it('installs a kernelspec with absolute paths and a logo, lists it, and removes it', async () => {
    const { io, out } = gather();
    expect(await runKernelCommand(['install', '--prefix', dir], io)).toBe(0);
    const place = join(dir, 'share', 'jupyter', 'kernels', 'quillshaft');
    const spec = JSON.parse(readFileSync(join(place, 'kernel.json'), 'utf8')) as { argv: string[]; display_name: string; language: string };
    expect(spec.argv[0]).toBe(process.execPath);
    expect(spec.argv.at(-1)).toBe('{connection_file}');
    expect(spec).toMatchObject({ display_name: 'Quillshaft (TypeScript)', language: 'typescript', interrupt_mode: 'signal' });
    expect(readFileSync(join(place, 'logo-svg.svg'), 'utf8')).toContain('<svg');
    expect(readFileSync(join(place, 'logo-64x64.png')).subarray(1, 4).toString()).toBe('PNG');
    expect(findSpecs([join(dir, 'share', 'jupyter')])).toHaveLength(1);
    await runKernelCommand(['list', '--prefix', dir], io);
    expect(out.join('\n')).toContain(place);
    expect(await runKernelCommand(['remove', '--prefix', dir], io)).toBe(0);
    expect(existsSync(place)).toBe(false);
    expect(await runKernelCommand(['remove', '--prefix', dir], io)).toBe(1);
  });

  it('installs over an earlier one', async () => {
    const { io } = gather();
    expect([await runKernelCommand(['install', '--prefix', dir], io), await runKernelCommand(['install', '--prefix', dir], io)]).toEqual([0, 0]);
  });

  it.each([[[]], [['instal']], [['install', '--sideways']], [['install', '--user', '--prefix', 'x']], [['start']], [['install', 'now']]])('refuses %j with the usage', async (args) => {
    const { io, err } = gather();
    expect(await runKernelCommand(args, io)).toBe(2);
    expect(err.join()).toContain('Usage: quillshaft kernel');
  });

  it('knows where Jupyter looks', () => {
    expect(userDataDir({ HOME: '/home/a' }, 'linux')).toBe('/home/a/.local/share/jupyter');
    expect(userDataDir({ HOME: '/home/a', XDG_DATA_HOME: '/data' }, 'linux')).toBe('/data/jupyter');
    expect(userDataDir({ HOME: '/Users/a' }, 'darwin')).toBe('/Users/a/Library/Jupyter');
    expect(userDataDir({ JUPYTER_DATA_DIR: '/x' }, 'linux')).toBe('/x');
    expect(dataDirs({ HOME: '/home/a', JUPYTER_PATH: '/p', VIRTUAL_ENV: '/v' }).slice(0, 3)).toEqual(['/p', '/home/a/.local/share/jupyter', '/v/share/jupyter']);
  });
});
