/** Where a command reads from and writes to; tests hand in their own. */
export interface CommandIo {
  /** A line for the reader of the result. */
  out(text: string): void;
  /** A line about what went wrong. */
  err(text: string): void;
  /** A passing word about long work; shown on a terminal only. */
  progress(text: string): void;
}

// Whoever reads may stop reading (a pipe into head): that is no fault of the command.
process.stdout.on('error', (error: NodeJS.ErrnoException) => {
  if (error.code !== 'EPIPE') throw error;
});

/** The process's own streams. */
export const processIo: CommandIo = {
  out: (text) => void process.stdout.write(`${text}\n`),
  err: (text) => void process.stderr.write(`${text}\n`),
  progress: (text) => {
    if (process.stderr.isTTY) process.stderr.write(`\r\x1b[2K${text}`);
  },
};
