// Writes every sample run and its truth, the same bytes each time: npm run samples
import { fileURLToPath } from 'node:url';
import { table, timeColumn, writeJson, writePacked } from './files.mjs';
import { makeRunA } from './run-a.mjs';
import { makeRunB } from './run-b.mjs';

const here = (name) => fileURLToPath(new URL(name, import.meta.url));

/** Bridge, speed and time of a run, its true torque and its truth. */
function writeRun(name, run, unit, form) {
  const time = timeColumn(run.trueTorque.length, run.sampleRate);
  const bridge = { name: 'bridge', unit, digits: 4, values: run.channels.bridge };
  const speed = { name: 'speed', unit: 'rpm', digits: 1, values: run.channels.speed };
  writePacked(here(`${name}.csv.gz`), table([time, bridge, speed], form));
  writePacked(here(`${name}.truth.csv.gz`), table([{ name: 'torque', unit: 'N·m', digits: 1, values: run.trueTorque }]));
  writeJson(here(`${name}.truth.json`), run.truth);
}

writeRun('run-a', makeRunA(), 'mV/V');
writeRun('run-b', makeRunB(), 'V');
