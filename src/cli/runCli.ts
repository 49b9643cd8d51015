import { basename, join } from 'node:path';
import { parseArgs } from 'node:util';
import { FormatError, InputError } from '../record/errors.js';
import { lineOf } from '../record/result.js';
import { version } from '../record/version.js';
import { describeFile } from '../import/readRecording.js';
import { assess } from '../report/assess.js';
import { dutyText } from '../report/duty.js';
import type { CommandIo } from '../report/io.js';
import { jobSchema } from '../report/jobSchema.js';
import { spanText } from '../report/numbers.js';
import { readJob } from '../report/readJob.js';
import { checkPlace } from '../report/makeFolder.js';
import { writeReport } from '../report/writeReport.js';

const help = `quillshaft ${version}: measured shaft torque to cycles, damage, life, figures and reports

  quillshaft assess JOB... [--out DIR]   assess each job file and write DIR/<name of the job>/report.html (DIR: reports)
  quillshaft inspect FILE                say what would be read from a recording, and why
  quillshaft schema                      print the JSON Schema of a job file
  quillshaft kernel ...                  install, list, remove or start the Jupyter kernel
  quillshaft notebooks run FILES...      execute notebooks in Node and write their outputs
  quillshaft --version, --help

  --trace                                with any command: where a fault of Quillshaft's own lies

Exit codes: 0 done, 1 something in the input, 2 the command itself, 70 a fault of Quillshaft's own.`;

/** With any command: print the stack of a fault of ours. */
const traceOption = '--trace';

/** A command that was not written as the help says. */
class UsageError extends Error {}

/**
 * Runs the command line. @returns the exit code: 0 done, 1 bad input, 2 bad usage, 70 a fault of ours
 */
export async function runCli(args: readonly string[], io: CommandIo): Promise<number> {
  try {
    return await dispatch(args.filter((word) => word !== traceOption), io);
  } catch (error) {
    io.progress('');
    if (error instanceof UsageError) {
      io.err(`quillshaft: ${error.message}\nquillshaft --help lists the commands.`);
      return 2;
    }
    if (error instanceof InputError || error instanceof FormatError) {
      io.err(`quillshaft: ${error.message}`);
      return 1;
    }
    if (isSystemError(error)) {
      io.err(`quillshaft: ${error.message}`);
      return 1;
    }
    io.err(ownFault(error, args.includes(traceOption)));
    return 70;
  }
}

/** Did the system refuse something to do with a file: no space, no permission, no such folder? */
function isSystemError(error: unknown): error is NodeJS.ErrnoException {
  return error instanceof Error && typeof (error as NodeJS.ErrnoException).syscall === 'string';
}

/** What is said of an error that nobody foresaw: that it is ours, and where it lies if that was asked for. */
function ownFault(error: unknown, trace: boolean): string {
  const [what, stack] = error instanceof Error ? [`${error.name}: ${error.message}`, error.stack] : [String(error), undefined];
  const sentence = `quillshaft: a fault of Quillshaft's own, not of what was given: ${what.split('\n')[0]!.replace(/\.$/, '')}.`;
  return trace ? `${sentence}\n${stack ?? ''}` : `${sentence} The same command with ${traceOption} says where.`;
}

async function dispatch([command, ...rest]: readonly string[], io: CommandIo): Promise<number> {
  switch (command) {
    case 'assess': return assessCommand(rest, io);
    case 'inspect': return inspectCommand(rest, io);
    case 'schema':
      io.out(JSON.stringify(jobSchema, null, 2));
      return 0;
    case 'kernel': {
      const { runKernelCommand } = await import('../kernel/runKernelCommand.js');
      return runKernelCommand(rest, io);
    }
    case 'notebooks': {
      const { runNotebooksCommand } = await import('../kernel/runNotebooksCommand.js');
      return runNotebooksCommand(rest, io);
    }
    case '--version': case '-v':
      io.out(version);
      return 0;
    case '--help': case '-h': case 'help':
      io.out(help);
      return 0;
    case undefined: throw new UsageError('no command was given');
    default: throw new UsageError(`there is no command "${command}"`);
  }
}

function parse(args: readonly string[], options: NonNullable<Parameters<typeof parseArgs>[0]>['options']): { readonly values: Record<string, unknown>; readonly positionals: readonly string[] } {
  try {
    return parseArgs({ args: [...args], options: options!, allowPositionals: true });
  } catch (error) {
    throw new UsageError((error as Error).message);
  }
}

async function assessCommand(args: readonly string[], io: CommandIo): Promise<number> {
  const { values, positionals } = parse(args, { out: { type: 'string' } });
  if (positionals.length === 0) throw new UsageError('assess needs a job file');
  const out = (values.out as string | undefined) ?? 'reports';
  // Every job and every folder is checked before the first is assessed, so that a fault in the last leaves nothing written.
  const folders = foldersOf(positionals, out);
  const jobs = [];
  for (const file of positionals) jobs.push(await readJob(file));
  for (const folder of folders) checkPlace('assess', folder);
  for (const [i, file] of positionals.entries()) {
    const job = jobs[i]!;
    const found = await assess(job, { progress: (step) => io.progress(`${basename(file)}: ${step}`) });
    const folder = folders[i]!;
    io.progress(`${basename(file)}: figures and report`);
    await writeReport(found, folder);
    io.progress('');
    io.out(`${job.title}`);
    io.out(`  life    ${found.life.text}${found.life.labels.filter((label) => label !== found.life.text).map((label) => `\n          ${label}`).join('')}`);
    if (found.band) io.out(`          nine parts of ten: ${spanText(found.band.low, found.band.high, 'h')}`);
    if (found.unsettled) io.out(`          ${found.unsettled}`);
    if (found.duty) io.out(`          by the stated duty: ${dutyText(found.duty)}`);
    if (found.duty?.unsettled) io.out(`          ${found.duty.unsettled}`);
    found.drivers.slice(0, 3).forEach((driver, i) => io.out(`  ${i === 0 ? 'drivers' : '       '} ${i + 1}. ${driver.sentence}`));
    io.out(`  report  ${join(folder, 'report.html')}`);
  }
  return 0;
}

/** The report's folder for each job; no two may be the same. */
function foldersOf(files: readonly string[], out: string): readonly string[] {
  const folders = files.map((file) => {
    const name = basename(file).replace(/(\.job)?\.json$/i, '');
    if (/^\.*$/.test(name)) throw new UsageError(`${file} has no name before .json to call the report's folder by`);
    return join(out, name);
  });
  const seen = new Map<string, string>();
  folders.forEach((folder, i) => {
    const key = folder.toLowerCase();
    const other = seen.get(key);
    if (other !== undefined) throw new UsageError(`${other} and ${files[i]} would both be reported in ${folder}; assess them one by one, each with its own --out`);
    seen.set(key, files[i]!);
  });
  return folders;
}

async function inspectCommand(args: readonly string[], io: CommandIo): Promise<number> {
  const { positionals } = parse(args, {});
  if (positionals.length !== 1) throw new UsageError('inspect needs one file');
  const described = await describeFile(positionals[0]!);
  io.out(lineOf(described) ?? JSON.stringify(described, null, 2));
  return 0;
}
