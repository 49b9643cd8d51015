// Rainflow with a from–to histogram: this library on one and on two threads against a C program of the same rule, in one run.
// node tests/bench/rainflow.mjs   (needs dist/ and, for the comparison, gcc)
import { execFileSync } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { countOnThreads, CycleCounter, createRandom } from '../../dist/index.js';

const n = 1_000_000;
const rounds = 60;

/** Two sines and noise: a turning point at two samples in three. */
function noisySignal() {
  const random = createRandom(5);
  return Float64Array.from({ length: n }, (_, i) => 4 * Math.sin(i * 0.01) + 1.5 * Math.sin(i * 0.3) + 0.5 * random.normal());
}

function countOnce(x) {
  const began = performance.now();
  const count = new CycleCounter({ unit: '1', sampleRate: 1, keep: { edges: { from: -10, to: 10, classes: 64 } } }).push(x).finish();
  return { seconds: (performance.now() - began) / 1000, count };
}

/** The C program's own report, or why it could not run. */
function runC(x) {
  const folder = mkdtempSync(join(tmpdir(), 'rainflow-'));
  try {
    const program = join(folder, 'rainflow');
    execFileSync('gcc', ['-O3', '-march=native', '-o', program, fileURLToPath(new URL('rainflow.c', import.meta.url))]);
    writeFileSync(join(folder, 'signal'), Buffer.from(x.buffer));
    return JSON.parse(execFileSync(program, [join(folder, 'signal'), '-10', '10', String(rounds)], { encoding: 'utf8' }));
  } catch (error) {
    return { missing: error.code === 'ENOENT' ? 'gcc is not here' : String(error.message) };
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

/** Two threads over shared memory, on a signal long enough that starting a thread does not count. */
async function countOnTwo(x) {
  const copies = 32;
  const long = new Float64Array(new SharedArrayBuffer(8 * copies * n));
  for (let k = 0; k < copies; k++) long.set(x, k * n);
  let best = Infinity;
  for (let k = 0; k < 4; k++) {
    const began = performance.now();
    await countOnThreads(long, { threads: 2, keep: { edges: { from: -10, to: 10, classes: 64 } } });
    best = Math.min(best, (performance.now() - began) / 1000);
  }
  return (copies * n) / best / 1e6;
}

/** Lines of a report. */
export async function bench() {
  const x = noisySignal();
  let best = Infinity;
  let count;
  for (let k = 0; k < rounds; k++) {
    const run = countOnce(x);
    best = Math.min(best, run.seconds);
    count = run.count;
  }
  const ours = n / best / 1e6;
  const two = await countOnTwo(x);
  const c = runC(x);
  const line = (name, rate, target) => `rainflow, histogram, ${name}   ${rate.toFixed(1)} Ms/s   ${c.missing ? `no comparison with C: ${c.missing}` : `C ${c.rate.toFixed(1)} Ms/s   ratio ${(rate / c.rate).toFixed(2)} (target ${target})`}`;
  if (!c.missing && (c.closed !== count.closedCycles || c.residue !== count.residue.values.length || c.outside !== count.closed.at.length)) throw new Error(`the two counts differ: ${JSON.stringify(c)} and ${count.closedCycles}, ${count.residue.values.length}, ${count.closed.at.length}`);
  return [line('one thread ', ours, 0.9), line('two threads', two, 1.5)];
}

if (process.argv[1] === fileURLToPath(import.meta.url)) for (const line of await bench()) console.log(line);
