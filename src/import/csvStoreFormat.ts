import { makeDescription } from './describeFile.js';
import { startsWith, type Format } from './formats.js';
import { checkStoredOptions, pickStored, restoreRecording, type Stored } from './stored.js';
import { readCsvDescription, readStoredCsv, storeMark } from './csvStore.js';
import type { OpenFile } from './formats.js';
import type { FileDescription } from './describeFile.js';

/** CSV as writeRecording writes it. */
export const csvStoreFormat: Format = {
  name: 'CSV of writeRecording',
  unpacks: true,
  matches: (open) => startsWith(open.head, storeMark),
  read: async (open, options, where) => {
    checkStoredOptions(where, options);
    const stored = await readCsvDescription(open.path, open.file, open.gzip);
    const picks = pickStored(where, stored, options);
    const { columns, sha256 } = await readStoredCsv(open, stored, picks);
    return [restoreRecording(open, stored, picks, columns, options, where, { format: 'CSV of writeRecording', sha256 })];
  },
  describe: async (open, options, where) => {
    checkStoredOptions(where, options);
    return describeStored(open, 'CSV of writeRecording', await readCsvDescription(open.path, open.file, open.gzip));
  },
};

/** The description of a file that states everything itself. */
export function describeStored(open: OpenFile, format: string, stored: Stored): FileDescription {
  const [first] = stored.channels;
  const one = stored.channels.every((c) => c.sampleRate === first!.sampleRate && c.start === first!.start && c.samples === first!.samples);
  return makeDescription({
    file: open.file, format, size: open.size, layout: null, rows: Math.max(...stored.channels.map((c) => c.samples)),
    columns: stored.channels.map((c) => ({ name: c.name, unit: c.unit, unitInFile: c.unit, type: 'number', use: 'channel', sampleRate: c.sampleRate, samples: c.samples })),
    clock: one ? `${first!.sampleRate} Hz, as stored` : 'a clock for each channel, as stored', sampleRate: one ? first!.sampleRate : null, samples: one ? first!.samples : null,
    start: one ? first!.start : null, blocks: 1, refusals: [], notes: [`written by ${stored.by} as ${stored.name}`],
  });
}
