/* Verdicts are never lost: properties of the trail, of what is in force and of where it stands, on drawn histories and analyses. */
import fc from 'fast-check';
import { expect, test } from 'vitest';
import type { Judgement, ReviewableDropout, SealedEntry, StandingVerdict } from '../../core/model/review.ts';
import type { KeptEntry } from '../../core/review/trail.ts';
import { checkTrail } from '../../core/review/trail.ts';
import { reviewQueue } from '../../core/review/queue.ts';
import { reanchor } from '../../core/review/reanchor.ts';
import { reviewOfCase, reviewStateOf } from '../../core/review/review-of-case.ts';
import { readerKey, standingVerdicts } from '../../core/review/standing-verdicts.ts';
import { basisOf, CANNOT_TELL, CLOCK, digestOf, dropoutOf, LOSS, NO_LOSS, sha256, TrailBuilder, verdictBody } from '../builders/review-trail.ts';

const CASE = { caseKey: 'key-1', caseId: 'case-1' } as const;
const READERS = ['A. Reader', 'B. Reader'] as const;
const JUDGEMENTS: readonly Judgement[] = [LOSS, NO_LOSS, CANNOT_TELL];
const OPEN_VIEW = { by: null, blinded: false } as const;

/** Disjoint dropouts of one sensor in time order: pairs of drawn seconds; the last may never have ended. */
const siteDropouts = (siteKey: string) =>
  fc.record({ seconds: fc.uniqueArray(fc.integer({ min: 1, max: 120 }), { maxLength: 12 }), isOpen: fc.boolean() }).map(({ seconds, isOpen }) => {
    const sorted = [...seconds].sort((a, b) => a - b);
    const pairs = sorted.flatMap((from, i) => (i % 2 === 0 && sorted[i + 1] !== undefined ? [[from, sorted[i + 1] ?? from] as const] : []));
    return pairs.map(([from, to], i): ReviewableDropout => dropoutOf(from, to, { siteKey, number: i + 1, ...(isOpen && i === pairs.length - 1 ? { lastLostMs: null, firstGoodMs: null, censoredAtMs: to * 1000 } : {}) }));
  });
const analyses = fc.tuple(siteDropouts('finger'), siteDropouts('ear lobe')).map((sites) => sites.flat());

/** What readers do one after the other: a verdict on one of the dropouts in the usual way, or taking back the one in force. */
const acts = fc.array(fc.record({ reader: fc.nat(1), dropout: fc.nat(11), judgement: fc.nat(2), takesBack: fc.boolean(), isConsensus: fc.boolean() }), { maxLength: 30 });

interface Played {
  readonly trail: TrailBuilder;
  /** What is in force by the plainest account: a pile of verdicts per reader, role and dropout, of which the uppermost counts. */
  readonly inForce: readonly string[];
}

function play(dropouts: readonly ReviewableDropout[], drawn: readonly { reader: number; dropout: number; judgement: number; takesBack: boolean; isConsensus: boolean }[], library = 'here'): Played {
  const trail = new TrailBuilder(library);
  const piles = new Map<string, string[]>();
  for (const { reader, dropout, judgement, takesBack, isConsensus } of drawn) {
    const about = dropouts[dropout % Math.max(1, dropouts.length)];
    if (about === undefined) continue;
    const by = READERS[reader] ?? READERS[0];
    const role = isConsensus ? 'consensus' : 'reading';
    const pile = piles.get(`${role} ${isConsensus ? '' : by} ${about.dropoutId}`) ?? [];
    piles.set(`${role} ${isConsensus ? '' : by} ${about.dropoutId}`, pile);
    const top = pile.at(-1) ?? null;
    if (takesBack) {
      if (top === null) continue;
      trail.add(by, { kind: 'taken back', ...CASE, supersedes: top });
      pile.pop();
    } else pile.push(trail.add(by, verdictBody(about, JUDGEMENTS[judgement] ?? LOSS, { role, supersedes: top })));
  }
  return { trail, inForce: [...piles.values()].flatMap((pile) => pile.slice(-1)).sort() };
}

const idsOf = (entries: readonly SealedEntry[]) => standingVerdicts(entries).verdicts.map(({ entryId }) => entryId);

test('what is in force is what the plainest account says', () => {
  fc.assert(fc.property(analyses, acts, (dropouts, drawn) => {
    const { trail, inForce } = play(dropouts, drawn);
    expect(idsOf(trail.sealed).sort()).toEqual(inForce);
  }));
});

test('taking everything back, one after the other, gives back every earlier state', () => {
  fc.assert(fc.property(fc.array(fc.nat(2), { minLength: 1, maxLength: 8 }), (drawn) => {
    const trail = new TrailBuilder();
    const about = dropoutOf(10, 60);
    const before: string[][] = [];
    const given: string[] = [];
    for (const judgement of drawn) {
      before.push(idsOf(trail.sealed));
      given.push(trail.add('A. Reader', verdictBody(about, JUDGEMENTS[judgement], { supersedes: given.at(-1) ?? null })));
    }
    while (given.length > 0) {
      trail.add('A. Reader', { kind: 'taken back', ...CASE, supersedes: given.pop() ?? '' });
      expect(idsOf(trail.sealed)).toEqual(before.pop());
    }
  }));
});

test('files from other libraries may come in any order, in parts and twice: what is in force is the same, and what was said here stays', () => {
  fc.assert(fc.property(analyses, acts, acts, acts, fc.integer(), (dropouts, here, there, elsewhere, seed) => {
    const own = play(dropouts, here).trail;
    const first = play(dropouts, there, 'there').trail.sealed;
    const second = play(dropouts, elsewhere, 'elsewhere').trail.sealed;
    const [oneWay, otherWay] = [new TrailBuilder(), new TrailBuilder()];
    for (const trail of [oneWay, otherWay]) trail.sealed.push(...own.sealed);
    oneWay.receive(first, digestOf('there'));
    oneWay.receive(second, digestOf('elsewhere'));
    const cut = Math.abs(seed) % (first.length + 1);
    otherWay.receive(second, digestOf('elsewhere'));
    otherWay.receive(first.slice(cut), digestOf('there'));
    otherWay.receive(first, digestOf('there'));
    expect(standingVerdicts(otherWay.sealed)).toEqual(standingVerdicts(oneWay.sealed));
    // A consensus received may be the base of one here; readings here are touched by no file.
    const received = new Set(idsOf(oneWay.sealed));
    for (const id of idsOf(own.sealed)) expect(received.has(id)).toBe(true);
  }));
});

const placedAt = (entries: readonly SealedEntry[], dropouts: readonly ReviewableDropout[]) => reanchor(standingVerdicts(entries).verdicts, basisOf(dropouts));

test('analysed again in the same way, every verdict is where it was', () => {
  fc.assert(fc.property(analyses, acts, (dropouts, drawn) => {
    const { trail } = play(dropouts, drawn);
    for (const { state, dropoutId, anchor, isCounted, sawAnother } of placedAt(trail.sealed, dropouts)) expect([state, dropoutId, isCounted, sawAnother]).toEqual(['same', anchor.dropoutId, true, false]);
  }));
});

const end = ({ firstLostMs, firstGoodMs, censoredAtMs }: Pick<ReviewableDropout, 'firstLostMs' | 'firstGoodMs' | 'censoredAtMs'>) => Math.max(firstLostMs + 1, firstGoodMs ?? censoredAtMs ?? firstLostMs);
const common = (a: StandingVerdict['anchor'], b: ReviewableDropout) => (a.siteKey === b.siteKey ? Math.max(0, Math.min(end(a), end(b)) - Math.max(a.firstLostMs, b.firstLostMs)) : 0);

test('analysed again in any way, no verdict is dropped, none is made up, and each stands where it overlaps most', () => {
  fc.assert(fc.property(analyses, analyses, acts, (before, today, drawn) => {
    const { trail } = play(before, drawn);
    const { verdicts } = standingVerdicts(trail.sealed);
    const placed = reanchor(verdicts, basisOf(today));
    expect(placed.map(({ entryId, judgement }) => [entryId, judgement])).toEqual(verdicts.map(({ entryId, given }) => [entryId, given.judgement]));
    for (const { anchor, dropoutId, state, isCounted } of placed) {
      const shares = today.map((dropout) => common(anchor, dropout));
      const most = Math.max(0, ...shares);
      if (dropoutId === null) expect([most, state, isCounted]).toEqual([0, 'without a dropout', false]);
      else expect(common(anchor, today.find((dropout) => dropout.dropoutId === dropoutId && dropout.siteKey === anchor.siteKey)!)).toBe(most);
      if (state === 'split') expect(shares.filter((share) => share > 0).length).toBeGreaterThan(1);
      if (state === 'same' || state === 'moved') expect(shares.filter((share) => share > 0)).toHaveLength(1);
    }
  }));
});

test('at each dropout exactly one verdict of each reader that comes to it counts, and one of the library’s consensus', () => {
  fc.assert(fc.property(analyses, analyses, acts, (before, today, drawn) => {
    const { trail } = play(before, drawn);
    const groups = new Map<string, StandingVerdict[]>();
    for (const verdict of placedAt(trail.sealed, today)) {
      if (verdict.dropoutId === null) continue;
      const spot = JSON.stringify([verdict.dropoutId, verdict.role, verdict.role === 'reading' ? verdict.by : '']);
      groups.set(spot, [...(groups.get(spot) ?? []), verdict]);
    }
    for (const group of groups.values()) {
      expect(group.filter(({ isCounted }) => isCounted)).toHaveLength(1);
      expect(group.every(({ state }) => (state === 'joined') === group.length > 1)).toBe(true);
    }
  }));
});

test('the order of verdicts and of dropouts changes nothing', () => {
  fc.assert(fc.property(analyses, analyses, acts, (before, today, drawn) => {
    const { verdicts } = standingVerdicts(play(before, drawn).trail.sealed);
    const byId = (list: readonly StandingVerdict[]) => [...list].sort((a, b) => (a.entryId < b.entryId ? -1 : 1));
    const basis = basisOf(today);
    const turned = { ...basis, sites: [...basis.sites].reverse().map((site) => ({ ...site, dropouts: [...site.dropouts].reverse() })) };
    expect(byId(reanchor([...verdicts].reverse(), turned))).toEqual(byId(reanchor(verdicts, basis)));
  }));
});

test('an origin that moves by any time, with everything in the case, moves no verdict', () => {
  fc.assert(fc.property(analyses, acts, fc.integer({ min: -86_400_000, max: 86_400_000 }), (dropouts, drawn, byMs) => {
    const { trail } = play(dropouts, drawn);
    const add = (ms: number | null) => (ms === null ? null : ms + byMs);
    const moved = dropouts.map((one): ReviewableDropout => ({ ...one, dropoutId: `${one.siteKey}@${one.firstLostMs + byMs}`, lastGoodMs: one.lastGoodMs + byMs, firstLostMs: one.firstLostMs + byMs, lastLostMs: add(one.lastLostMs), firstGoodMs: add(one.firstGoodMs), censoredAtMs: add(one.censoredAtMs) }));
    const clock = { ...CLOCK, wallMs: CLOCK.wallMs - byMs, epochMs: (CLOCK.epochMs ?? 0) - byMs };
    for (const verdict of reanchor(standingVerdicts(trail.sealed).verdicts, basisOf(moved, { clock }))) expect([verdict.state, verdict.dropoutId]).toEqual(['same', `${verdict.anchor.siteKey}@${verdict.anchor.firstLostMs}`]);
  }));
});

test('a review holds every dropout and every verdict in force exactly once, and its state counts every dropout once', () => {
  fc.assert(fc.property(analyses, analyses, acts, (before, today, drawn) => {
    const { trail } = play(before, drawn);
    const review = reviewOfCase(trail.sealed, basisOf(today), OPEN_VIEW);
    expect(review.dropouts.map(({ dropoutId, siteKey }) => [siteKey, dropoutId]).sort()).toEqual(today.map(({ dropoutId, siteKey }) => [siteKey, dropoutId]).sort());
    expect([...review.dropouts.flatMap(({ verdicts }) => verdicts), ...review.without].map(({ entryId }) => entryId).sort()).toEqual(idsOf(trail.sealed).sort());
    const { dropouts, confirmed, refuted, cannotTell, disputed, notReviewed } = reviewStateOf(review);
    expect(confirmed + refuted + cannotTell + disputed + notReviewed).toBe(dropouts);
    expect(dropouts).toBe(today.length);
  }));
});

test('blinded, what another says changes nothing of what a reader sees but the names of who has said something', () => {
  fc.assert(fc.property(analyses, acts, (dropouts, drawn) => {
    const { trail } = play(dropouts, drawn.map((act) => ({ ...act, isConsensus: false })));
    const alone = trail.sealed.filter(({ entry }) => entry.by === 'A. Reader');
    const view = { by: 'A. Reader', blinded: true };
    const { readers, hidden, ...seen } = reviewOfCase(trail.sealed, basisOf(dropouts), view);
    const { readers: _readers, hidden: none, ...own } = reviewOfCase(alone, basisOf(dropouts), view);
    expect(seen).toEqual(own);
    expect(none).toEqual([]);
    const others = standingVerdicts(trail.sealed).verdicts.some(({ reader }) => readerKey(reader) !== readerKey({ name: 'A. Reader', signedBy: null }));
    expect(hidden).toEqual(others ? ['B. Reader'] : []);
    expect(hidden.filter((name) => !readers.includes(name))).toEqual([]);
  }));
});

test('a queue holds every dropout of every case once, in any order', () => {
  fc.assert(fc.property(fc.array(analyses, { maxLength: 6 }), fc.nat(0xffffffff), (lists, seed) => {
    const cases = lists.map((dropouts, i) => ({ basis: basisOf(dropouts, { caseKey: `key ${i}`, caseId: `case ${i % 2}` }), read: new Set<string>() }));
    const names = (queue: ReturnType<typeof reviewQueue>) => queue.map(({ caseKey, siteKey, dropoutId }) => JSON.stringify([caseKey, siteKey, dropoutId])).sort();
    const all = names(reviewQueue(cases, { kind: 'case by case' }));
    expect(new Set(all).size).toBe(lists.flat().length);
    expect(names(reviewQueue(cases, { kind: 'worst first' }))).toEqual(all);
    expect(names(reviewQueue(cases, { kind: 'random sample', seed, size: 1000 }))).toEqual(all);
    for (const order of [{ kind: 'worst first' }, { kind: 'random sample', seed, size: 5 }] as const) expect(reviewQueue([...cases].reverse(), order)).toEqual(reviewQueue(cases, order));
  }));
});

/** Something that somebody does to a trail that is kept. */
const tampering = fc.record({ how: fc.constantFrom('change a letter', 'change the hash', 'take out', 'move', 'repeat', 'empty'), at: fc.nat(), to: fc.nat(), letter: fc.nat() });

test('whatever is done to one entry of a kept trail is found, with the head that was noted apart', () => {
  fc.assert(fc.property(analyses, acts, tampering, (dropouts, drawn, { how, at, to, letter }) => {
    const { kept, sealed } = play(dropouts, drawn).trail;
    fc.pre(kept.length > 1);
    const last = sealed.at(-1)!;
    const options = { head: { place: last.entry.place, hash: last.hash }, noted: null, sha256 };
    expect(checkTrail(kept, options).problems).toEqual([]);
    const i = at % kept.length;
    const victim = kept[i]!;
    const text = victim.text ?? '';
    const turned = (whole: string): string => {
      const j = letter % whole.length;
      return whole.slice(0, j) + (whole[j] === '1' ? '2' : '1') + whole.slice(j + 1);
    };
    const rest = kept.filter((_, k) => k !== i);
    const j = to % kept.length;
    const tampered: readonly KeptEntry[] = {
      'change a letter': kept.with(i, { ...victim, text: turned(text) }),
      'change the hash': kept.with(i, { ...victim, hash: turned(victim.hash) }),
      'take out': rest,
      'move': [...rest.slice(0, j), victim, ...rest.slice(j)],
      'repeat': [...kept.slice(0, j), victim, ...kept.slice(j)],
      'empty': kept.with(i, { text: null, hash: '' }),
    }[how];
    if (how === 'move') fc.pre(i !== j);
    expect(checkTrail(tampered, options).problems.length).toBeGreaterThan(0);
  }));
});
