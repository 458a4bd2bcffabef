import { closeSync, openSync, readSync, rmSync, writeSync } from 'node:fs';
import { open } from 'node:fs/promises';
import { deserialize, serialize } from 'node:v8';
import type { RejectedRow } from '../model/import-report.ts';
import type { Scratch, Shelf, ShelfPlace, ShelvedRows } from '../readers/shelf.ts';
import type { CaseReading, FileReading, RawChannel } from '../readers/reading.ts';

/** Appends are gathered up to this many bytes. */
const GATHERED_BYTES = 1 << 20;

/** Where one file's readings are put away, and how much of a table may be held while it is read. */
export interface ShelfPlan {
  /** Absolute path of the file to be made; what is there already is overwritten. */
  readonly path: string;
  readonly heldBytes: number;
}

type Samples = Pick<RawChannel, 'tMs' | 'value' | 'mark' | 'line'>;

const NO_SAMPLES: Samples = { tMs: new Float64Array(0), value: new Float64Array(0), mark: new Uint8Array(0), line: new Uint32Array(0) };

type ShelvedReading = Pick<CaseReading, 'channels' | 'events' | 'drugs'>;

/** A file that is written to its end and read anywhere, by one thread. */
class AppendFile implements Scratch {
  readonly #file: number;
  readonly #gathered = new Uint8Array(GATHERED_BYTES);
  #nGathered = 0;
  #written = 0;

  constructor(path: string) {
    this.#file = openSync(path, 'w+', 0o600);
  }

  append(bytes: Uint8Array): number {
    const at = this.#written + this.#nGathered;
    if (this.#nGathered + bytes.length > GATHERED_BYTES) this.#flush();
    if (bytes.length > GATHERED_BYTES) this.#write(bytes);
    else {
      this.#gathered.set(bytes, this.#nGathered);
      this.#nGathered += bytes.length;
    }
    return at;
  }

  read(at: number, into: Uint8Array): void {
    if (at + into.length > this.#written) this.#flush();
    for (let done = 0; done < into.length; ) {
      const count = readSync(this.#file, into, done, into.length - done, at + done);
      if (count === 0) throw new Error('a scratch file is shorter than what was written to it');
      done += count;
    }
  }

  close(): void {
    this.#flush();
    closeSync(this.#file);
  }

  #flush(): void {
    this.#write(this.#gathered.subarray(0, this.#nGathered));
    this.#nGathered = 0;
  }

  #write(bytes: Uint8Array): void {
    for (let done = 0; done < bytes.length; ) done += writeSync(this.#file, bytes, done, bytes.length - done);
    this.#written += bytes.length;
  }
}

/** A shelf on the disk, for one file of an import. */
export interface OpenShelf extends Shelf {
  /** Ends the writing; what was put away can be read from then on, growing columns are gone. */
  close(): void;
}

/** Returns an empty shelf. `onPutAway` is called after each reading: putting thousands of cases in order takes its time. */
export function openShelf({ path, heldBytes }: ShelfPlan, onPutAway: () => void): OpenShelf {
  const scratchPath = `${path}.columns`;
  const kept = new AppendFile(path);
  let scratch: AppendFile | null = null; // made only for a file that needs it
  const columns = (): AppendFile => (scratch ??= new AppendFile(scratchPath));
  const put = (value: unknown): ShelfPlace => {
    const bytes = serialize(value);
    return { at: kept.append(bytes), length: bytes.length };
  };
  return {
    heldBytes,
    scratch: { append: (bytes) => columns().append(bytes), read: (at, into) => columns().read(at, into) },
    setAside(reading) {
      const { channels, events, drugs } = reading;
      const samples = channels.map(({ tMs, value, mark, line }): Samples => ({ tMs, value, mark, line }));
      const bytes = serialize({ samples, events, drugs });
      const aside = { at: columns().append(bytes), length: bytes.length, ...spanOf(reading) };
      onPutAway();
      return { ...reading, channels: channels.map((channel) => ({ ...channel, ...NO_SAMPLES })), events: [], drugs: [], aside };
    },
    bringBack({ aside, ...reading }) {
      if (aside === undefined) return reading;
      const bytes = new Uint8Array(aside.length);
      columns().read(aside.at, bytes);
      const { samples, events, drugs } = deserialize(bytes) as { samples: Samples[] } & Pick<CaseReading, 'events' | 'drugs'>; // `setAside` wrote it
      return { ...reading, channels: reading.channels.map((channel, i) => ({ ...channel, ...samples[i] })), events, drugs };
    },
    putAway(reading) {
      const { channels, events, drugs } = reading;
      const content: ShelvedReading = { channels, events, drugs };
      const shelved = { ...put(content), nChannels: channels.length, nEvents: events.length, nDrugs: drugs.length };
      onPutAway();
      return { ...reading, channels: [], events: [], drugs: [], shelved };
    },
    putRowsAway: (rows): ShelvedRows => ({ ...put(rows), count: rows.length }),
    close() {
      try {
        kept.close();
      } finally {
        scratch?.close();
        rmSync(scratchPath, { force: true });
      }
    },
  };
}

/** Returns the first and last time of anything in a reading, NaN where it holds none. */
function spanOf({ channels, events, drugs }: CaseReading): { readonly firstMs: number; readonly lastMs: number } {
  let firstMs = Infinity;
  let lastMs = -Infinity;
  const take = (ms: number | undefined): void => {
    if (ms === undefined || Number.isNaN(ms)) return;
    firstMs = Math.min(firstMs, ms);
    lastMs = Math.max(lastMs, ms);
  };
  for (const { tMs } of channels) {
    take(tMs[0]);
    take(tMs.at(-1));
  }
  for (const { tMs } of [...events, ...drugs]) take(tMs);
  return lastMs < firstMs ? { firstMs: NaN, lastMs: NaN } : { firstMs, lastMs };
}

/** Returns a reading with its content brought back from the shelf at `path`. Rejects when the disk does not give it. */
export async function fromShelf(path: string, reading: CaseReading): Promise<CaseReading> {
  const { shelved, ...rest } = reading;
  if (shelved === undefined) return reading;
  return { ...rest, ...((await takeFrom(path, shelved)) as ShelvedReading) }; // `putAway` wrote it
}

/** Returns the rejected rows of a file. Rejects when the disk does not give them. */
export async function rejectedRowsOf(path: string, { rejectedRows, shelvedRows }: FileReading): Promise<readonly RejectedRow[]> {
  if (shelvedRows === undefined || shelvedRows.count === 0) return rejectedRows;
  return (await takeFrom(path, shelvedRows)) as RejectedRow[]; // `putRowsAway` wrote it
}

async function takeFrom(path: string, { at, length }: ShelfPlace): Promise<unknown> {
  const file = await open(path, 'r');
  try {
    const bytes = new Uint8Array(length);
    for (let done = 0; done < length; ) {
      const { bytesRead } = await file.read(bytes, done, length - done, at + done);
      if (bytesRead === 0) throw new Error('a file of put-away readings is cut short');
      done += bytesRead;
    }
    return deserialize(bytes);
  } finally {
    await file.close();
  }
}
