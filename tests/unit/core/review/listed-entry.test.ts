import { expect, it } from 'vitest';
import type { CaseEntry, SealedEntry, TrailEntry } from '../../../../core/model/review.ts';
import { listedBlinded, tellsOfOthers } from '../../../../core/review/listed-entry.ts';

const head = { place: 1, previous: '', entryId: 'a'.repeat(32), at: '2031-03-04T08:00:00Z', by: 'Ada', productVersion: '1' } as const;
const ofCase = { caseKey: 'a', caseId: 'A' } as const;
const flags = { ...head, ...ofCase, kind: 'flags', flags: [], note: 'cold hands', seen: { parametersDigest: '', parametersName: '', productVersion: '', inputDigests: [] } } as const;
const sealed = (entry: TrailEntry): SealedEntry => ({ entry, hash: 'h' });

it('keeps from a blinded reader what others said, and not that, when or by whom', () => {
  const entries: readonly CaseEntry[] = [flags, { ...head, ...ofCase, kind: 'taken back', supersedes: 'b'.repeat(32) }];
  for (const entry of entries) {
    expect(listedBlinded(sealed(entry), 'Ada')).toEqual({ entry, hash: 'h' });
    for (const reader of ['Bo', null]) expect(listedBlinded(sealed(entry), reader)).toEqual({ entry: { kind: 'kept back', place: 1, at: head.at, by: 'Ada', ...ofCase }, hash: 'h' });
  }
  // The same name in another library is another reader.
  const received = { ...head, ...ofCase, kind: 'received', entry: flags, hash: '', signedBy: 'c'.repeat(64) } as const;
  expect(JSON.stringify(listedBlinded(sealed(received), 'Ada'))).not.toContain('cold hands');
});

it('leaves what is no verdict as it is', () => {
  const open: readonly TrailEntry[] = [{ ...head, ...ofCase, kind: 'case read', unread: 0 }, { ...head, ...ofCase, kind: 'revealed' }, { ...head, kind: 'act', act: 'clock set', caseKey: 'a', detail: '' }];
  for (const entry of open) expect([tellsOfOthers(entry, 'Bo'), listedBlinded(sealed(entry), 'Bo').entry]).toEqual([false, entry]);
});
