import { expect, test } from 'vitest';
import type { TrailProblem } from '../../../../core/model/review.ts';
import type { KeptEntry } from '../../../../core/review/trail.ts';
import { canonicalJson, checkTrail, nextPlace, openEntry } from '../../../../core/review/trail.ts';
import { digestOf, dropoutOf, keptOf, NO_LOSS, resealed, sha256, TrailBuilder, verdictBody } from '../../../builders/review-trail.ts';

test('canonical JSON writes the worked example of the standard', () => {
  // Source: RFC 8785, section 3.2.2 (input) and 3.2.3 (output).
  const input = JSON.parse('{"numbers": [333333333.33333329, 1E30, 4.50, 2e-3, 0.000000000000000000000000001], "string": "\\u20ac$\\u000F\\u000aA\'\\u0042\\u0022\\u005c\\\\\\"\\/", "literals": [null, true, false]}') as unknown;
  expect(canonicalJson(input)).toBe('{"literals":[null,true,false],"numbers":[333333333.3333333,1e+30,4.5,0.002,1e-27],"string":"€$\\u000f\\nA\'B\\"\\\\\\\\\\"/"}');
  // Source: RFC 8785, section 3.2.3: keys by UTF-16 code units, an emoji before a presentation form.
  const keys = { '\u20ac': 'Euro Sign', '\r': 'Carriage Return', '\ufb33': 'Hebrew Letter Dalet With Dagesh', '1': 'One', '\ud83d\ude00': 'Emoji: Grinning Face', '\u0080': 'Control', '\u00f6': 'Latin Small Letter O With Diaeresis' };
  expect(canonicalJson(keys)).toBe('{"\\r":"Carriage Return","1":"One","\u0080":"Control","\u00f6":"Latin Small Letter O With Diaeresis","\u20ac":"Euro Sign","\ud83d\ude00":"Emoji: Grinning Face","\ufb33":"Hebrew Letter Dalet With Dagesh"}');
});

test('canonical JSON refuses what JSON has no form for', () => {
  for (const value of [Number.NaN, Infinity, undefined, { a: undefined }, [() => 0], 1n]) expect(() => canonicalJson(value)).toThrow('no canonical JSON');
});

/** Twelve entries of every kind, two of them received. */
function trail(): TrailBuilder {
  const there = new TrailBuilder('there');
  there.add('C. Reader', verdictBody(dropoutOf(100, 200)));
  there.add('C. Reader', { kind: 'case read', caseKey: 'other-key', caseId: 'case-1', unread: 2 });
  const here = new TrailBuilder();
  const first = here.add('A. Reader', verdictBody(dropoutOf(100, 200)));
  here.add('A. Reader', verdictBody(dropoutOf(100, 200), NO_LOSS, { supersedes: first }));
  here.add('A. Reader', { kind: 'taken back', caseKey: 'key-1', caseId: 'case-1', supersedes: first });
  here.add('B. Reader', { kind: 'flags', caseKey: 'key-1', caseId: 'case-1', flags: ['worth discussing'], note: 'long blind time\nsee slide', seen: verdictBody(dropoutOf(1, 9)).seen });
  here.add('B. Reader', { kind: 'revealed', caseKey: 'key-1', caseId: 'case-1' });
  here.receive(there.sealed, digestOf('key there'));
  here.add('B. Reader', { kind: 'act', act: 'parameters changed', caseKey: null, detail: digestOf('default') });
  for (let i = 0; i < 4; i++) here.add('B. Reader', verdictBody(dropoutOf(300 + i, 400)));
  return here;
}

const check = (kept: readonly KeptEntry[], over: Partial<Parameters<typeof checkTrail>[1]> = {}) => checkTrail(kept, { head: null, noted: null, sha256, ...over });
const found = (kept: readonly KeptEntry[], over: Partial<Parameters<typeof checkTrail>[1]> = {}): [number, TrailProblem['kind']][] => check(kept, over).problems.map(({ place, kind }) => [place, kind]);
const at = <T>(list: readonly T[], i: number): T => list[i] as T; // every index used here exists
const replaced = (kept: readonly KeptEntry[], place: number, by: KeptEntry): KeptEntry[] => kept.map((one, i) => (i === place - 1 ? by : one));
const without = (kept: readonly KeptEntry[], ...places: number[]): KeptEntry[] => kept.filter((_, i) => !places.includes(i + 1));

test('an untouched trail has no problem, and its head is the hash of its last entry', () => {
  const { kept, sealed } = trail();
  const head = { place: 12, hash: at(sealed, 11).hash };
  expect(check(kept, { head, noted: at(sealed, 3).hash })).toEqual({ entries: 12, head: head.hash, problems: [] });
  expect(check([])).toEqual({ entries: 0, head: '', problems: [] });
});

test('a changed field is found in every entry and every field, whether its hash is made anew or not', () => {
  const { kept, sealed } = trail();
  for (const { entry, hash } of sealed) {
    for (const [name, value] of Object.entries(entry)) {
      if (name === 'kind' || name === 'place' || typeof value !== 'string' || value === '') continue;
      const changed = resealed(entry, { [name]: name === 'at' ? '2031-03-05T00:00:00Z' : name === 'by' ? 'D. Reader' : value.replace(/.$/, (last) => (last === '0' ? '1' : '0')) });
      expect(found(replaced(kept, entry.place, { text: canonicalJson(changed.entry), hash })), `${name} of ${entry.place}`).toContainEqual([entry.place, 'altered']);
      const problems = found(replaced(kept, entry.place, keptOf(changed)));
      // The last entry sealed anew can be told only by the head that was noted apart.
      if (entry.place < 12 || name === 'previous') expect(problems.length, `${name} of ${entry.place}, sealed anew`).toBeGreaterThan(0);
      else expect(found(replaced(kept, 12, keptOf(changed)), { head: { place: 12, hash } })).toEqual([[12, name === 'role' ? 'unreadable' : 'altered']]);
    }
  }
});

test('a verdict that is changed deep inside is found', () => {
  const { kept, sealed } = trail();
  expect(found(replaced(kept, 2, { text: canonicalJson(at(sealed, 1).entry).replace('"certain"', '"possible"'), hash: at(sealed, 1).hash }))).toEqual([[2, 'altered']]);
  expect(found(replaced(kept, 2, { text: `${canonicalJson(at(sealed, 1).entry)} `, hash: at(sealed, 1).hash }))).toEqual([[2, 'altered']]);
  expect(found(replaced(kept, 2, { text: canonicalJson(at(sealed, 1).entry), hash: digestOf('another') }))).toEqual([[2, 'altered']]);
});

test('a text that is sealed but not canonical, or holds a field that nobody knows, is not taken for an entry', () => {
  const { sealed } = trail();
  const spaced = JSON.stringify(at(sealed, 0).entry, null, 1);
  expect(openEntry({ text: spaced, hash: sha256(spaced) }, sha256)).toBe('altered');
  const later = canonicalJson({ ...at(sealed, 0).entry, mood: 'sure' });
  expect(openEntry({ text: later, hash: sha256(later) }, sha256)).toBe('unreadable');
});

test('a received entry that is not what it was where it came from is found', () => {
  const { kept, sealed } = trail();
  const received = at(sealed, 5).entry;
  if (received.kind !== 'received') throw new Error('the sixth entry is a received one');
  const forged = resealed(received, { entry: { ...received.entry, by: 'D. Reader' } });
  expect(found(replaced(kept, 6, keptOf(forged)))).toContainEqual([6, 'altered']);
  // The last of a trail hangs on nothing behind it: its inner hash alone tells.
  expect(found([...kept.slice(0, 5), keptOf(forged)])).toEqual([[6, 'altered']]);
});

test('missing entries are found wherever they are taken from', () => {
  const { kept, sealed } = trail();
  expect(found(without(kept, 1))).toEqual([[1, 'missing']]);
  expect(found(without(kept, 5))).toEqual([[5, 'missing']]);
  expect(found(without(kept, 2, 3, 4, 9))).toEqual([[2, 'missing'], [9, 'missing']]);
  expect(check(without(kept, 2, 3, 4)).problems[0]?.message).toBe('Entries 2 to 4 are missing.');
  const head = { place: 12, hash: at(sealed, 11).hash };
  expect(found(without(kept, 12), { head })).toEqual([[12, 'cut off']]);
  expect(found([], { head })).toEqual([[1, 'cut off']]);
  expect(found(without(kept, 12))).toEqual([]); // nobody noted that there was a twelfth
});

test('an entry that is taken out and whose gap is closed by new places is found', () => {
  const { kept, sealed } = trail();
  const renumbered = sealed.slice(5).map(({ entry }) => keptOf(resealed(entry, { place: entry.place - 1 })));
  expect(found([...kept.slice(0, 4), ...renumbered])).toContainEqual([4, 'altered']);
});

test('what is written anew from an entry to the end, chain and all, is found by the noted head and by a noted hash', () => {
  const { kept, sealed } = trail();
  const forged = new TrailBuilder();
  for (const { entry } of sealed) {
    const { place: _place, previous: _previous, entryId: _id, at: _at, by, productVersion: _version, ...body } = entry;
    forged.add(entry.place === 4 ? 'D. Reader' : by, body);
  }
  expect(found(forged.kept)).toEqual([]);
  expect(found(forged.kept, { head: { place: 12, hash: at(sealed, 11).hash } })).toEqual([[12, 'altered']]);
  expect(found(forged.kept, { noted: at(sealed, 6).hash })).toEqual([[12, 'head not found']]);
  expect(found(forged.kept, { noted: at(sealed, 2).hash })).toEqual([]); // what was noted lies before what was changed
  expect(kept).not.toEqual(forged.kept);
});

test('a head that lies behind the trail is as a crash leaves it, and no problem', () => {
  const { kept, sealed } = trail();
  expect(found(kept, { head: { place: 10, hash: at(sealed, 9).hash } })).toEqual([]);
  expect(found(kept, { head: { place: 10, hash: digestOf('another') } })).toEqual([[10, 'altered']]);
});

test('entries in another order, or there twice, are found', () => {
  const { kept } = trail();
  const swapped = [...kept.slice(0, 4), at(kept, 5), at(kept, 4), ...kept.slice(6)];
  expect(found(swapped)).toEqual([[5, 'out of order']]);
  expect(found([...kept.slice(1), at(kept, 0)])).toEqual([[1, 'out of order']]);
  expect(found([...kept, at(kept, 11)])).toEqual([[12, 'out of order']]);
  expect(found([...kept, at(kept, 3)])).toEqual([[4, 'out of order']]);
});

test('an entry that cannot be read stands for its place, is reported once, and the rest is still checked', () => {
  const { kept, sealed } = trail();
  const newer = canonicalJson({ ...at(sealed, 7).entry, act: 'something of a later version' });
  for (const gone of [{ text: null, hash: '' }, { text: newer, hash: sha256(newer) }]) {
    expect(found(replaced(kept, 8, gone))).toEqual([[8, 'unreadable']]);
    expect(found(without(replaced(kept, 8, gone), 3))).toEqual([[3, 'unreadable'], [8, 'missing']]); // which of the two it is cannot be told
    expect(found([gone, ...without(kept, 1)])).toEqual([[1, 'unreadable']]);
    expect(found(replaced(kept, 12, gone), { head: { place: 12, hash: at(sealed, 11).hash } })).toEqual([[12, 'unreadable']]);
  }
  expect(found(replaced(kept, 8, { text: '{"place":', hash: digestOf('x') }))).toEqual([[8, 'altered']]);
});

test('a place beyond all bounds is a gap, and no work', () => {
  const { kept, sealed } = trail();
  const far = resealed(at(sealed, 11).entry, { place: 9_000_000_000_000 });
  expect(found(replaced(kept, 12, keptOf(far)))).toEqual([[12, 'missing']]);
});

test('places count from one, each on the hash before', () => {
  expect(nextPlace(null)).toEqual({ place: 1, previous: '' });
  expect(nextPlace({ place: 7, hash: 'abc' })).toEqual({ place: 8, previous: 'abc' });
});

test('a trail that begins in the middle of another is found', () => {
  const { sealed } = trail();
  const torn = sealed.slice(5).map(({ entry }) => resealed(entry, { place: entry.place - 5 }));
  expect(found([keptOf(at(torn, 0))])).toEqual([[1, 'altered']]);
});
