import type { CaseRecord } from './case.ts';

/** Returns the digests of the files that a case was read from, each once. */
export function sourceDigests(record: CaseRecord): string[] {
  return [...new Set(record.sources.map(({ sha256 }) => sha256))].filter((digest) => digest !== '');
}
