import type { Withheld } from '../model/import-report.ts';

/** Counts what was recognised at the door, by heading, kind and what was done. */
export class WithheldTally {
  private readonly entries = new Map<string, { readonly entry: Omit<Withheld, 'count' | 'firstLine'>; count: number; firstLine: number | null }>();

  constructor(before: readonly Withheld[] = []) {
    for (const { heading, looksLike, done, count, firstLine } of before) this.add(heading, looksLike, done, firstLine, count);
  }

  add(heading: string, looksLike: Withheld['looksLike'], done: Withheld['done'], line: number | null, count = 1): void {
    if (count === 0) return;
    const key = `${heading}\u0000${looksLike}\u0000${done}`;
    const known = this.entries.get(key);
    if (known === undefined) {
      this.entries.set(key, { entry: { heading, looksLike, done }, count, firstLine: line });
      return;
    }
    known.count += count;
    if (line !== null) known.firstLine = Math.min(known.firstLine ?? line, line);
  }

  /** Returns the entries: columns in the order in which they came, free text last. */
  list(): Withheld[] {
    const all = [...this.entries.values()].map(({ entry, count, firstLine }): Withheld => ({ ...entry, count, firstLine }));
    return [...all.filter((one) => one.heading !== ''), ...all.filter((one) => one.heading === '')];
  }
}
