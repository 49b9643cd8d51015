import { existsSync, readdirSync, readFileSync, renameSync, rmSync, writeFileSync } from 'node:fs';
import { homedir } from 'node:os';
import { delimiter, join } from 'node:path';
import { makeFolder } from '../report/makeFolder.js';
import { logoPng, logoSvg } from './logo.js';
import { packageDir } from './scope.js';

/** The name under which Jupyter knows the kernel. */
export const kernelName = 'quillshaft';

/** What Jupyter reads from a kernel's `kernel.json`. */
export interface KernelSpec {
  readonly argv: readonly string[];
  readonly display_name: string;
  readonly language: string;
  readonly interrupt_mode: 'signal' | 'message';
  readonly metadata: Readonly<Record<string, unknown>>;
}

/** A kernel of ours that is installed: its folder, and what it starts. */
export interface InstalledKernel {
  readonly dir: string;
  readonly argv: readonly string[];
  /** False where the Node or the package that it starts is no longer there. */
  readonly works: boolean;
}

/** The kernelspec: it starts the Node that installs it, by absolute path, with this package. */
export function makeSpec(): KernelSpec {
  return {
    argv: [process.execPath, '--disable-warning=ExperimentalWarning', join(packageDir, 'dist', 'kernel', 'main.js'), '{connection_file}'],
    display_name: 'Quillshaft (TypeScript)',
    language: 'typescript',
    interrupt_mode: process.platform === 'win32' ? 'message' : 'signal',
    metadata: { debugger: false },
  };
}

/** Jupyter's folder for one user's data. */
export function userDataDir(env: NodeJS.ProcessEnv = process.env, platform: string = process.platform): string {
  if (env['JUPYTER_DATA_DIR']) return env['JUPYTER_DATA_DIR'];
  const home = env['HOME'] ?? env['USERPROFILE'] ?? homedir();
  if (platform === 'darwin') return join(home, 'Library', 'Jupyter');
  if (platform === 'win32') return join(env['APPDATA'] ?? join(home, 'AppData', 'Roaming'), 'jupyter');
  return join(env['XDG_DATA_HOME'] || join(home, '.local', 'share'), 'jupyter');
}

/** Jupyter's folder below a prefix such as `/usr/local` or that of a Python environment. */
export function prefixDataDir(prefix: string): string {
  return join(prefix, 'share', 'jupyter');
}

/** Writes the kernelspec into a data folder, in the place of one that is there. Returns its folder. */
export function installSpec(dataDir: string): string {
  const dir = join(dataDir, 'kernels', kernelName);
  const fresh = `${dir}.new-${process.pid}`;
  makeFolder(fresh);
  writeFileSync(join(fresh, 'kernel.json'), `${JSON.stringify(makeSpec(), null, 1)}\n`);
  writeFileSync(join(fresh, 'logo-svg.svg'), logoSvg);
  for (const size of [32, 64]) writeFileSync(join(fresh, `logo-${size}x${size}.png`), logoPng(size));
  rmSync(dir, { recursive: true, force: true });
  renameSync(fresh, dir);
  return dir;
}

/** The data folders where Jupyter looks, the user's first. */
export function dataDirs(env: NodeJS.ProcessEnv = process.env): string[] {
  const extra = (env['JUPYTER_PATH'] ?? '').split(delimiter).filter((dir) => dir !== '');
  const virtual = [env['VIRTUAL_ENV'], env['CONDA_PREFIX']].filter((dir): dir is string => Boolean(dir)).map(prefixDataDir);
  const system = process.platform === 'win32' ? [join(env['PROGRAMDATA'] ?? 'C:\\ProgramData', 'jupyter')] : ['/usr/local/share/jupyter', '/usr/share/jupyter'];
  return [...new Set([...extra, userDataDir(env), ...virtual, ...system])];
}

/** Kernels of ours in some data folders. */
export function findSpecs(dirs: readonly string[]): InstalledKernel[] {
  return dirs.map((dir) => join(dir, 'kernels', kernelName)).filter((dir) => existsSync(join(dir, 'kernel.json'))).map((dir) => {
    const { argv } = JSON.parse(readFileSync(join(dir, 'kernel.json'), 'utf8')) as KernelSpec;
    return { dir, argv, works: argv.filter((word) => word !== '{connection_file}' && !word.startsWith('--')).every((path) => existsSync(path)) };
  });
}

/** Takes the kernelspec out of a data folder. Returns its folder, or null where there was none. */
export function removeSpec(dataDir: string): string | null {
  const dir = join(dataDir, 'kernels', kernelName);
  if (!existsSync(dir) || !readdirSync(dir).includes('kernel.json')) return null;
  rmSync(dir, { recursive: true });
  return dir;
}
