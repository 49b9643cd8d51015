import { readFileSync } from 'node:fs';
import { resolve } from 'node:path';
import { parseArgs } from 'node:util';
import type { CommandIo } from '../report/io.js';
import type { Connection } from './message.js';
import { dataDirs, findSpecs, installSpec, kernelName, prefixDataDir, removeSpec, userDataDir } from './spec.js';

const usage = `Usage: quillshaft kernel install [--user | --prefix DIR]   put the kernel where Jupyter finds it
       quillshaft kernel list                              show where it is installed
       quillshaft kernel remove [--user | --prefix DIR]    take it out again
       quillshaft kernel start --config FILE               run it for a connection file (Jupyter does this)`;

/**
 * Runs `quillshaft kernel …`.
 *
 * @param args the words after `kernel`
 * @returns the exit code: 0, 1 for something that went wrong, 2 for usage
 */
export async function runKernelCommand(args: readonly string[], io: CommandIo): Promise<number> {
  let parsed;
  try {
    parsed = parseArgs({ args: [...args], allowPositionals: true, options: { user: { type: 'boolean' }, prefix: { type: 'string' }, config: { type: 'string' }, help: { type: 'boolean', short: 'h' } } });
  } catch (error) {
    return misuse(io, (error as Error).message);
  }
  const { values, positionals: [verb, ...rest] } = parsed;
  if (values.help) {
    io.out(usage);
    return 0;
  }
  if (rest.length > 0) return misuse(io, `'${rest[0]}' is one word too many.`);
  if (values.user && values.prefix !== undefined) return misuse(io, 'Give either --user or --prefix.');
  const dir = values.prefix === undefined ? userDataDir() : prefixDataDir(resolve(values.prefix));
  try {
    switch (verb) {
      case 'install': return install(dir, io);
      case 'list': return list(dir, io);
      case 'remove': return remove(dir, io);
      case 'start':
        if (values.config === undefined) return misuse(io, 'start needs --config FILE.');
        await (await import('./startKernel.js')).startKernel(JSON.parse(readFileSync(values.config, 'utf8')) as Connection);
        return 0;
      default: return misuse(io, verb === undefined ? 'Say what to do.' : `There is no '${verb}'.`);
    }
  } catch (error) {
    io.err(`quillshaft kernel ${verb}: ${(error as Error).message}`);
    return 1;
  }
}

function install(dir: string, io: CommandIo): number {
  const place = installSpec(dir);
  io.out(`Installed the kernel Quillshaft (TypeScript) in ${place}`);
  if (!dataDirs().includes(dir)) io.out(`Jupyter looks there only where it is told to: set JUPYTER_PATH=${dir}`);
  return 0;
}

function list(dir: string, io: CommandIo): number {
  const found = findSpecs([...new Set([...dataDirs(), dir])]);
  for (const { dir: place, argv, works } of found) io.out(`${kernelName}  ${place}  ${works ? argv[0] : `broken: ${argv.join(' ')} is not all there; install it again`}`);
  if (found.length === 0) io.out('The kernel is not installed. To put it where Jupyter finds it: quillshaft kernel install');
  return 0;
}

function remove(dir: string, io: CommandIo): number {
  const place = removeSpec(dir);
  if (place === null) {
    io.err(`There is no kernel ${kernelName} in ${dir}. Where it is: quillshaft kernel list`);
    return 1;
  }
  io.out(`Removed ${place}`);
  return 0;
}

function misuse(io: CommandIo, what: string): number {
  io.err(`${what}\n${usage}`);
  return 2;
}
