import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { joined, readNotebook } from '../../src/kernel/notebook.js';
import { needDist, root } from './dist.js';
import { connect, launch, texts, type RunningKernel, type WireClient } from './wireClient.js';

let kernel: RunningKernel;
let client: WireClient;

beforeAll(async () => {
  needDist();
  kernel = await launch([process.execPath, '--disable-warning=ExperimentalWarning', `${root}/node_modules/tslab/bin/tslab`, 'kernel', '--config-path', '{connection_file}'], `${root}/notebooks`);
  client = await connect(kernel.connection);
});
afterAll(async () => {
  client?.close();
  await kernel?.stop();
});

describe('the kernel of stock tslab', () => {
  it('imports the library with full types, and runs it', async () => {
    const cell = await client.execute(`import { makeChannel, readRecording, Channel } from 'quillshaft';
const torque: Channel<'N·m'> = makeChannel({ name: 'torque', unit: 'N·m', sampleRate: 100, values: [1, 2, 3] });
type Answer = Awaited<ReturnType<typeof readRecording>>;
const rates = (run: Answer): readonly number[] => run.channels.map((channel) => channel.sampleRate);
console.log(torque.values.length, typeof readRecording);`);
    expect(texts(cell, 'stream')).toBe('3 function\n');
    expect(cell.reply['status']).toBe('ok');
  });

  it('refuses what the types refuse', async () => {
    const cell = await client.execute(`const rate: string = torque.sampleRate;`);
    expect(texts(cell, 'stream')).toContain(`Type 'number' is not assignable to type 'string'`);
    // Stock tslab aborts what it is asked within 200 ms of a failing cell.
    await new Promise((resolve) => setTimeout(resolve, 300));
    const wrong = await client.execute(`const volts: Channel<'V'> = torque;`);
    expect(texts(wrong, 'stream')).toContain(`Type 'Channel<"N·m">' is not assignable to type 'Channel<"V">'`);
  });

  it('shows a rich view with show', async () => {
    await new Promise((resolve) => setTimeout(resolve, 300));
    const cell = await client.execute(`import { show } from 'quillshaft'; show(torque)`);
    const data = cell.outputs.find((output) => output.type === 'display_data')!.content['data'] as Record<string, string>;
    expect(data['text/plain']).toContain('Channel torque [N·m]');
    expect(data['text/html']).toContain('<svg');
  });

  it('runs the first notebook, with its figures', async () => {
    const code = readNotebook(`${root}/notebooks/01-look-at-a-recording.ipynb`).cells.filter((cell) => cell.cell_type === 'code').map((cell) => joined(cell.source));
    const fresh = await launch([process.execPath, '--disable-warning=ExperimentalWarning', `${root}/node_modules/tslab/bin/tslab`, 'kernel', '--config-path', '{connection_file}'], `${root}/notebooks`);
    const reader = await connect(fresh.connection);
    try {
      let figures = 0;
      for (const source of code) {
        const cell = await reader.execute(source);
        expect(cell.reply['status'], `${source}\n${texts(cell, 'stream')}`).toBe('ok');
        figures += cell.outputs.filter((output) => JSON.stringify(output.content['data'] ?? '').includes('<svg')).length;
      }
      expect(figures).toBeGreaterThan(2);
    } finally {
      reader.close();
      await fresh.stop();
    }
  });
});
