import { readFileSync } from 'node:fs';
import { it } from 'vitest';

/** One entry of `tests/fixtures/check-values.json`. */
export interface CheckValue {
  readonly id: string;
  // The shape of `given` and `expect` differs from entry to entry; each test reads the fields of its own.
  readonly given: any;
  readonly expect: any;
  readonly tolerance: number | null;
  readonly unit: string;
  readonly source: string;
  readonly status: string;
}

const ENTRIES: readonly CheckValue[] = JSON.parse(readFileSync(new URL('../../fixtures/check-values.json', import.meta.url), 'utf8'));

/** Returns the entry of that name. */
export function entryOf(id: string): CheckValue {
  const entry = ENTRIES.find((e) => e.id === id);
  if (entry === undefined) throw new Error(`check-values.json has no entry ${id}`);
  return entry;
}

/** Returns the ids that begin with `start`. */
export function idsOf(start: string): string[] {
  return ENTRIES.filter((e) => e.id.startsWith(start)).map((e) => e.id);
}

/** Declares a test of one entry, named by its id, its source and how well that source is known. */
export function check(id: string, body: (entry: CheckValue) => void): void {
  const entry = entryOf(id);
  it(`${id} — ${entry.source} (${entry.status})`, () => body(entry));
}
