import { readdirSync, readFileSync } from 'node:fs';
import { expect, it } from 'vitest';

const heavy = /^import (?!type )[^;]*from '(vega|vega-lite|arquero|pdfkit|fontkit|@resvg\/resvg-js|simple-statistics|danfojs|dejavu-fonts-ttf)';/gm;

it('figures and tables load their large packages when they are first used, not with the library', () => {
  for (const folder of ['plot', 'tables']) {
    const path = new URL(`../../src/${folder}/`, import.meta.url);
    const files = readdirSync(path).filter((f) => f.endsWith('.ts'));
    expect(files.length).toBeGreaterThan(4);
    for (const file of files) expect(readFileSync(new URL(file, path), 'utf8').match(heavy), file).toBeNull();
  }
});
