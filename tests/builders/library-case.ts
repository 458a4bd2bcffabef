import type { LibraryCase } from '../../core/model/case-list.ts';

/** Returns a case of a library as a list is held against it: two hours at the finger, one dropout. */
export function buildLibraryCase(caseId: string, overrides: Partial<LibraryCase> = {}): LibraryCase {
  // A loss of its own for each name, or the cases would look like one case twice.
  const lostMidMs = 60_000 + [...caseId].reduce((sum, sign) => sum * 31 + sign.charCodeAt(0), 7) % 50_000;
  return { caseKey: `key of ${caseId}`, caseId, date: '2031-03-04', sites: ['finger'], monitoredMs: 7_200_000, lostMidMs, dropouts: 1, unusable: null, ...overrides };
}
