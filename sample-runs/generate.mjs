// Writes every sample run and its truth, the same bytes each time: npm run samples
import { fileURLToPath } from 'node:url';
import { table, timeColumn, writeJson, writePacked } from './files.mjs';
import { makeRunA } from './run-a.mjs';
import { makeRunB } from './run-b.mjs';
import { makeRunC } from './run-c.mjs';
import { makeRunD } from './run-d.mjs';
import { makeRunE } from './run-e.mjs';

const here = (name) => fileURLToPath(new URL(name, import.meta.url));

/** The bridge column and its companions, each with the digits that its recorder gives. */
const column = {
  frame: { unit: 'count', digits: 0 }, speed: { unit: 'rpm', digits: 1 }, temperature: { unit: '°C', digits: 2 }, power: { unit: 'kW', digits: 1 },
};

/** A recorder's table: time, then its channels. */
function writeRecorder(name, { sampleRate, channels }, unit) {
  const known = { ...column, bridge: { unit, digits: 4 } };
  const columns = Object.entries(channels).map(([channel, values]) => ({ name: channel, values, ...known[channel] }));
  writePacked(here(`${name}.csv.gz`), table([timeColumn(columns[0].values.length, sampleRate), ...columns]));
}

/** What a run's recorder wrote, its true torque (one column, N·m, at the run's sample rate) and its truth. */
function writeRun(name, run, unit, digits) {
  writeRecorder(name, run, unit);
  writePacked(here(`${name}.truth.csv.gz`), table([{ name: 'torque', unit: 'N·m', digits, values: run.trueTorque }]));
  writeJson(here(`${name}.truth.json`), run.truth);
}

writeRun('run-a', makeRunA(), 'mV/V', 1);
writeRun('run-b', makeRunB(), 'V', 0);
const c = makeRunC();
writeRun('run-c', c, 'mV/V', 0);
writeRecorder('run-c.second', c.second, 'mV/V');

const d = makeRunD();
d.files.forEach((values, k) => {
  const time = timeColumn(values.length, d.sampleRate, k * values.length);
  writePacked(here(`run-d.${String(k + 1).padStart(2, '0')}.csv.gz`), table([time, { name: 'torque', unit: 'N·m', digits: 0, values }]));
});
writeJson(here('run-d.truth.json'), d.truth);

const e = makeRunE();
writeRecorder('run-e', e, 'mV/V');
writePacked(here('run-e.pulses.csv.gz'), table([{ name: 'pulse', unit: 's', digits: 6, values: e.pulses }]));
writePacked(here('run-e.truth.csv.gz'), table([
  { name: 'torque', unit: 'N·m', digits: 1, values: e.trueTorque }, { name: 'speed', unit: 'rpm', digits: 2, values: e.trueSpeed.map((w) => (w * 30) / Math.PI) },
]));
writeJson(here('run-e.truth.json'), e.truth);
