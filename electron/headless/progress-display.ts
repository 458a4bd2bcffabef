import type { WriteStream } from 'node:tty';

/** Shows how far a run is. Only ever writes to standard error. */
export interface ProgressDisplay {
  /** `done` of `total` in whatever the stage counts; calls may come as often as they like. */
  show(stage: string, done: number, total: number): void;
  /** A line of its own. */
  say(line: string): void;
  /** Takes the bar away. */
  end(): void;
}

type ErrorStream = Pick<WriteStream, 'write'> & { readonly isTTY?: boolean; readonly columns?: number };

const BAR_WIDTH = 24;

/** Returns a bar that redraws itself on a terminal, and plain lines, one per ten per cent, elsewhere. */
export function createProgressDisplay(stream: ErrorStream): ProgressDisplay {
  return stream.isTTY === true ? bar(stream) : lines(stream);
}

function percentOf(done: number, total: number): number {
  return total <= 0 ? 100 : Math.floor((100 * Math.min(done, total)) / total);
}

function bar(stream: ErrorStream): ProgressDisplay {
  let drawn = '';
  const clear = (): void => {
    if (drawn !== '') stream.write('\r\u001B[K');
    drawn = '';
  };
  return {
    show(stage, done, total) {
      const percent = percentOf(done, total);
      const filled = Math.round((BAR_WIDTH * percent) / 100);
      const text = `${stage.padEnd(10)} [${'#'.repeat(filled)}${'.'.repeat(BAR_WIDTH - filled)}] ${percent} %`.slice(0, Math.max(10, (stream.columns ?? 80) - 1));
      if (text === drawn) return;
      stream.write(`\r${text}\u001B[K`);
      drawn = text;
    },
    say(line) {
      clear();
      stream.write(`${line}\n`);
    },
    end: clear,
  };
}

function lines(stream: ErrorStream): ProgressDisplay {
  let last = '';
  return {
    show(stage, done, total) {
      const line = `${stage} ${Math.floor(percentOf(done, total) / 10) * 10} %`;
      if (line === last) return;
      last = line;
      stream.write(`${line}\n`);
    },
    say(line) {
      stream.write(`${line}\n`);
    },
    end() {
      last = '';
    },
  };
}
