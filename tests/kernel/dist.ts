import { existsSync, readdirSync, statSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';

/** The top folder of the project. */
export const root: string = fileURLToPath(new URL('../..', import.meta.url)).replace(/\/$/, '');

/** The kernel runs from dist/, so a test that starts one needs dist/ to be what src/ says. */
export function needDist(): void {
  const built = join(root, 'dist', 'index.d.ts');
  if (!existsSync(built) || !existsSync(join(root, 'dist', 'kernel', 'main.js'))) throw new Error('dist/ is missing, and these tests start the built kernel: run npm run build first');
  const newest = readdirSync(join(root, 'src'), { recursive: true, encoding: 'utf8' })
    .filter((file) => file.endsWith('.ts')).map((file) => ({ file, time: statSync(join(root, 'src', file)).mtimeMs })).sort((a, b) => b.time - a.time)[0]!;
  const target = join(root, 'dist', newest.file.replace(/\.ts$/, '.js'));
  if (!existsSync(target) || statSync(target).mtimeMs < newest.time) throw new Error(`dist/ is older than src/${newest.file}, and these tests start the built kernel: run npm run build first`);
}
