#!/usr/bin/env node
import { readFileSync } from 'node:fs';
import type { Connection } from './message.js';

/** Runs the kernel for the connection file that a Jupyter client wrote, until a client asks it to end. */
async function main(file: string | undefined): Promise<number> {
  if (file === undefined) {
    process.stderr.write('The kernel is started by Jupyter with a connection file. To put it there: quillshaft kernel install\n');
    return 2;
  }
  const connection = JSON.parse(readFileSync(file, 'utf8')) as Connection;
  const { startKernel } = await import('./startKernel.js');
  await startKernel(connection);
  return 0;
}

process.exit(await main(process.argv[2]));
