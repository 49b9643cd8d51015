#!/usr/bin/env node
import { processIo } from '../report/io.js';
import { runCli } from './runCli.js';

void runCli(process.argv.slice(2), processIo).then((code) => {
  process.exitCode = code;
});
