// Files as the recorder at Tarn Weir leaves them: delimited text, gzip-packed, a row of names and a row of units.
import { writeFileSync } from 'node:fs';
import { gzipSync } from 'node:zlib';

/**
 * One text table.
 *
 * @param {{ name: string, unit: string, values: ArrayLike<number>, digits: number }[]} columns
 * @param {{ delimiter?: string, preamble?: string[], decimal?: string }} [form]
 */
export function table(columns, { delimiter = ',', preamble = [], decimal = '.' } = {}) {
  const lines = [...preamble, columns.map((c) => c.name).join(delimiter), columns.map((c) => c.unit).join(delimiter)];
  for (let i = 0; i < columns[0].values.length; i++) {
    const line = columns.map((c) => c.values[i].toFixed(c.digits)).join(delimiter);
    lines.push(decimal === '.' ? line : line.replaceAll('.', decimal));
  }
  return `${lines.join('\n')}\n`;
}

/** Writes gzip-packed text; the same text gives the same bytes. */
export function writePacked(file, text) {
  writeFileSync(file, gzipSync(text, { level: 9 }));
}

/** Writes indented JSON, innermost objects on one line. */
export function writeJson(file, value) {
  const text = JSON.stringify(value, null, 1).replace(/\{\n\s+([^{}[\]]*?)\n\s+\}/g, (_, body) => `{ ${body.replace(/\n\s+/g, ' ')} }`);
  writeFileSync(file, `${text}\n`);
}

/** The time column: (first + i) / sampleRate. */
export function timeColumn(samples, sampleRate, first = 0) {
  return { name: 'time', unit: 's', digits: 3, values: Float64Array.from({ length: samples }, (_, i) => (first + i) / sampleRate) };
}
