/*
 * Joining reviews of several libraries: whatever order files come in, however often, the same comes of it and nothing is lost.
 */
import fc from 'fast-check';
import { expect, test } from 'vitest';
import type { EntryReceived, SealedEntry, Verdict } from '../../core/model/review.ts';
import { VERDICTS } from '../../core/model/review.ts';
import type { ReviewsFileContent } from '../../core/model/reviews-file.ts';
import { joinReceived } from '../../core/review/join-received.ts';
import type { LocalCase } from '../../core/review/merge-received.ts';
import { mergeReceived } from '../../core/review/merge-received.ts';
import { reviewOfCase } from '../../core/review/review-of-case.ts';
import { noteOf } from '../../core/review/reviews-file.ts';
import { basisOf, fileOf, lineOf, sha256, trailOf, verdictOn } from '../builders/sent-reviews.ts';

const CASES = ['one', 'two', 'three'];
const DROPOUTS = [100, 400, 700];
/** Case “three” is not in this library. */
const LIBRARY: readonly LocalCase[] = [{ caseKey: 'h1', caseId: 'here 1', inputDigests: lineOf('x', 'one').inputDigests, contentFingerprint: sha256('one') }, { caseKey: 'h2', caseId: 'here 2', inputDigests: [], contentFingerprint: sha256('two') }];

const said = fc.record({
  by: fc.constantFrom('Anna', 'Berta'),
  at: fc.nat({ max: 2 }),
  drop: fc.constantFrom(...DROPOUTS),
  verdict: fc.constantFrom(...(Object.keys(VERDICTS) as Verdict[])), // the keys of a constant
  note: fc.constantFrom('', 'a note'),
  isConsensus: fc.boolean(),
});
const library = (name: string) => fc.record({ said: fc.array(said, { maxLength: 8 }), cuts: fc.array(fc.record({ after: fc.nat({ max: 8 }), notes: fc.constantFrom('included' as const, 'left out' as const) }), { maxLength: 3 }) }).map(({ said: entries, cuts }) => {
  const trail = trailOf(name, entries.map(({ by, at, drop, verdict, note, isConsensus }) => ({ by, body: verdictOn(`${name}${at}`, drop, verdict, { role: isConsensus ? 'consensus' : 'reading', judgement: { note } }) })));
  const lines = CASES.map((content, at) => lineOf(`${name}${at}`, content));
  return cuts.map(({ after, notes }) => fileOf(name, trail.slice(0, after), lines, { notes, writtenAt: `2026-02-0${1 + (after % 8)}T08:00:00Z` }));
});
const files = fc.tuple(library('A'), library('B'), library('C')).map((list) => list.flat());
const own = trailOf('H', [{ by: 'Anna', body: verdictOn('h1', 100, 'motion') }, { by: 'Carla', body: verdictOn('h2', 400, 'no loss') }]);

/** Returns this library's trail after it has received files one after the other. */
function received(list: readonly ReviewsFileContent[], atOnce: boolean): SealedEntry[] {
  let trail: SealedEntry[] = own;
  const kept: ReviewsFileContent[] = [];
  for (const file of atOnce ? [list] : list.map((one) => [one])) {
    kept.push(...file);
    const { join } = joinReceived(mergeReceived(kept), { trail, library: LIBRARY, settled: new Map() }, sha256);
    trail = trailOf('H', join.map((body) => ({ by: 'Carla', body: { kind: 'received', ...body } })), trail);
  }
  return trail;
}

const receivedIn = (trail: readonly SealedEntry[]): EntryReceived[] => trail.flatMap(({ entry }) => (entry.kind === 'received' ? [entry] : []));
const reviews = (trail: readonly SealedEntry[]) => ['h1', 'h2'].map((key) => reviewOfCase(trail.filter(({ entry }) => entry.kind !== 'act' && entry.caseKey === key), basisOf(key, DROPOUTS), { by: null, blinded: false }));

test('joined in any order and any number of times, all files come to the same', () => {
  fc.assert(fc.property(files.chain((list) => fc.tuple(fc.constant(list), fc.shuffledSubarray([...list, ...list], { minLength: 2 * list.length, maxLength: 2 * list.length }))), ([list, again]) => {
    expect(mergeReceived(again)).toEqual(mergeReceived(list));
    const one = received(list, true);
    const other = received(again, false);
    expect(reviews(other)).toEqual(reviews(one));
    const conflicts = (trail: readonly SealedEntry[]) => joinReceived(mergeReceived(list), { trail, library: LIBRARY, settled: new Map() }, sha256);
    expect(conflicts(other)).toEqual(conflicts(one));
    expect(conflicts(one).join).toEqual([]);
  }), { numRuns: 150 });
});

test('nothing is lost: every entry of every file is in the trail or waits for its case, with its note where any file had it', () => {
  fc.assert(fc.property(files, (list) => {
    const trail = received(list, false);
    const { waiting } = joinReceived(mergeReceived(list), { trail, library: LIBRARY, settled: new Map() }, sha256);
    const there = new Map(receivedIn(trail).map(({ entry }) => [entry.entryId, entry]));
    const away = new Map(waiting.flatMap(({ entries }) => entries.map((entry) => [entry.entryId, entry] as const)));
    for (const { entry, sealedAs, hash } of list.flatMap((file) => file.entries)) {
      const found = there.get(entry.entryId) ?? away.get(entry.entryId);
      expect(found).toBeDefined();
      if (hash === sealedAs && found !== undefined) expect(noteOf(found)).toBe(noteOf(entry));
    }
  }), { numRuns: 150 });
});

test('what is here is never changed by what comes: the library’s own verdicts stay in force', () => {
  fc.assert(fc.property(files, (list) => {
    const before = reviews(own).map(({ dropouts }) => dropouts.flatMap(({ verdicts }) => verdicts));
    const after = reviews(received(list, false)).map(({ dropouts }) => dropouts.flatMap(({ verdicts }) => verdicts));
    before.forEach((verdicts, i) => {
      for (const { entryId } of verdicts) expect(after[i]?.map((one) => one.entryId)).toContain(entryId);
    });
  }), { numRuns: 100 });
});
