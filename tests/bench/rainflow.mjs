// Rainflow with a from–to histogram: this library on one and on two threads against a C program of the same rule, in one run.
// node tests/bench/rainflow.mjs   (needs dist/ and, for the comparison, gcc)
import { execFileSync } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { loadavg, tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { countOnThreads, CycleCounter, createRandom } from '../../dist/index.js';

const n = 1_000_000;
const rounds = 20;
const copies = 32;
const keep = { edges: { from: -10, to: 10, classes: 64 } };

/** Two sines and noise: a turning point at two samples in three. */
function noisySignal() {
  const random = createRandom(5);
  return Float64Array.from({ length: n }, (_, i) => 4 * Math.sin(i * 0.01) + 1.5 * Math.sin(i * 0.3) + 0.5 * random.normal());
}

/** Million samples per second of processor time, best of the rounds. */
function onOne(x) {
  let best = 0;
  let count;
  for (let k = 0; k < rounds; k++) {
    const began = process.cpuUsage();
    count = new CycleCounter({ unit: '1', sampleRate: 1, keep }).push(x).finish();
    const { user, system } = process.cpuUsage(began);
    best = Math.max(best, n / (user + system));
  }
  return { best, count };
}

/** Million samples per second by the clock, best of four, on a signal long enough that starting a thread does not count; the C program counts the same by the clock, on its one thread. */
async function onTwo(long) {
  let best = 0;
  for (let k = 0; k < 4; k++) {
    const began = performance.now();
    await countOnThreads(long, { threads: 2, keep });
    best = Math.max(best, long.length / (performance.now() - began) / 1000);
  }
  return best;
}

/** Compiles the C program; gives a function that runs it, or says why it could not be. */
function makeC(folder, x) {
  const program = join(folder, 'rainflow');
  try {
    execFileSync('gcc', ['-O3', '-march=native', '-o', program, fileURLToPath(new URL('rainflow.c', import.meta.url))]);
  } catch (error) {
    return { missing: error.code === 'ENOENT' ? 'gcc is not here' : String(error.message) };
  }
  writeFileSync(join(folder, 'signal'), Buffer.from(x.buffer));
  return { run: () => JSON.parse(execFileSync(program, [join(folder, 'signal'), '-10', '10', String(rounds), String(copies)], { encoding: 'utf8' })) };
}

/** Lines of a report. Turn and turn about, so that what else the machine does meets all alike. */
async function bench(folder) {
  const x = noisySignal();
  const long = new Float64Array(copies * n);
  for (let k = 0; k < copies; k++) long.set(x, k * n);
  const { run, missing } = makeC(folder, x);
  let one = 0, two = 0, c = 0, cByClock = 0;
  for (let turn = 0; turn < 4; turn++) {
    const { best, count } = onOne(x);
    one = Math.max(one, best);
    two = Math.max(two, await onTwo(long));
    if (!run) continue;
    const theirs = run();
    c = Math.max(c, theirs.rate);
    cByClock = Math.max(cByClock, theirs.byClock);
    if (theirs.closed !== count.closedCycles || theirs.residue !== count.residue.values.length || theirs.outside !== count.closed.at.length) throw new Error(`the two counts differ: ${JSON.stringify(theirs)} and ${count.closedCycles}, ${count.residue.values.length}, ${count.closed.at.length}`);
  }
  const line = (name, rate, c, target) => `rainflow, histogram, ${name}   ${rate.toFixed(1)} Ms/s   ${missing ? `no comparison with C: ${missing}` : `C ${c.toFixed(1)} Ms/s   ratio ${(rate / c).toFixed(2)} (target ${target})`}`;
  return [line('one thread, processor time', one, c, 0.9), line('two threads, by the clock ', two, cByClock, 1.5), `load of the machine ${loadavg()[0].toFixed(1)}; two threads need two cores that are idle`];
}

const folder = mkdtempSync(join(tmpdir(), 'rainflow-'));
try {
  for (const line of await bench(folder)) console.log(line);
} finally {
  rmSync(folder, { recursive: true, force: true });
}
