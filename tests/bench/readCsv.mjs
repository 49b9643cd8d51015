/**
 * Reads 2 million rows × 3 columns of CSV with the built library and with pandas (Debian's /usr/bin/python3, where it
 * is present), in turns in one run, and prints both times and their ratio. Run `npm run build` first.
 */
import { spawnSync } from 'node:child_process';
import { createWriteStream, mkdtempSync, rmSync, statSync } from 'node:fs';
import { once } from 'node:events';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

const rows = Number(process.argv[2] ?? 2_000_000);
const turns = 5;
const folder = mkdtempSync(join(tmpdir(), 'read-csv-'));
const file = join(folder, 'run.csv');

async function generate() {
  const out = createWriteStream(file);
  out.write('time (s),torque (N·m),speed (rpm)\n');
  let state = 12345;
  for (let i = 0; i < rows;) {
    const lines = [];
    for (const end = Math.min(rows, i + 50_000); i < end; i++) {
      state = (Math.imul(state, 1103515245) + 12345) & 0x7fffffff;
      lines.push(`${(i / 2000).toFixed(4)},${(1000 + state / 1e6).toFixed(5)},${(1480 + (state % 977) / 100).toFixed(2)}\n`);
    }
    if (!out.write(lines.join(''))) await once(out, 'drain');
  }
  out.end();
  await once(out, 'finish');
}

const pandas = `import sys, time
try:
    import pandas
except ImportError:
    sys.exit(3)
t = time.perf_counter()
d = pandas.read_csv(sys.argv[1])
assert len(d) == int(sys.argv[2])
print(time.perf_counter() - t)`;

try {
  const { readRecording } = await import('../../dist/index.js');
  await generate();
  const ours = [];
  const theirs = [];
  for (let turn = 0; turn < turns; turn++) {
    const from = performance.now();
    const run = await readRecording(file);
    ours.push((performance.now() - from) / 1000);
    if (run.channels[0].values.length !== rows || run.channels[0].sampleRate !== 2000) throw new Error('read wrongly');
    const python = spawnSync('/usr/bin/python3', ['-c', pandas, file, String(rows)], { encoding: 'utf8' });
    if (python.status === 0) theirs.push(Number(python.stdout));
  }
  const best = (list) => Math.min(...list);
  console.log(`CSV, ${rows} rows × 3 columns, ${(statSync(file).size / 1e6).toFixed(0)} MB, best of ${turns}: readRecording ${best(ours).toFixed(2)} s (clock checked, SHA-256 taken)`);
  if (theirs.length > 0) console.log(`pandas.read_csv ${best(theirs).toFixed(2)} s; ratio ${(best(ours) / best(theirs)).toFixed(2)} × the time of pandas (bound 1.5)`);
  else console.log('pandas is not present: no ratio');
} finally {
  rmSync(folder, { recursive: true });
}
