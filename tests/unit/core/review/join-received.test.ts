import { describe, expect, test } from 'vitest';
import type { SealedEntry } from '../../../../core/model/review.ts';
import type { SettledConflict } from '../../../../core/model/reviews-file.ts';
import { joinReceived } from '../../../../core/review/join-received.ts';
import type { LocalCase } from '../../../../core/review/merge-received.ts';
import { matchCases, mergeReceived } from '../../../../core/review/merge-received.ts';
import { canonicalJson } from '../../../../core/review/trail.ts';
import { fileOf, lineOf, sha256, trailOf, verdictOn } from '../../../builders/sent-reviews.ts';

const here = (caseKey: string, content: string | null, inputs: readonly string[] = [sha256('export.csv')]): LocalCase => ({ caseKey, caseId: `here ${caseKey}`, inputDigests: inputs, contentFingerprint: content === null ? null : sha256(content) });
const join = (files: Parameters<typeof mergeReceived>[0], library: readonly LocalCase[], trail: readonly SealedEntry[] = [], settled: ReadonlyMap<string, SettledConflict> = new Map()) => joinReceived(mergeReceived(files), { trail, library, settled }, sha256);
const chosen = (choice: string): SettledConflict => ({ choice, by: 'Carla', at: '2026-02-01T08:00:00Z' });

describe('a case is known again', () => {
  test('by its content, whatever keys and names are', () => {
    expect(matchCases([lineOf('a1', 'one')], [here('h1', 'two'), here('h2', 'one')]).get('a1')).toMatchObject({ kind: 'match', to: { caseKey: 'h2' } });
  });

  test('of several with the same content by its files; else a person has to say', () => {
    const two = [here('h1', 'one', [sha256('a')]), here('h2', 'one', [sha256('b')])];
    expect(matchCases([lineOf('a1', 'one', [sha256('b')])], two).get('a1')).toMatchObject({ kind: 'match', to: { caseKey: 'h2' } });
    expect(matchCases([lineOf('a1', 'one', [sha256('c')])], two).get('a1')).toMatchObject({ kind: 'unsure', why: 'several alike', candidates: [{ caseKey: 'h1' }, { caseKey: 'h2' }] });
  });

  test('the same files with other content are no match but a question; no file in common is no case', () => {
    expect(matchCases([lineOf('a1', 'one')], [here('h1', 'changed')]).get('a1')).toMatchObject({ kind: 'unsure', why: 'content differs' });
    expect(matchCases([lineOf('a1', null)], [here('h1', 'one')]).get('a1')).toMatchObject({ kind: 'unsure', why: 'content unknown' });
    expect(matchCases([lineOf('a1', 'one', [sha256('a')])], [here('h1', 'two', [sha256('b')])]).get('a1')).toEqual({ kind: 'none' });
  });

  test('of an export with many cases, one that is not here asks nothing when the others are known', () => {
    const matches = matchCases([lineOf('a1', 'one'), lineOf('a2', 'two')], [here('h1', 'one')]);
    expect(matches.get('a2')).toEqual({ kind: 'none' });
  });
});

const A = trailOf('A', [{ by: 'Anna', body: verdictOn('a1', 100, 'motion', { judgement: { note: 'a note' } }) }, { by: 'Anna', body: verdictOn('a1', 100, 'no loss') }]);

test('entries are joined once under their sender, and a second time there is nothing to do', () => {
  const file = fileOf('A', A, [lineOf('a1', 'one')]);
  const first = join([file], [here('h1', 'one')]);
  expect(first.join.map(({ caseKey, caseId, signedBy, hash }) => ({ caseKey, caseId, signedBy, hash }))).toEqual(A.map(({ hash }) => ({ caseKey: 'h1', caseId: 'here h1', signedBy: sha256('A'), hash })));
  expect(first.matched).toMatchObject([{ to: { caseKey: 'h1' } }]);
  const trail = trailOf('H', first.join.map((body) => ({ by: 'Carla', body: { kind: 'received', ...body } })));
  expect(join([file, file], [here('h1', 'one')], trail).join).toEqual([]);
});

test('reviews of a case that is not here wait, and are joined when it comes', () => {
  const file = fileOf('A', A, [lineOf('a1', 'one')]);
  expect(join([file], [])).toMatchObject({ join: [], waiting: [{ caseKey: 'a1', caseId: 'case a1', entries: [{ place: 1 }, { place: 2 }] }] });
  expect(join([file], [here('h1', 'one')])).toMatchObject({ join: [{ caseKey: 'h1' }, { caseKey: 'h1' }], waiting: [] });
});

test('the note of an entry that came without it is taken in later, and not the other way round', () => {
  const bare = fileOf('A', A, [lineOf('a1', 'one')], { notes: 'left out' });
  const whole = fileOf('A', A, [lineOf('a1', 'one')]);
  const trail = trailOf('H', join([bare], [here('h1', 'one')]).join.map((body) => ({ by: 'Carla', body: { kind: 'received', ...body } })));
  expect(join([bare, whole], [here('h1', 'one')], trail).join).toMatchObject([{ hash: A[0]?.hash }]);
  const full = trailOf('H', join([whole], [here('h1', 'one')]).join.map((body) => ({ by: 'Carla', body: { kind: 'received', ...body } })));
  expect(join([bare, whole], [here('h1', 'one')], full).join).toEqual([]);
});

test('its own entries that come back are not joined again', () => {
  expect(join([fileOf('A', A, [lineOf('a1', 'one')])], [here('a1', 'one')], A)).toMatchObject({ join: [], conflicts: [] });
});

describe('conflicts', () => {
  const other = trailOf('A', [{ by: 'Anna', body: verdictOn('a1', 100, 'low perfusion') }]);
  const files = [fileOf('A', A, [lineOf('a1', 'one')]), fileOf('A', other, [lineOf('a1', 'one')])];

  test('one entry with two contents is not joined until a person has chosen, and the trails are said to part', () => {
    const plan = join(files, [here('h1', 'one')]);
    expect(plan.join.map(({ entry }) => entry.place)).toEqual([2]);
    expect(plan.conflicts).toMatchObject([{ kind: 'trails part', place: 1 }, { kind: 'other content', caseId: 'case a1', settled: null }]);
    const conflict = plan.conflicts.find(({ kind }) => kind === 'other content');
    const decided = new Map([[conflict?.conflictId ?? '', chosen(other[0]?.hash ?? '')]]);
    expect(join(files, [here('h1', 'one')], [], decided).join).toMatchObject([{ hash: other[0]?.hash }, { entry: { place: 2 } }]);
  });

  test('an entry of this library with another content is never taken in, and is shown', () => {
    const plan = join([files[1] ?? files[0]].flatMap((one) => (one === undefined ? [] : [one])), [here('a1', 'one')], A);
    expect(plan.join).toEqual([]);
    expect(plan.conflicts).toMatchObject([{ kind: 'other content', versions: [{ from: 'here', isInForce: true }, { from: 'file', isInForce: false }] }]);
  });

  test('a case of the same files and other content waits for a person; “keep” leaves it waiting', () => {
    const file = fileOf('A', A, [lineOf('a1', 'one')]);
    const plan = join([file], [here('h1', 'changed')]);
    expect(plan).toMatchObject({ join: [], waiting: [{ caseKey: 'a1' }], conflicts: [{ kind: 'which case', why: 'content differs', entries: 2, candidates: [{ caseKey: 'h1' }] }] });
    const id = plan.conflicts[0]?.conflictId ?? '';
    expect(join([file], [here('h1', 'changed')], [], new Map([[id, chosen('h1')]]))).toMatchObject({ join: [{ caseKey: 'h1' }, { caseKey: 'h1' }], waiting: [] });
    expect(join([file], [here('h1', 'changed')], [], new Map([[id, chosen('keep')]]))).toMatchObject({ join: [], waiting: [{ caseKey: 'a1' }] });
  });

  test('the same local name here and there is told, as is one of two senders', () => {
    const own = trailOf('H', [{ by: 'Anna', body: verdictOn('h1', 100, 'motion') }]);
    const file = fileOf('A', A, [lineOf('a1', 'one')]);
    expect(join([file], [here('h1', 'one')], own).conflicts).toMatchObject([{ kind: 'same name', name: 'Anna', entries: 2, settled: null }]);
    expect(join([file], [here('h1', 'one')]).conflicts).toEqual([]);
    const B = fileOf('B', trailOf('B', [{ by: 'Anna', body: verdictOn('b1', 100, 'motion') }]), [lineOf('b1', 'one')]);
    expect(join([file, B], [here('h1', 'one')]).conflicts.map(({ kind }) => kind)).toEqual(['same name', 'same name']);
  });

  test('a plan is plain: it says the same as JSON', () => {
    const plan = join(files, [here('h1', 'one')]);
    expect(canonicalJson(JSON.parse(JSON.stringify(plan)))).toBe(canonicalJson(plan));
  });
});
