// Runs every benchmark beside this file, one after another, each in a process of its own, and prints their ratios.
import { spawnSync } from 'node:child_process';
import { existsSync, readdirSync } from 'node:fs';
import { fileURLToPath } from 'node:url';

const here = fileURLToPath(new URL('.', import.meta.url));
if (!existsSync(new URL('../../dist/index.js', import.meta.url))) {
  console.error('dist/ is missing: run npm run build first.');
  process.exit(1);
}
const wanted = process.argv.slice(2);
let failed = 0;
for (const file of readdirSync(here).filter((f) => f.endsWith('.mjs') && f !== 'run.mjs').sort()) {
  if (wanted.length > 0 && !wanted.some((w) => file.startsWith(w))) continue;
  console.log(`\n== ${file.replace('.mjs', '')}`);
  if (spawnSync(process.execPath, [`${here}${file}`], { stdio: 'inherit' }).status !== 0) failed++;
}
process.exitCode = failed > 0 ? 1 : 0;
