import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, test, vi } from 'vitest';
import type { Judgement, SealedEntry } from '../../../../core/model/review.ts';
import { FailureError } from '../../../../core/protocol/failure-error.ts';
import type { HostEvent } from '../../../../core/protocol/host-api.ts';
import type { CaseStore } from '../../../../electron/host/case-store.ts';
import { createHost } from '../../../../electron/host/host.ts';
import type { Host } from '../../../../electron/host/host.ts';
import { LIBRARY_KINDS } from '../../../builders/library-kinds.ts';
import { bodyOf, buildStandInPool } from '../../../builders/stand-in-pool.ts';
import type { StandInPool } from '../../../builders/stand-in-pool.ts';
import { buildCaseAnalysis, buildCaseRecord, buildDropout } from '../../../builders/stored-case.ts';

const MOTION: Judgement = { verdict: 'motion', certainty: 'probable', note: 'arm moved', correctedBounds: null };
const NO_LOSS: Judgement = { verdict: 'no loss', certainty: 'certain', note: '', correctedBounds: null };
const [FIRST, SECOND] = [buildDropout(), buildDropout({ dropoutId: 'finger-100000', number: 2, lastGoodMs: 99_000, firstLostMs: 100_000, lastLostMs: 190_000, firstGoodMs: 191_000, lostMs: { low: 90_000, mid: 91_000, high: 92_000 } })];
const [D1, D2] = [FIRST.dropoutId, SECOND.dropoutId];

describe.each(LIBRARY_KINDS)('reviews in a library that is $kind', ({ open }) => {
  let folder = '';
  let store: CaseStore;
  let host: Host;
  let pool: StandInPool;
  let events: HostEvent[] = [];
  let clock = Date.UTC(2031, 2, 4, 10);

  async function start(over: Parameters<typeof buildStandInPool>[0] = {}): Promise<void> {
    store = await open(join(folder, 'library.lacuna'));
    pool = buildStandInPool({ analyze: async (record, parameters) => buildCaseAnalysis([FIRST, SECOND], { caseId: record.caseId, parameters }), ...over });
    events = [];
    host = createHost({ store, productVersion: '1.2.3', door: 'browser', casesAtOnce: 2, samplesFolder: folder, startPool: () => pool, now: () => new Date((clock += 1000)) });
    host.onEvent((event) => events.push(event));
  }
  async function restart(over: Parameters<typeof buildStandInPool>[0] = {}): Promise<void> {
    await host.close();
    await start(over);
  }
  async function stored(...names: string[]): Promise<string[]> {
    const { importId } = await host.beginImport();
    for (const [i, name] of names.entries()) await host.stageFile(importId, `${name}/x.csv`, bodyOf(`${name} ${i}`));
    await host.runImport({ importId, overrules: [], zone: null, mapping: null });
    await host.endImport({ importId });
    const lines = await host.listCases();
    return names.map((name) => lines.find(({ caseId }) => caseId === name)!.caseKey);
  }
  beforeEach(async () => {
    folder = await mkdtemp(join(tmpdir(), 'lacuna-reviews-'));
    await start();
  });
  afterEach(async () => {
    await host.close();
    await rm(folder, { recursive: true, force: true });
  });

  const give = (caseKey: string, by: string, dropoutId: string, judgement: Judgement, blinded = false) => host.giveVerdict({ caseKey, by, dropoutId, judgement, blinded });
  /** What is in the trail about a case, in its order. */
  const history = async (caseKey: string): Promise<SealedEntry[]> =>
    (await host.listTrail({ before: null, limit: 1000, by: null, blinded: false })).entries.flatMap(({ entry, hash }) => (entry.caseKey === caseKey && entry.kind !== 'kept back' ? [{ entry, hash }] : [])).reverse();
  const kinds = (entries: readonly SealedEntry[]): string[] => entries.map(({ entry }) => `${entry.place} ${entry.kind} ${entry.by}`);

  test('a verdict is there for the next program, with who, when and on which analysis', async () => {
    const [caseKey] = await stored('A');
    const review = await give(caseKey!, 'Ada', D1, MOTION);
    expect(review.dropouts.map(({ dropoutId, outcome, verdict }) => [dropoutId, outcome, verdict])).toEqual([[D1, 'confirmed', 'motion'], [D2, 'not reviewed', null]]);
    expect(events.filter((event) => event.kind === 'reviews-changed')).toEqual([{ kind: 'reviews-changed', caseKey }]);
    await restart();
    const again = await host.readReview({ caseKey: caseKey!, by: 'Ada', blinded: false });
    expect(again).toEqual(review);
    const [sealed] = await history(caseKey!);
    expect(sealed?.entry).toMatchObject({
      place: 1, previous: '', by: 'Ada', at: expect.stringMatching(/^2031-03-04T10:/) as string, productVersion: '1.2.3', kind: 'verdict', caseId: 'A', role: 'reading', isBlinded: true, supersedes: null,
      anchor: { siteKey: 'finger', dropoutId: D1, lastGoodMs: 1000, firstLostMs: 2000, lastLostMs: 31_000, firstGoodMs: 32_000 },
      judgement: MOTION, seen: { parametersDigest: expect.stringMatching(/^[0-9a-f]{64}$/) as string, inputDigests: ['ab'.repeat(32)] },
    });
    expect(await host.checkTrail({ head: sealed!.hash })).toEqual({ entries: 1, head: sealed!.hash, problems: [] });
  });

  test('figures on confirmed dropouts count what a reader may see: others’ verdicts only once they are shown', async () => {
    const [caseKey] = await stored('A');
    const parameters = await host.getParameters();
    const counts = async (by: string | null, blinded: boolean) => {
      const figures = await host.confirmedFigures({ caseKey: caseKey!, parameters, by, blinded });
      return figures === null ? null : [figures.all.confirmed, figures.all.refuted, figures.all.disputed, figures.all.notReviewed];
    };
    expect(await counts('Ada', true)).toBeNull();
    await give(caseKey!, 'Ada', D1, MOTION, true);
    expect([await counts('Ada', true), await counts('Ben', true), await counts(null, false)]).toEqual([[1, 0, 0, 1], null, [1, 0, 0, 1]]);
    await give(caseKey!, 'Ben', D1, NO_LOSS, true);
    expect([await counts('Ada', true), await counts('Ben', true), await counts(null, false)]).toEqual([[1, 0, 0, 1], [0, 1, 0, 1], [0, 0, 1, 1]]);
    await host.revealCase({ caseKey: caseKey!, by: 'Ben' });
    expect([await counts('Ada', true), await counts('Ben', true)]).toEqual([[1, 0, 0, 1], [0, 0, 1, 1]]);
    // Whoever was given figures with nothing hidden has seen what others said: no blinded reading any more.
    await counts('Cleo', false);
    const review = await give(caseKey!, 'Cleo', D2, MOTION, true);
    expect(review.dropouts[1]?.verdicts.map(({ by, isBlinded }) => [by, isBlinded])).toEqual([['Cleo', false]]);
    await expect(host.confirmedFigures({ caseKey: 'none', parameters, by: 'Ada', blinded: true })).rejects.toMatchObject({ code: 'case-missing' });
  });

  test('a second verdict of a reader takes the place of the first; taken back, the first is in force again, then none', async () => {
    const [caseKey] = await stored('A');
    const place = { caseKey: caseKey!, by: 'Ada', dropoutId: D1, blinded: false };
    await give(caseKey!, 'Ada', D1, MOTION);
    expect((await give(caseKey!, 'Ada', D1, NO_LOSS)).dropouts[0]).toMatchObject({ outcome: 'refuted', verdicts: [{ judgement: NO_LOSS }] });
    expect((await host.takeVerdictBack(place)).dropouts[0]).toMatchObject({ outcome: 'confirmed', verdicts: [{ judgement: MOTION }] });
    expect((await host.takeVerdictBack(place)).dropouts[0]).toMatchObject({ outcome: 'not reviewed', verdicts: [] });
    await expect(host.takeVerdictBack(place)).rejects.toMatchObject({ code: 'verdict-missing', remedy: expect.any(String) as string });
    expect(kinds(await history(caseKey!))).toEqual(['1 verdict Ada', '2 verdict Ada', '3 taken back Ada', '4 taken back Ada']);
  });

  test('what cannot be a verdict is refused with a remedy, and nothing is written', async () => {
    const [caseKey] = await stored('A');
    const bounds = (lastGoodMs: number) => ({ lastGoodMs, firstLostMs: 2500, lastLostMs: 30_000, firstGoodMs: 31_000 });
    const refused: [Promise<unknown>, string][] = [
      [give(caseKey!, '  ', D1, MOTION), 'no-reader'],
      [give(caseKey!, 'Ada\nLovelace', D1, MOTION), 'no-reader'],
      [give(caseKey!, 'x'.repeat(61), D1, MOTION), 'no-reader'],
      [give('f'.repeat(32), 'Ada', D1, MOTION), 'case-missing'],
      [give(caseKey!, 'Ada', 'finger-3000', MOTION), 'dropout-missing'],
      [give(caseKey!, 'Ada', D1, { ...MOTION, certainty: null }), 'certainty-missing'],
      [give(caseKey!, 'Ada', D1, { ...MOTION, verdict: 'cannot tell' }), 'certainty-missing'],
      [give(caseKey!, 'Ada', D1, { ...MOTION, correctedBounds: bounds(3000) }), 'bounds-out-of-order'],
      [host.giveConsensus({ caseKey: caseKey!, by: 'Ada', dropoutId: D1, judgement: MOTION }), 'nothing-to-settle'],
      [host.placeVerdict({ caseKey: caseKey!, by: 'Ada', dropoutId: D1, entryId: 'ab'.repeat(16), blinded: false }), 'verdict-missing'],
    ];
    for (const [call, code] of refused) await expect(call).rejects.toMatchObject({ code, remedy: expect.stringMatching(/\.$/) as string });
    expect(await host.listTrail({ before: null, limit: 10, by: null, blinded: false })).toEqual({ entries: [], total: 0 });
    expect((await give(caseKey!, 'Ada', D1, { ...MOTION, correctedBounds: bounds(1500) })).dropouts[0]!.correctedBounds).toEqual(bounds(1500));
    expect((await give(caseKey!, ' Ada ', D2, { verdict: 'cannot tell', certainty: null, note: '', correctedBounds: null })).dropouts[1]!.outcome).toBe('cannot tell');
  });

  test('what others said is kept from a blinded reader in every answer until the case is read or revealed', async () => {
    const [caseKey] = await stored('A');
    const key = caseKey!;
    await give(key, 'Ada', D1, MOTION);
    await host.flagCase({ caseKey: key, by: 'Ada', flags: ['worth discussing'], note: 'secret note', blinded: false });
    const answers = [
      await host.readReview({ caseKey: key, by: 'Bo', blinded: true }),
      await give(key, 'Bo', D1, NO_LOSS, true),
      await host.flagCase({ caseKey: key, by: 'Bo', flags: [], note: '', blinded: true }),
      await host.takeVerdictBack({ caseKey: key, by: 'Bo', dropoutId: D1, blinded: true }),
      await give(key, 'Bo', D1, NO_LOSS, true),
      events,
    ];
    for (const answer of answers) expect(JSON.stringify(answer)).not.toMatch(/motion|arm moved|secret note|worth discussing/);
    expect(answers[0]).toMatchObject({ hidden: ['Ada'], isRevealed: false });
    const revealed = await host.revealCase({ caseKey: key, by: 'Bo' });
    expect(revealed.dropouts[0]).toMatchObject({ outcome: 'disputed', verdicts: [{ by: 'Ada', isBlinded: true }, { by: 'Bo', isBlinded: true }] });
    await host.revealCase({ caseKey: key, by: 'Bo' });
    expect((await host.readReview({ caseKey: key, by: 'Bo', blinded: true })).hidden).toEqual([]);
    expect((await give(key, 'Bo', D2, MOTION, true)).dropouts[1]!.verdicts[0]).toMatchObject({ by: 'Bo', isBlinded: false });
    expect(kinds(await history(key)).filter((one) => one.includes('revealed'))).toEqual(['7 revealed Bo']);
    expect((await host.readReview({ caseKey: key, by: 'Cy', blinded: true })).hidden).toEqual(['Ada', 'Bo']);
    const read = await host.markCaseRead({ caseKey: key, by: 'Cy', blinded: true });
    expect([read.hidden, read.readBy]).toEqual([[], ['Cy']]);
    expect((await history(key)).at(-1)?.entry).toMatchObject({ kind: 'case read', unread: 2 });
  });

  test('a reader who looked at others\' verdicts without revealing them is no blinded reader afterwards', async () => {
    const [caseKey] = await stored('A');
    await give(caseKey!, 'Ada', D1, MOTION);
    await host.readReview({ caseKey: caseKey!, by: 'Bo', blinded: false });
    expect((await give(caseKey!, 'Bo', D2, MOTION, true)).dropouts[1]!.verdicts[0]!.isBlinded).toBe(false);
    await restart();
    expect((await give(caseKey!, 'Bo', D1, MOTION, true)).dropouts[0]!.verdicts.map(({ by, isBlinded }) => [by, isBlinded])).toEqual([['Ada', true], ['Bo', false]]);
  });

  test('that a reader was shown what others said is in the trail, once, and holds after a restart without a verdict in between', async () => {
    const [a, b] = await stored('A', 'B');
    await give(a!, 'Ada', D1, MOTION, true);
    for (const blinded of [true, false, false]) await host.readReview({ caseKey: a!, by: 'Bo', blinded });
    await host.readReview({ caseKey: b!, by: 'Bo', blinded: false }); // nobody said anything of it
    await host.readReview({ caseKey: a!, by: null, blinded: false });
    await host.listDisagreements({ jobId: 'ab'.repeat(8), by: 'Cy', blinded: false }); // readers differ on nothing: nothing was shown
    expect(kinds(await history(a!))).toEqual(['1 verdict Ada', '2 revealed Bo']);
    expect(events.filter((event) => event.kind === 'reviews-changed')).toHaveLength(2);
    await restart();
    expect((await give(a!, 'Bo', D2, NO_LOSS, true)).dropouts[1]!.verdicts.map(({ by, isBlinded }) => [by, isBlinded])).toEqual([['Bo', false]]);
    await give(a!, 'Dan', D1, NO_LOSS, true);
    await host.listDisagreements({ jobId: 'ab'.repeat(8), by: 'Cy', blinded: false });
    await host.confirmedFigures({ caseKey: a!, parameters: await host.getParameters(), by: 'Eve', blinded: false });
    expect(kinds(await history(a!)).slice(2)).toEqual(['3 verdict Bo', '4 verdict Dan', '5 revealed Cy', '6 revealed Eve']);
    // A trail that cannot be written keeps nobody from looking; that they looked is known until the program ends.
    const refuse = vi.spyOn(store.reviews, 'add').mockRejectedValueOnce(new FailureError({ code: 'disk-full', message: 'The disk is full.' }));
    expect((await host.readReview({ caseKey: a!, by: 'Fay', blinded: false })).dropouts[0]!.outcome).toBe('disputed');
    expect(refuse).toHaveBeenCalledOnce();
    expect((await give(a!, 'Fay', D2, MOTION, true)).dropouts[1]!.verdicts.map(({ by, isBlinded }) => [by, isBlinded])).toEqual([['Fay', false]]);
  });

  test('verdicts that are not in force any more are told with what ended them and when, and to a blinded reader the own ones alone', async () => {
    const [caseKey] = await stored('A');
    await give(caseKey!, 'Ada', D1, MOTION, true);
    await give(caseKey!, 'Ada', D1, NO_LOSS, true);
    await give(caseKey!, 'Bo', D1, MOTION, true);
    const { earlier } = await host.takeVerdictBack({ caseKey: caseKey!, by: 'Bo', dropoutId: D1, blinded: true });
    expect(earlier.map(({ by, judgement, ended, dropoutId, state }) => [by, judgement.verdict, ended, dropoutId, state])).toEqual([['Bo', 'motion', 'taken back', D1, 'same']]);
    const all = await host.readReview({ caseKey: caseKey!, by: null, blinded: false });
    expect(all.earlier.map(({ by, ended }) => [by, ended])).toEqual([['Ada', 'superseded'], ['Bo', 'taken back']]);
    expect(all.earlier[0]!.endedAt).toBe(all.dropouts[0]!.verdicts[0]!.at);
    expect((await host.readReview({ caseKey: caseKey!, by: null, blinded: true })).earlier).toEqual([]);
  });

  test('two readers come to a consensus that stands beside their readings', async () => {
    const [caseKey] = await stored('A');
    await give(caseKey!, 'Ada', D1, MOTION);
    const second = await give(caseKey!, 'Bo', D1, NO_LOSS);
    expect(second.dropouts[0]!.outcome).toBe('disputed');
    const settled = await host.giveConsensus({ caseKey: caseKey!, by: 'Bo', dropoutId: D1, judgement: MOTION });
    expect(settled.dropouts[0]).toMatchObject({ outcome: 'confirmed', verdict: 'motion' });
    expect(settled.dropouts[0]!.verdicts.map(({ by, role, settles }) => [by, role, settles.length])).toEqual([['Ada', 'reading', 0], ['Bo', 'reading', 0], ['Bo', 'consensus', 2]]);
    expect((await host.takeVerdictBack({ caseKey: caseKey!, by: 'Bo', dropoutId: D1, blinded: false })).dropouts[0]!.outcome).toBe('disputed');
  });

  test('verdicts stay when the analysis is another, are told apart, and can be placed by their reader', async () => {
    const [caseKey] = await stored('A');
    await give(caseKey!, 'Ada', D1, MOTION);
    await give(caseKey!, 'Ada', D2, MOTION);
    const later = [buildDropout({ dropoutId: 'finger-120000', lastGoodMs: 119_000, firstLostMs: 120_000, lastLostMs: 190_000, firstGoodMs: 191_000 })];
    await restart({ analyze: async (record, parameters) => buildCaseAnalysis(later, { caseId: record.caseId, parameters }) });
    await host.saveParameters({ parameters: { ...(await host.getParameters()), minDurationS: 60 } });
    const today = await host.readReview({ caseKey: caseKey!, by: null, blinded: false });
    expect(today.dropouts.map(({ dropoutId, verdicts }) => [dropoutId, verdicts.map(({ state, sawAnother }) => [state, sawAnother])])).toEqual([['finger-120000', [['moved', true]]]]);
    expect(today.without.map(({ state, dropoutId }) => [state, dropoutId])).toEqual([['without a dropout', null]]);
    const entryId = today.without[0]!.entryId;
    await expect(host.placeVerdict({ caseKey: caseKey!, by: 'Bo', entryId, dropoutId: 'finger-120000', blinded: false })).rejects.toMatchObject({ code: 'verdict-of-another' });
    const placed = await host.placeVerdict({ caseKey: caseKey!, by: 'Ada', entryId, dropoutId: 'finger-120000', blinded: false });
    expect([placed.without, placed.dropouts[0]!.outcome]).toEqual([[], 'confirmed']);
  });

  test('the states of all cases are told, and a queue over them in three orders', async () => {
    const [a, b] = await stored('A', 'B');
    await give(a!, 'Ada', D1, MOTION);
    await host.flagCase({ caseKey: a!, by: 'Ada', flags: ['site doubtful', 'worth discussing'], note: '', blinded: false });
    const none = { confirmed: 0, refuted: 0, cannotTell: 0, disputed: 0, without: 0, flags: [], readers: 0 };
    expect(await host.listReviewStates()).toEqual([
      { ...none, caseKey: a, dropouts: 2, confirmed: 1, notReviewed: 1, flags: ['worth discussing', 'site doubtful'], readers: 1 },
      { ...none, caseKey: b, dropouts: 2, notReviewed: 2 },
    ]);
    await give(a!, 'Ada', D2, NO_LOSS);
    expect((await host.listReviewStates())[0]).toMatchObject({ confirmed: 1, refuted: 1, notReviewed: 0 });
    const queue = async (order: Parameters<Host['reviewQueue']>[0]['order'], caseKeys: string[] | null = null) => {
      const { queue: found, leftOut } = await host.reviewQueue({ jobId: 'ab'.repeat(8), caseKeys, order, by: 'Ada' });
      expect(leftOut).toEqual([]);
      return found.map(({ caseId, dropoutId, isRead }) => `${caseId} ${dropoutId} ${String(isRead)}`);
    };
    expect(await queue({ kind: 'worst first' })).toEqual([`A ${D2} true`, `B ${D2} false`, `A ${D1} true`, `B ${D1} false`]);
    expect(await queue({ kind: 'case by case' }, [b!])).toEqual([`B ${D1} false`, `B ${D2} false`]);
    const drawn = await queue({ kind: 'random sample', seed: 7, size: 3 });
    expect([drawn.length, new Set(drawn).size]).toEqual([3, 3]);
    expect(await queue({ kind: 'random sample', seed: 7, size: 3 })).toEqual(drawn);
    expect(events.filter((event) => event.kind === 'review-progress').at(-1)).toMatchObject({ done: 2, total: 2 });
    const { queue: left, leftOut } = await host.reviewQueue({ jobId: 'ab'.repeat(8), caseKeys: ['f'.repeat(32)], order: { kind: 'worst first' }, by: 'Ada' });
    expect([left, leftOut]).toEqual([[], [{ caseKey: 'f'.repeat(32), caseId: '', reason: expect.any(String) as string }]]);
  });

  test('a queue after another start reads only cases that are not as they were, and keeps no name and nothing of a case that was removed', async () => {
    const [a, b] = await stored('Meyer-Anna', 'B', 'C');
    const queue = async (): Promise<string[]> => (await host.reviewQueue({ jobId: 'ab'.repeat(8), caseKeys: null, order: { kind: 'worst first' }, by: 'Ada' })).queue.map(({ caseId, dropoutId, lostMs }) => `${caseId} ${dropoutId} ${lostMs.mid}`);
    const readIn = async (act: () => Promise<unknown>): Promise<string[]> => {
      const readBytes = vi.spyOn(store, 'readBytes');
      await act();
      const keys = readBytes.mock.calls.map(([caseKey]) => store.lineOf(caseKey)?.caseId ?? caseKey);
      readBytes.mockRestore();
      return keys.sort();
    };
    const document = async (): Promise<string> => JSON.stringify((await store.reviewBases.read('1.2.3', (caseKey) => caseKey)).found);
    let before: string[] = [];
    expect(await readIn(async () => (before = await queue()))).toEqual(['B', 'C', 'Meyer-Anna']);
    expect(await document()).toContain(a!);
    expect(await document()).not.toContain('Meyer');
    await restart();
    expect(await readIn(async () => expect(await queue()).toEqual(before))).toEqual([]);
    await restart();
    await store.save(buildCaseRecord({ caseId: 'B', attributes: { changed: 'yes' } }), buildCaseAnalysis([FIRST], { caseId: 'B', parameters: await host.getParameters() }));
    expect(await readIn(async () => expect(await queue()).toEqual(before.filter((line) => line !== `B ${D2} 91000`)))).toEqual(['B']);
    await host.removeCase({ caseKey: a! });
    await host.listReviewStates();
    expect(await document()).not.toContain(a!);
    expect(await document()).toContain(b!);
    expect((await store.reviewBases.read('1.2.4', () => 'x')).found).toEqual([]); // another version makes its own
  });

  test('the states that a blinded reader is told hold nothing that another said, until the case is read', async () => {
    const [caseKey] = await stored('A');
    await give(caseKey!, 'Ada', D1, MOTION);
    await give(caseKey!, 'Ada', D2, NO_LOSS);
    await host.flagCase({ caseKey: caseKey!, by: 'Ada', flags: ['site doubtful'], note: '', blinded: false });
    await give(caseKey!, 'Bo', D1, NO_LOSS, true);
    const states = (by: string | null, blinded: boolean) => host.listReviewStates({ by, blinded });
    const counted = { confirmed: 0, refuted: 1, cannotTell: 0, disputed: 1, notReviewed: 0, flags: ['site doubtful'], readers: 2 };
    expect(await states('Bo', true)).toMatchObject([{ confirmed: 0, refuted: 1, disputed: 0, notReviewed: 1, flags: [], readers: 2 }]);
    // Reading is blinded, and nobody has said who reads: nobody's verdict is counted.
    expect(await states(null, true)).toMatchObject([{ confirmed: 0, refuted: 0, disputed: 0, notReviewed: 2, flags: [], readers: 2 }]);
    for (const [by, blinded] of [['Bo', false], [null, false]] as const) expect(await states(by, blinded)).toMatchObject([counted]);
    expect(await host.listReviewStates()).toMatchObject([counted]);
    await host.markCaseRead({ caseKey: caseKey!, by: 'Bo', blinded: true });
    expect(await states('Bo', true)).toMatchObject([counted]);
    await expect(states('', true)).rejects.toMatchObject({ code: 'no-reader' });
  });

  test('a queue that is cancelled says so', async () => {
    await stored('A', 'B');
    const queue = host.reviewQueue({ jobId: 'ab'.repeat(8), caseKeys: null, order: { kind: 'worst first' }, by: 'Ada' });
    expect(await host.cancelReviewWork({ jobId: 'ab'.repeat(8) })).toEqual({ cancelled: true });
    await expect(queue).rejects.toMatchObject({ code: 'cancelled' });
    expect(await host.cancelReviewWork({ jobId: 'ab'.repeat(8) })).toEqual({ cancelled: false });
  });

  test('entries of all cases make one chain, listed newest first', async () => {
    const [a, b] = await stored('A', 'B');
    await Promise.all([give(a!, 'Ada', D1, MOTION), give(b!, 'Bo', D1, MOTION), give(a!, 'Ada', D2, MOTION), give(b!, 'Bo', D2, NO_LOSS)]);
    const { entries, total } = await host.listTrail({ before: null, limit: 3, by: null, blinded: false });
    expect([entries.map(({ entry }) => entry.place), total]).toEqual([[4, 3, 2], 4]);
    expect((await host.listTrail({ before: 2, limit: 3, by: null, blinded: false })).entries.map(({ entry }) => entry.place)).toEqual([1]);
    await restart();
    expect((await host.listTrail({ before: null, limit: 3, by: null, blinded: false })).entries).toEqual(entries);
    expect(await host.checkTrail({ head: null })).toEqual({ entries: 4, head: entries[0]!.hash, problems: [] });
    expect((await host.checkTrail({ head: '0'.repeat(64) })).problems).toMatchObject([{ kind: 'head not found' }]);
  });

  test('the trail keeps from a blinded reader what others said, until the case is revealed; without blinding it is a look', async () => {
    const [a, b] = await stored('A', 'B');
    await give(a!, 'Ada', D1, MOTION);
    await give(b!, 'Ada', D1, NO_LOSS);
    await host.flagCase({ caseKey: b!, by: 'Ada', flags: [], note: 'cold hands', blinded: true });
    const listed = async (by: string | null, blinded: boolean) => (await host.listTrail({ before: null, limit: 50, by, blinded })).entries;
    const kinds = async (by: string | null, blinded: boolean) => (await listed(by, blinded)).map(({ entry }) => entry.kind);

    for (const by of ['Bo', null]) {
      const entries = await listed(by, true);
      expect(entries.map(({ entry }) => entry)).toEqual([3, 2, 1].map((place) => ({ kind: 'kept back', place, at: expect.any(String), by: 'Ada', caseKey: place === 1 ? a : b, caseId: place === 1 ? 'A' : 'B' })));
      // Nothing of what was said is in the answer, whatever field it could stand in.
      expect(JSON.stringify(entries)).not.toMatch(/motion|no loss|cold hands|finger|judgement|anchor|supersedes/);
    }
    // Own words stay, and the hashes are those of the whole trail.
    expect(await kinds('Ada', true)).toEqual(['flags', 'verdict', 'verdict']);
    expect((await listed('Bo', true)).map(({ hash }) => hash)).toEqual((await listed(null, false)).map(({ hash }) => hash));
    // Nobody's look was written down for any of these.
    expect(await kinds(null, false)).toEqual(['flags', 'verdict', 'verdict']);

    await host.revealCase({ caseKey: a!, by: 'Bo' });
    expect(await kinds('Bo', true)).toEqual(['revealed', 'kept back', 'kept back', 'verdict']);
    // Who is listed with nothing hidden has seen it: once for each reader and case.
    await listed('Cy', false);
    await listed('Cy', false);
    const looks = (await listed(null, false)).flatMap(({ entry }) => (entry.kind === 'revealed' && entry.by === 'Cy' ? [entry.caseId] : []));
    expect(looks.sort()).toEqual(['A', 'B']);
    expect(await kinds('Cy', true)).not.toContain('kept back');
  });

  test('a verdict does not wait for an import that is running', async () => {
    const [caseKey] = await stored('A');
    let letGo = (): void => undefined;
    const held = new Promise<void>((resolve) => (letGo = resolve));
    await restart({ analyze: async (record, parameters) => (await held, buildCaseAnalysis([FIRST, SECOND], { caseId: record.caseId, parameters })) });
    const { importId } = await host.beginImport();
    await host.stageFile(importId, 'B/x.csv', bodyOf('b'));
    const running = host.runImport({ importId, overrules: [], zone: null, mapping: null });
    expect((await give(caseKey!, 'Ada', D1, MOTION)).dropouts[0]!.outcome).toBe('confirmed');
    letGo();
    await running;
  });

  const acts = async (): Promise<string[][]> =>
    (await host.listTrail({ before: null, limit: 100, by: null, blinded: false })).entries.flatMap(({ entry }) => (entry.kind === 'act' ? [[entry.act, entry.by, entry.detail]] : [])).reverse();

  test('what is done to the library is in the trail, by whom, and without a name of a case or a file', async () => {
    const [caseKey] = await stored('Secretname');
    await give(caseKey!, 'Ada', D1, MOTION);
    await host.saveParameters({ parameters: { ...(await host.getParameters()), minDurationS: 45 }, by: 'Ada' });
    await host.saveParameters({ parameters: await host.getParameters() });
    await host.setClockOffset({ caseKey: caseKey!, sourceIndex: 0, offsetMs: 84_000, isProposal: false, by: 'a\nb' });
    expect(await host.removeCase({ caseKey: caseKey!, by: 'Bo' })).toEqual({ removed: true });
    expect(await host.removeCase({ caseKey: caseKey!, by: 'Bo' })).toEqual({ removed: false });
    expect(await acts()).toEqual([
      ['parameters changed', 'Ada', expect.stringMatching(/^minDurationS 30 → 45; digest [0-9a-f]{64}$/)],
      ['clock set', 'this computer', 'source 1: 0 ms → 84000 ms'],
      ['case removed', 'Bo', expect.stringMatching(/^what was said of it stays; verdicts in force: 1 \(/)],
    ]);
    expect(JSON.stringify(await acts())).not.toMatch(/Secretname|x\.csv|trends/);
    await expect(host.readReview({ caseKey: caseKey!, by: null, blinded: false })).rejects.toMatchObject({ code: 'case-missing' });
    expect((await history(caseKey!)).map(({ entry }) => entry.kind)).toEqual(['verdict', 'act', 'act']);
    expect(await stored('Secretname')).toEqual([caseKey]);
    expect((await host.readReview({ caseKey: caseKey!, by: null, blinded: false })).dropouts[0]!.verdicts).toHaveLength(1);
    expect((await host.checkTrail({ head: null })).problems).toEqual([]);
  });

  test('of a case that an import reads otherwise the verdicts are told before, stay, and the trail says what became of them', async () => {
    const [caseKey] = await stored('A');
    await give(caseKey!, 'Ada', D1, MOTION);
    await give(caseKey!, 'Ada', D2, MOTION);
    await restart({
      read: async (files) => files.map(({ folderName }) => buildCaseRecord({ caseId: folderName, attributes: { service: 'other' } })),
      analyze: async (record, parameters) => buildCaseAnalysis([FIRST], { caseId: record.caseId, parameters }),
    });
    const { importId } = await host.beginImport();
    await host.stageFile(importId, 'A/x.csv', bodyOf('updated'));
    await host.runImport({ importId, overrules: [], zone: null, mapping: null });
    const comparison = await host.compareChange({ importId, caseKey: caseKey! });
    expect(comparison.reviews).toEqual({ verdicts: 2, same: 1, moved: 0, split: 0, joined: 0, withoutDropout: 1 });
    await host.decideChanges({ importId, decisions: [{ caseKey: caseKey!, decision: 'replace', storeAs: null }], by: 'Bo' });
    expect((await host.readReview({ caseKey: caseKey!, by: null, blinded: false })).without).toHaveLength(1);
    await host.decideChanges({ importId, decisions: [{ caseKey: caseKey!, decision: 'keep old', storeAs: null }] });
    expect((await host.readReview({ caseKey: caseKey!, by: null, blinded: false })).without).toHaveLength(0);
    expect(await acts()).toEqual([
      ['case replaced', 'Bo', expect.stringMatching(/^by a new reading; inputs [0-9a-f]{12} → [0-9a-f]{12}; verdicts in force: 2 \(1 at the same dropout, 1 without a dropout\)$/)],
      ['case replaced', 'this computer', expect.stringMatching(/^the earlier reading was put back; .*2 at the same dropout\)$/)],
    ]);
    await host.endImport({ importId });
  });

  test('a verdict that is placed by hand after the case’s origin moved keeps its bounds at the times that its reader read', async () => {
    const [caseKey] = await stored('A');
    await give(caseKey!, 'Ada', D1, { ...MOTION, correctedBounds: { lastGoodMs: 1000, firstLostMs: 2000, lastLostMs: 39_000, firstGoodMs: 40_000 } });
    const record = buildCaseRecord();
    const later = buildDropout({ dropoutId: 'finger-44000', lastGoodMs: 43_000, firstLostMs: 44_000, lastLostMs: 60_000, firstGoodMs: 61_000 });
    await restart({
      read: async (files) => files.map(({ folderName }) => buildCaseRecord({ caseId: folderName, origin: { ...record.origin, epochMs: record.origin.epochMs! - 10_000 } })),
      analyze: async (read, parameters) => buildCaseAnalysis([later], { caseId: read.caseId, parameters }),
    });
    const { importId } = await host.beginImport();
    await host.stageFile(importId, 'A/x.csv', bodyOf('begins ten seconds earlier'));
    await host.runImport({ importId, overrules: [], zone: null, mapping: null });
    await host.decideChanges({ importId, decisions: [{ caseKey: caseKey!, decision: 'replace', storeAs: null }] });
    await host.endImport({ importId });
    const [lost] = (await host.readReview({ caseKey: caseKey!, by: null, blinded: false })).without;
    expect(lost).toMatchObject({ anchor: { firstLostMs: 12_000 }, judgement: { correctedBounds: { lastGoodMs: 11_000, firstGoodMs: 50_000 } } });
    const placed = await host.placeVerdict({ caseKey: caseKey!, by: 'Ada', entryId: lost!.entryId, dropoutId: 'finger-44000', blinded: false });
    expect([placed.without, placed.dropouts[0]!.correctedBounds]).toEqual([[], { lastGoodMs: 11_000, firstLostMs: 12_000, lastLostMs: 49_000, firstGoodMs: 50_000 }]);
  });

  test('what could not be done is said in the trail as well', async () => {
    const [caseKey] = await stored('A');
    const refuse = vi.spyOn(store, 'remove').mockRejectedValueOnce(new Error('refused'));
    await expect(host.removeCase({ caseKey: caseKey! })).rejects.toThrow('refused');
    expect(refuse).toHaveBeenCalledOnce();
    expect((await acts()).map(([, , detail]) => detail)).toEqual([expect.stringMatching(/^what was said/), expect.stringMatching(/^not carried out: what was said/)]);
    expect((await host.listCases()).map(({ caseId }) => caseId)).toEqual(['A']);
  });
});
