import { expect, test } from 'vitest';
import type { SealedEntry } from '../../../../core/model/review.ts';
import { readerShown, senderNames, standingVerdicts } from '../../../../core/review/standing-verdicts.ts';
import { CANNOT_TELL, digestOf, dropoutOf, NO_LOSS, SEEN, TrailBuilder, verdictBody } from '../../../builders/review-trail.ts';

const CASE = { caseKey: 'key-1', caseId: 'case-1' } as const;
const ONE = dropoutOf(100, 200);
const KEY = digestOf('key there');
const inForce = (entries: readonly SealedEntry[]) => standingVerdicts(entries).verdicts.map(({ reader, given }) => `${readerShown(reader)}: ${given.judgement.verdict}`);

test('a later verdict takes the place of the one that it names, and taken back gives it back', () => {
  const trail = new TrailBuilder();
  const first = trail.add('A. Reader', verdictBody(ONE));
  const second = trail.add('A. Reader', verdictBody(ONE, CANNOT_TELL, { supersedes: first }));
  expect(inForce(trail.sealed)).toEqual(['A. Reader: cannot tell']);
  const third = trail.add('A. Reader', verdictBody(ONE, NO_LOSS, { supersedes: second }));
  expect(inForce(trail.sealed)).toEqual(['A. Reader: no loss']);
  trail.add('A. Reader', { kind: 'taken back', ...CASE, supersedes: third });
  expect(inForce(trail.sealed)).toEqual(['A. Reader: cannot tell']);
  trail.add('A. Reader', { kind: 'taken back', ...CASE, supersedes: second });
  expect(inForce(trail.sealed)).toEqual(['A. Reader: low perfusion']);
  trail.add('A. Reader', { kind: 'taken back', ...CASE, supersedes: first });
  expect(inForce(trail.sealed)).toEqual([]);
});

test('a verdict in the middle of a chain that is taken back leaves the last in force, and the first out of it', () => {
  const trail = new TrailBuilder();
  const first = trail.add('A. Reader', verdictBody(ONE));
  const second = trail.add('A. Reader', verdictBody(ONE, CANNOT_TELL, { supersedes: first }));
  const third = trail.add('A. Reader', verdictBody(ONE, NO_LOSS, { supersedes: second }));
  trail.add('A. Reader', { kind: 'taken back', ...CASE, supersedes: second });
  expect(inForce(trail.sealed)).toEqual(['A. Reader: no loss']);
  trail.add('A. Reader', { kind: 'taken back', ...CASE, supersedes: third });
  expect(inForce(trail.sealed)).toEqual(['A. Reader: low perfusion']);
});

test('a verdict given anew on the very same dropout takes the place of the earlier without naming it; on another it does not', () => {
  const trail = new TrailBuilder();
  trail.add('A. Reader', verdictBody(ONE));
  const second = trail.add('A. Reader', verdictBody(ONE, NO_LOSS));
  trail.add('A. Reader', verdictBody(dropoutOf(500, 600)));
  expect(inForce(trail.sealed)).toEqual(['A. Reader: no loss', 'A. Reader: low perfusion']);
  trail.add('A. Reader', { kind: 'taken back', ...CASE, supersedes: second });
  expect(inForce(trail.sealed)).toEqual(['A. Reader: low perfusion', 'A. Reader: low perfusion']);
});

test('nobody takes the place of another’s reading or takes it back, neither here nor by a file', () => {
  const trail = new TrailBuilder();
  const first = trail.add('A. Reader', verdictBody(ONE));
  trail.add('B. Reader', verdictBody(ONE, NO_LOSS, { supersedes: first }));
  trail.add('B. Reader', { kind: 'taken back', ...CASE, supersedes: first });
  const there = new TrailBuilder('there');
  there.add('A. Reader', verdictBody(ONE, CANNOT_TELL, { supersedes: first }));
  there.add('A. Reader', { kind: 'taken back', ...CASE, supersedes: first });
  trail.receive(there.sealed, KEY);
  expect(inForce(trail.sealed)).toEqual(['A. Reader: low perfusion', 'B. Reader: no loss', `A. Reader (received, key ${KEY.slice(0, 8)}): cannot tell`]);
});

test('the same local name in two libraries is two readers, each shown by its key', () => {
  const trail = new TrailBuilder();
  trail.add('A. Reader', verdictBody(ONE));
  for (const where of ['there', 'elsewhere']) {
    const other = new TrailBuilder(where);
    other.add('A. Reader', verdictBody(ONE, NO_LOSS));
    trail.receive(other.sealed, digestOf(where));
  }
  const { readers } = standingVerdicts(trail.sealed);
  expect(readers.map((one) => readerShown(one)).sort()).toEqual(['A. Reader', ...['there', 'elsewhere'].map((where) => `A. Reader (received, key ${digestOf(where).slice(0, 8)})`)].sort());
});

test('readers of another library are shown with what it is called here; of two that are called the same, with the first digits of the key', () => {
  const senders = senderNames([{ fingerprint: 'a1'.repeat(32), label: 'east' }, { fingerprint: 'b2'.repeat(32), label: 'east' }, { fingerprint: 'c3'.repeat(32), label: 'west' }, { fingerprint: 'd4'.repeat(32), label: '' }]);
  const shown = ['a1', 'b2', 'c3', 'd4', 'e5'].map((key) => readerShown({ name: 'Ada', signedBy: key.repeat(32) }, senders));
  expect(shown).toEqual(['Ada (received from east, key a1a1a1a1)', 'Ada (received from east, key b2b2b2b2)', 'Ada (received from west)', 'Ada (received, key d4d4d4d4)', 'Ada (received, key e5e5e5e5)']);
  expect(readerShown({ name: 'Ada', signedBy: null }, senders)).toBe('Ada');
});

test('received entries count in the order of their own trail, once each, whatever came first; own entries that come back count as own', () => {
  const there = new TrailBuilder('there');
  const first = there.add('C. Reader', verdictBody(ONE));
  const second = there.add('C. Reader', verdictBody(ONE, NO_LOSS, { supersedes: first }));
  there.add('C. Reader', { kind: 'taken back', ...CASE, supersedes: second });
  there.add('C. Reader', { kind: 'flags', ...CASE, flags: ['clock doubtful'], note: '', seen: SEEN });
  there.add('C. Reader', { kind: 'flags', ...CASE, flags: ['site doubtful'], note: '', seen: SEEN });
  const trail = new TrailBuilder();
  trail.add('A. Reader', verdictBody(ONE));
  const own = [...trail.sealed];
  trail.receive([...there.sealed].reverse(), KEY);
  trail.receive(there.sealed, KEY);
  trail.receive(own, KEY);
  expect(inForce(trail.sealed)).toEqual(['A. Reader: low perfusion', `C. Reader (received, key ${KEY.slice(0, 8)}): low perfusion`]);
  expect(standingVerdicts(trail.sealed).flags.map(({ flags }) => flags)).toEqual([['site doubtful']]);
});

test('a consensus stands beside readings, is settled anew by any reader of the library, and by no file', () => {
  const trail = new TrailBuilder();
  const a = trail.add('A. Reader', verdictBody(ONE));
  const b = trail.add('B. Reader', verdictBody(ONE, NO_LOSS));
  const settled = trail.add('A. Reader', verdictBody(ONE, NO_LOSS, { role: 'consensus', settles: [a, b], isBlinded: false }));
  expect(inForce(trail.sealed)).toEqual(['A. Reader: low perfusion', 'B. Reader: no loss', 'A. Reader: no loss']);
  const there = new TrailBuilder('there');
  there.add('C. Reader', verdictBody(ONE, CANNOT_TELL, { role: 'consensus', settles: [a, b], isBlinded: false, supersedes: settled }));
  there.add('C. Reader', { kind: 'taken back', ...CASE, supersedes: settled });
  trail.receive(there.sealed, KEY);
  expect(inForce(trail.sealed)).toHaveLength(4);
  const anew = trail.add('B. Reader', verdictBody(ONE, CANNOT_TELL, { role: 'consensus', settles: [a, b], isBlinded: false, supersedes: settled }));
  expect(inForce(trail.sealed).filter((one) => one.startsWith('B. Reader'))).toEqual(['B. Reader: no loss', 'B. Reader: cannot tell']);
  expect(inForce(trail.sealed)).toHaveLength(4);
  trail.add('A. Reader', { kind: 'taken back', ...CASE, supersedes: anew });
  expect(inForce(trail.sealed)).toContain('A. Reader: no loss');
  // A reading that names a consensus takes nothing's place.
  trail.add('B. Reader', verdictBody(dropoutOf(500, 600), NO_LOSS, { supersedes: settled }));
  expect(inForce(trail.sealed)).toHaveLength(5);
});

test('one library’s file takes nothing of another library’s out of force', () => {
  const there = new TrailBuilder('there');
  const theirs = there.add('C. Reader', verdictBody(ONE, NO_LOSS, { role: 'consensus' }));
  const elsewhere = new TrailBuilder('elsewhere');
  elsewhere.add('D. Reader', verdictBody(ONE, CANNOT_TELL, { role: 'consensus', supersedes: theirs }));
  elsewhere.add('D. Reader', { kind: 'taken back', ...CASE, supersedes: theirs });
  for (const [first, second] of [['a', 'b'], ['b', 'a']] as const) {
    const trail = new TrailBuilder();
    trail.receive(there.sealed, first.repeat(64));
    trail.receive(elsewhere.sealed, second.repeat(64));
    expect(inForce(trail.sealed)).toHaveLength(2);
  }
});

test('this library settles a received consensus anew where it names it', () => {
  const there = new TrailBuilder('there');
  const theirs = there.add('C. Reader', verdictBody(ONE, NO_LOSS, { role: 'consensus' }));
  const trail = new TrailBuilder();
  trail.receive(there.sealed, KEY);
  trail.add('A. Reader', verdictBody(ONE, CANNOT_TELL, { role: 'consensus', supersedes: theirs }));
  expect(inForce(trail.sealed)).toEqual(['A. Reader: cannot tell']);
});

test('flags stand as last set, and setting none takes them away', () => {
  const trail = new TrailBuilder();
  trail.add('B. Reader', { kind: 'flags', ...CASE, flags: ['worth discussing', 'site doubtful'], note: '', seen: SEEN });
  trail.add('A. Reader', { kind: 'flags', ...CASE, flags: [], note: 'only a note', seen: SEEN });
  trail.add('B. Reader', { kind: 'flags', ...CASE, flags: ['worth discussing'], note: 'why', seen: SEEN });
  expect(standingVerdicts(trail.sealed).flags.map(({ reader, flags, note }) => [reader.name, flags, note])).toEqual([['A. Reader', [], 'only a note'], ['B. Reader', ['worth discussing'], 'why']]);
  trail.add('B. Reader', { kind: 'flags', ...CASE, flags: [], note: '', seen: SEEN });
  const { flags, readers } = standingVerdicts(trail.sealed);
  expect(flags.map(({ reader }) => reader.name)).toEqual(['A. Reader']);
  expect(readers.map(({ name }) => name)).toEqual(['A. Reader']);
});

test('who revealed and who has read is told, and a revelation alone makes nobody a reader', () => {
  const trail = new TrailBuilder();
  trail.add('B. Reader', { kind: 'revealed', ...CASE });
  trail.add('A. Reader', { kind: 'case read', ...CASE, unread: 3 });
  trail.add('A. Reader', { kind: 'act', act: 'clock set', caseKey: 'key-1', detail: '60 s' });
  const { revealedTo, readBy, readers } = standingVerdicts(trail.sealed);
  expect([revealedTo, readBy, readers].map((list) => list.map(({ name }) => name))).toEqual([['B. Reader'], ['A. Reader'], ['A. Reader']]);
});
