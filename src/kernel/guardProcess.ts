import { format } from 'node:util';
import { faultOf, interruptedFault } from './fault.js';

/** Shows what went wrong outside any cell (a promise nobody waited for) without ending the process. */
export function guardProcess(): void {
  const tell = (what: string) => (reason: unknown): void => {
    const fault = faultOf(reason, '', '');
    if (fault.name === interruptedFault().name) return;
    process.stderr.write(format('%s: %s\n', what, fault.lines.join('\n')));
  };
  process.on('uncaughtException', tell('Outside any cell'));
  process.on('unhandledRejection', tell('A promise that no cell waited for'));
}
