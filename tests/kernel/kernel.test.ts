import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import * as zmq from 'zeromq';
import { newHeader, writeMessage } from '../../src/kernel/message.js';
import { makeSpec } from '../../src/kernel/spec.js';
import { needDist, root } from './dist.js';
import { connect, launch, texts, type RunningKernel, type WireClient } from './wireClient.js';

let kernel: RunningKernel;
let client: WireClient;

beforeAll(async () => {
  needDist();
  kernel = await launch(makeSpec().argv, `${root}/notebooks`);
  client = await connect(kernel.connection);
});
afterAll(async () => {
  client?.close();
  await kernel?.stop();
});

/** Waits until a cell has printed something. */
async function seen(text: string): Promise<void> {
  while (!client.seen.some((message) => message.type === 'stream' && String(message.content['text']).includes(text))) await new Promise((resolve) => setTimeout(resolve, 10));
}

describe('the kernel over the wire', () => {
  it('says what it is', async () => {
    const { reply } = await client.ask('kernel_info_request', {});
    expect(reply).toMatchObject({ status: 'ok', protocol_version: '5.3', implementation: 'quillshaft', language_info: { name: 'typescript', file_extension: '.ts' } });
  });

  it('runs a cell, shows its last expression and counts', async () => {
    const first = await client.execute('const a = 20;\na + 1');
    expect(texts(first, 'execute_result')).toBe('21');
    const second = await client.execute('a * 2');
    expect(texts(second, 'execute_result')).toBe('40');
    expect(second.reply['execution_count']).toBe((first.reply['execution_count'] as number) + 1);
    expect(second.outputs[0]).toMatchObject({ type: 'execute_input', content: { code: 'a * 2' } });
  });

  it('has the library in scope by name, by its types and as qs; an import gives the same one', async () => {
    const cell = await client.execute(`import { makeChannel as made } from 'quillshaft';
const bridge: Channel<'mV/V'> = makeChannel({ name: 'bridge', unit: 'mV/V', sampleRate: 10, values: [1, 2, 3] });
[made === makeChannel, qs.makeChannel === made, bridge.values.length]`);
    expect(cell.reply['status']).toBe('ok');
    expect(texts(cell, 'execute_result')).toBe('[ true, true, 3 ]');
  });

  it('reads names of earlier cells also in properties written short', async () => {
    await client.execute('let diameter = 0.09; const length = 2;');
    expect(texts(await client.execute('const shaft = { diameter, length, n: ((diameter: number) => ({ diameter }))(1) }; shaft'), 'execute_result')).toBe('{ diameter: 0.09, length: 2, n: { diameter: 1 } }');
    expect(texts(await client.execute('({ diameter } = { diameter: 3 }); diameter'), 'execute_result')).toBe('3');
  });

  it('awaits at the top level, and passes on what a cell prints', async () => {
    const cell = await client.execute(`console.log('one'); const later = await new Promise<number>((r) => setTimeout(() => r(7), 5)); console.error('two'); later`);
    expect(cell.outputs.filter((o) => o.type === 'stream').map((o) => o.content)).toEqual([{ name: 'stdout', text: 'one\n' }, { name: 'stderr', text: 'two\n' }]);
    expect(texts(cell, 'execute_result')).toBe('7');
  });

  it('awaits at the top level in a for await alone', async () => {
    const cell = await client.execute(`for await (const x of (async function* () { yield 1; yield 2; })()) console.log(x);`);
    expect(cell.reply['status']).toBe('ok');
    expect(texts(cell, 'stream')).toBe('1\n2\n');
  });

  it('joins twenty thousand lines into few messages, in order with displays, errors and the reply', async () => {
    const cell = await client.execute(`for (let i = 0; i < 20000; i++) { console.log(i); if (i === 9999) show('half'); }\nconsole.error('end'); throw new Error('stop')`);
    const kinds = cell.outputs.filter((o) => o.type !== 'execute_input');
    expect(kinds.length).toBeLessThan(2000);
    const half = kinds.findIndex((o) => o.type === 'display_data');
    const text = (part: typeof kinds): string => part.map((o) => o.content['text']).join('');
    const numbers = (from: number, to: number): string => Array.from({ length: to - from }, (_, i) => `${from + i}\n`).join('');
    expect(text(kinds.slice(0, half))).toBe(numbers(0, 10000));
    expect(text(kinds.slice(half + 1, -1))).toBe(`${numbers(10000, 20000)}end\n`);
    expect(kinds.at(-2)!.content).toEqual({ name: 'stderr', text: 'end\n' });
    expect(kinds.at(-1)!.type).toBe('error');
    await new Promise((resolve) => setTimeout(resolve, 100));
  });

  it('shows a channel as a card with a figure and a plain line', async () => {
    const cell = await client.execute(`makeChannel({ name: 'torque', unit: 'N·m', sampleRate: 10, values: [1, 5, 2, 4] })`);
    const data = cell.outputs.find((o) => o.type === 'execute_result')!.content['data'] as Record<string, string>;
    expect(data['text/plain']).toContain('Channel torque [N·m]: 4 samples');
    expect(data['text/html']).toMatch(/<div.*<svg/s);
  });

  it('displays with show, and what a cell displays through tslab', async () => {
    const cell = await client.execute(`import { display } from 'tslab'; display.html('<b>x</b>'); show({ depth: 1 }); 0`);
    const shown = cell.outputs.filter((o) => o.type === 'display_data').map((o) => o.content['data']);
    expect(shown).toEqual([{ 'text/html': '<b>x</b>' }, { 'text/plain': '{ depth: 1 }' }]);
  });

  it('shows an error of ours as its sentence and the line of the cell, without our internals', async () => {
    const cell = await client.execute(`const short = makeChannel({ name: 'torque', unit: 'N·m', sampleRate: 10, values: [1, 2] });\nslice(short, { from: 1, to: 99 });`);
    const fault = cell.outputs.find((o) => o.type === 'error')!.content as { ename: string; traceback: string[] };
    expect(fault.ename).toBe('InputError');
    expect(fault.traceback).toHaveLength(2);
    expect(fault.traceback[0]).toMatch(/^InputError: slice: .*got/);
    expect(fault.traceback[1]).toBe('  at line 2: slice(short, { from: 1, to: 99 });');
    expect(cell.reply).toMatchObject({ status: 'error', ename: 'InputError' });
  });

  it('stops a cell with a unit mistake before it runs, and names the verb that leads there', async () => {
    await client.execute(`const volts = makeChannel({ name: 'bridge', unit: 'V', sampleRate: 10, values: [0.1, 0.2, 0.3] });
const needsTorque = (torque: Channel<'N·m'>): number => torque.values.length;`);
    const cell = await client.execute(`console.log('ran');\nneedsTorque(volts);`);
    const fault = cell.outputs.find((o) => o.type === 'error')!.content as { ename: string; evalue: string; traceback: string[] };
    expect(fault.ename).toBe('CompileError');
    expect(fault.evalue).toBe('This needs a channel in N·m, but the one given is in V. Use toTorque with the gauge and the section to turn a bridge signal into torque.');
    expect(fault.traceback.slice(1)).toEqual(['  line 2: needsTorque(volts);', '                      ^^^^^']);
    expect(texts(cell, 'stream')).toBe('');
  });

  it('stops volts on their way into shearStress, and takes them once the named verbs have been used', async () => {
    const cell = await client.execute('const shaft90 = solidSection(mm(90));\nshearStress(volts, shaft90)');
    expect(cell.reply).toMatchObject({ status: 'error', ename: 'CompileError', evalue: 'This needs a channel in N·m, but the one given is in V. Use toTorque with the gauge and the section to turn a bridge signal into torque.' });
    const passed = await client.execute(`const shaft90 = solidSection(mm(90));
const gauge = { gaugeFactor: 2.08, activeArms: 4, youngsModulus: GPa(206), poissonsRatio: 0.3, gain: 1000, excitation: 5 } as const;
shearStress(toTorque(volts, { gauge, section: shaft90 }), shaft90).unit`);
    expect(texts(passed, 'execute_result')).toBe('Pa');
  });

  it('says what to do about a channel where options are wanted, and about nominal stress where local stress is', async () => {
    await client.execute(`const rotation = makeChannel({ name: 'n', unit: 'rpm', sampleRate: 10, values: [1, 2, 3] }); const moment = makeChannel({ name: 'T', unit: 'N·m', sampleRate: 10, values: [1, 2, 3] });`);
    const said = async (code: string): Promise<unknown> => (await client.execute(code)).reply['evalue'];
    expect(await said('shaftPower(moment, rotation)')).toBe('This takes options, not a channel of rpm. Give it by name: { speed: channel }.');
    expect(await said('lowpass(moment, moment)')).toBe('This takes options, not a channel of N·m. Write them in braces: { name: value }.');
    expect(await said(`shearStress(convert(moment, 'kN·m'), solidSection(mm(90)))`)).toBe("This needs a channel in N·m, but the one given is in kN·m. Convert it: convert(channel, 'N·m').");
    expect(await said(`damage(shearStress(countCycles(moment), solidSection(mm(90))), {} as any)`)).toMatch(/^This needs local stress, but the one given is nominal\. Use localStress /);
  });

  it.each([
    ["shearStress(countCycles(bad), solidSection(mm(90)))", 'This needs a count in N·m, but the one given is in mV/V. Use toTorque with the gauge and the section to turn a bridge signal into torque. Then count it again.'],
    ["bridgeStrain(convert(turning, 'kN·m'), { gaugeFactor: 2, activeArms: 4 })", 'This needs a channel in mV/V, V or another unit of a bridge, but the one given is in kN·m. Take the signal of the bridge.'],
    ["localStress(countCycles(turning), {} as NotchFactor)", 'This needs cycles of nominal stress, but the one given is a count in N·m. The way there: turn torque into stress with shearStress and the section.'],
    ["damage(turning, { curve: curveLibrary.en1993Shear(100), meanStress: 'none', residue: 'half' })", 'This needs cycles of local stress, but the one given is a channel in N·m. The way there: count it with countCycles, then turn torque into stress with shearStress and the section, then use localStress with the notch factor.'],
    ["damage(countCycles(stressed), { curve: curveLibrary.en1993Shear(100), meanStress: 'none', residue: 'half' })", 'This needs cycles of local stress, but the one given is a count in Pa. The way there: say which stress it is with stressCycles.'],
  ])('names the way out of %s', async (cell, sentence) => {
    await client.execute(`const [bad, turning, stressed] = [makeChannel({ name: 'b', unit: 'mV/V', sampleRate: 1, values: [1, 2, 1] }), makeChannel({ name: 'T', unit: 'N·m', sampleRate: 1, values: [1, 2, 1] }), makeChannel({ name: 's', unit: 'Pa', sampleRate: 1, values: [1, 2, 1] })] as const; 0`);
    const { reply } = await client.execute(cell);
    expect(reply['ename']).toBe('CompileError');
    expect(reply['evalue']).toBe(sentence);
    await new Promise((resolve) => setTimeout(resolve, 300));
  });

  it('shows whatever a cell throws, and none of our own calls', async () => {
    const shown = async (code: string): Promise<unknown> => (await client.execute(code)).outputs.find((o) => o.type === 'error')?.content['traceback'];
    expect(await shown('throw undefined')).toEqual(['Thrown: undefined']);
    expect(await shown('throw null')).toEqual(['Thrown: null']);
    expect(await shown('await Promise.reject({ code: 5 })')).toEqual(['Thrown: { code: 5 }']);
    expect(await shown(`const odd = new Error('odd'); Object.defineProperty(odd, 'stack', { value: 5 }); throw odd`)).toEqual(['Error: odd']);
  });

  it('refuses to let a cell end the process, and goes on', async () => {
    const cell = await client.execute('process.exit(3)');
    expect(cell.outputs.find((o) => o.type === 'error')!.content['traceback']).toEqual(['Error: process.exit would end the notebook with all it holds. Throw an error to stop the cell, or restart the kernel.', '  at line 1: process.exit(3)']);
    expect(texts(await client.execute('6 * 7'), 'execute_result')).toBe('42');
  });

  it.each([
    'JSON.stringify', 'JSON.parse', 'globalThis.JSON', '(globalThis as any).__quillshaft__', '(globalThis as any).__tslab__',
  ])('lets no cell take away %s, and goes on', async (place) => {
    // Cells are not strict: the engine leaves what is read-only as it is and says nothing.
    expect(texts(await client.execute(`${place} = null as never; typeof ${place} !== 'object' || ${place} !== null`), 'execute_result')).toBe('true');
    expect(texts(await client.execute('for (let i = 0; i < 3; i++) await i; JSON.stringify(6 * 7)'), 'execute_result')).toBe('42');
  });

  it('says of a promise at the end of a cell that it wants an await', async () => {
    expect(texts(await client.execute('Promise.resolve(4)'), 'execute_result')).toBe('Promise: put await before it to see what it gives');
  });

  it('aborts the cells that wait behind one that fails, and only those', async () => {
    const [bad, behind] = await Promise.all([client.execute(`throw new Error('no')`), client.execute('1')]);
    expect(bad.reply['status']).toBe('error');
    expect(behind.reply['status']).toBe('aborted');
    expect((await client.execute('2')).reply['status']).toBe('ok');
  });

  it('completes names of the library, of earlier cells, and after a dot', async () => {
    await client.execute('const shaftDiameter = 0.09;');
    const matches = async (code: string): Promise<unknown> => (await client.ask('complete_request', { code, cursor_pos: code.length })).reply;
    expect(await matches('makeRec')).toMatchObject({ status: 'ok', matches: ['makeRecording'], cursor_start: 0, cursor_end: 7 });
    expect(((await matches('shaftDia')) as { matches: string[] }).matches[0]).toBe('shaftDiameter');
    expect(((await matches('volts.sampl')) as { matches: string[] }).matches).toContain('sampleRate');
  });

  it('tells the signature and the documentation of a verb', async () => {
    const { reply } = await client.ask('inspect_request', { code: 'makeChannel', cursor_pos: 4, detail_level: 0 });
    const text = (reply['data'] as Record<string, string>)['text/plain']!;
    expect(text).toMatch(/function makeChannel<U extends Unit>/);
    expect(text).toContain('Makes a channel from numbers');
    expect(text).toMatch(/Throws: InputError/);
    expect((await client.ask('inspect_request', { code: '  ', cursor_pos: 1, detail_level: 0 })).reply).toMatchObject({ status: 'ok', found: false });
  });

  it('knows whether a cell is complete', async () => {
    expect((await client.ask('is_complete_request', { code: 'for (const x of [1]) {' })).reply).toMatchObject({ status: 'incomplete', indent: '  ' });
    expect((await client.ask('is_complete_request', { code: 'const x = 1;' })).reply).toMatchObject({ status: 'complete' });
  });

  it.each([
    ['an endless loop that awaits a timer', 'while (true) await new Promise((r) => setTimeout(r, 2));'],
    ['an endless loop that awaits what is ready at once', 'for (let i = 0; ; i++) { await i; }'],
    ['an endless loop without await', 'while (true) {}'],
    ['an endless loop without await, after one', 'await null; await new Promise((r) => setTimeout(r, 5)); while (true) {}'],
    ['a wait without end', 'await new Promise(() => {});'],
  ])('interrupts %s, and goes on', async (_, code) => {
    const mark = `started ${Math.random()}`;
    const running = client.execute(`console.log('${mark}'); ${code}`);
    await seen(mark);
    await new Promise((resolve) => setTimeout(resolve, 50));
    kernel.process.kill('SIGINT');
    expect((await running).reply).toMatchObject({ status: 'error', ename: 'Interrupted' });
    expect(texts(await client.execute('6 * 7'), 'execute_result')).toBe('42');
  });

  it('hears an interrupt that comes while a cell compiles', async () => {
    const types = Array.from({ length: 4000 }, (_, i) => `const v${i}: Channel<'N·m'> | number = ${i};`).join('\n');
    const code = `${types}\nwhile (true) {}`;
    const running = client.execute(code);
    while (!client.seen.some((message) => message.type === 'execute_input' && message.content['code'] === code)) await new Promise((resolve) => setTimeout(resolve, 2));
    kernel.process.kill('SIGINT');
    expect((await running).reply).toMatchObject({ status: 'error', ename: 'Interrupted' });
    expect(texts(await client.execute('6 * 7'), 'execute_result')).toBe('42');
  });

  it('ends an interrupted loop for good, so that it does not go on in the background', async () => {
    await client.execute('let turns = 0;');
    const running = client.execute(`while (true) { if (turns++ === 10) console.log('ten turns'); await new Promise((r) => setTimeout(r, 2)); }`);
    await seen('ten turns');
    expect((await client.ask('interrupt_request', {}, 'control')).reply).toEqual({ status: 'ok' });
    await running;
    await client.execute('await new Promise((r) => setTimeout(r, 200));');
    const [first, second] = [texts(await client.execute('turns'), 'execute_result'), texts(await client.execute('await new Promise((r) => setTimeout(r, 100)); turns'), 'execute_result')];
    expect(Number(first)).toBeGreaterThan(10);
    expect(second).toBe(first);
  });

  it('serves two clients, each with its own replies, on one set of names', async () => {
    const other = await connect(kernel.connection);
    try {
      const [mine, theirs] = await Promise.all([client.execute('const mine = 1; mine'), other.execute('const theirs = 2; theirs')]);
      expect([texts(mine, 'execute_result'), texts(theirs, 'execute_result')]).toEqual(['1', '2']);
      expect(texts(await other.execute('mine + 10'), 'execute_result')).toBe('11');
      expect(client.seen.some((message) => message.session === other.session && message.type === 'execute_input')).toBe(true);
    } finally {
      other.close();
    }
  });

  it('ignores a message whose signature is not that of its key', async () => {
    const stranger = new zmq.Dealer({ receiveTimeout: 500, linger: 0 });
    stranger.connect(`tcp://127.0.0.1:${kernel.connection.shell_port}`);
    const forged = { identities: [], header: newHeader('execute_request', 'stranger'), parent: {}, content: { code: 'console.log("forged")' } };
    await stranger.send(writeMessage(forged, 'another key'));
    await expect(stranger.receive()).rejects.toThrow();
    stranger.close();
    expect(client.seen.some((message) => message.session === 'stranger')).toBe(false);
    expect(texts(await client.execute('1 + 2'), 'execute_result')).toBe('3');
  });

  it('ends when it is told to, and a new one starts with nothing left of the old', async () => {
    const gone = new Promise((resolve) => kernel.process.once('exit', resolve));
    const { reply } = await client.ask('shutdown_request', { restart: true }, 'control');
    expect(reply).toEqual({ status: 'ok', restart: true });
    expect(await gone).toBe(0);
    client.close();
    await kernel.stop();
    kernel = await launch(makeSpec().argv, `${root}/notebooks`);
    client = await connect(kernel.connection);
    const cell = await client.execute('typeof globalThis; shaftDiameter');
    expect(cell.reply).toMatchObject({ status: 'error', ename: 'CompileError' });
  });
});
