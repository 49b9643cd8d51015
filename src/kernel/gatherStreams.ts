import { performance } from 'node:perf_hooks';
import { clearTimeout, setTimeout } from 'node:timers';
import type { Sink } from './session.js';

/** Length of a window, ms; what goes out at once in each; and the text that is not held back any longer, characters. */
const [window, atOnce, fullText] = [20, 16, 16384];

/** A sink whose streams are gathered, and what sends the rest. */
export interface GatheredSink extends Sink {
  /** Sends what was printed and not sent yet. */
  flush(): void;
}

/**
 * Joins what a cell prints in quick succession, so that ten thousand lines are not ten thousand messages. The first lines of each
 * 20 ms go out at once, so that a line is seen before the cell goes on computing; those behind them go with the window's end or
 * 16 thousand characters. Displays and results never overtake what was printed before them.
 */
export function gatherStreams(sink: Sink): GatheredSink {
  let name: 'stdout' | 'stderr' = 'stdout';
  let parts: string[] = [];
  let size = 0;
  let opened = -Infinity;
  let sent = 0;
  let timer: NodeJS.Timeout | null = null;
  const flush = (): void => {
    if (timer) clearTimeout(timer);
    timer = null;
    if (parts.length === 0) return;
    const text = parts.join('');
    parts = [];
    size = 0;
    sink.stream(name, text);
  };
  return {
    flush,
    stream(to, text) {
      if (to !== name) flush();
      name = to;
      parts.push(text);
      size += text.length;
      const time = performance.now();
      if (time - opened >= window) [opened, sent] = [time, 0];
      if (sent < atOnce || size >= fullText) {
        sent++;
        flush();
      } else timer ??= setTimeout(flush, window);
    },
    display(data, update) {
      flush();
      sink.display(data, update);
    },
    result(data, count) {
      flush();
      sink.result(data, count);
    },
  };
}
