// Filters and averaged spectra against SciPy on the same machine, in one run. Best of several; ratios are what matters.
import { spawnSync } from 'node:child_process';
import { existsSync } from 'node:fs';
import { designLowpass, lowpass, makeChannel, powerDensity, upsamplePeaks } from '../../dist/index.js';
import { runSections, settledState } from '../../dist/numeric/sections.js';

const n = 1_000_000;
const python = `
import json, time
import numpy as np, scipy
from scipy import signal
n = ${n}
x = np.sin(np.arange(n) * 0.01) + np.random.default_rng(1).standard_normal(n)
sos = signal.butter(4, 50, fs=1000, output='sos')
def best(f, k=9):
    least = 1e9
    for _ in range(k):
        t = time.process_time(); f(); least = min(least, time.process_time() - t)
    return n / least / 1e6
r = {'sections': best(lambda: signal.sosfilt(sos, x)), 'zero phase': best(lambda: signal.sosfiltfilt(sos, x))}
for m in (1000, 1024, 4096, 65536): r['welch %d' % m] = best(lambda: signal.welch(x, 1000, nperseg=m))
print(json.dumps({'version': scipy.__version__, 'rates': r}))
`;

/** Million samples per second of processor time (so that what else the machine does counts less), best of several runs. */
function rate(work, runs = 9) {
  let least = Infinity;
  for (let i = 0; i < runs; i++) {
    const t = process.cpuUsage();
    work();
    const { user, system } = process.cpuUsage(t);
    least = Math.min(least, (user + system) / 1e3);
  }
  return n / least / 1e3;
}

const values = Float64Array.from({ length: n }, (_, i) => Math.sin(i * 0.01) + 3 * (Math.random() - 0.5));
const channel = makeChannel({ name: 'torque', unit: 'N·m', sampleRate: 1000, values });
const { sections } = designLowpass({ cutoff: 50, sampleRate: 1000 });
const output = new Float64Array(n);
const works = {
  sections: () => runSections(sections, settledState(sections, 0), { input: values, from: 0, output, to: 0, count: n, step: 1 }),
  'zero phase': () => lowpass(channel, { cutoff: 50 }),
  ...Object.fromEntries([1000, 1024, 4096, 65536].map((m) => [`welch ${m}`, () => powerDensity(channel, { segment: m })])),
  'peaks × 4': () => upsamplePeaks(channel, { factor: 4 }),
};

// Turn and turn about, so that what else the machine does meets both sides alike.
const ours = {}, theirs = {};
let version = null;
for (let round = 0; round < 3; round++) {
  for (const [what, work] of Object.entries(works)) ours[what] = Math.max(ours[what] ?? 0, rate(work, what.startsWith('peaks') ? 1 : 9));
  if (!existsSync('/usr/bin/python3')) continue;
  const run = spawnSync('/usr/bin/python3', ['-c', python], { encoding: 'utf8' });
  if (run.status !== 0) continue;
  const answer = JSON.parse(run.stdout);
  version = answer.version;
  for (const [what, ms] of Object.entries(answer.rates)) theirs[what] = Math.max(theirs[what] ?? 0, ms);
}
console.log(`filters and spectra, ${n / 1e6} million samples, Ms/s of processor time (best of several)`);
console.log(version ? `SciPy ${version} in the same run` : 'SciPy is not here (Debian: python3-scipy): no ratios');
for (const [what, ms] of Object.entries(ours)) {
  console.log(`  ${what.padEnd(12)} ${ms.toFixed(1).padStart(7)}${theirs[what] ? `   SciPy ${theirs[what].toFixed(1).padStart(6)}   ratio ${(ms / theirs[what]).toFixed(2)}` : ''}`);
}
