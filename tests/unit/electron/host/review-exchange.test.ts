import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { DEFAULT_AGREEMENT_OPTIONS } from '../../../../core/model/review-agreement.ts';
import type { Judgement } from '../../../../core/model/review.ts';
import type { ReviewConflict } from '../../../../core/model/reviews-file.ts';
import type { HostEvent } from '../../../../core/protocol/host-api.ts';
import { createHost } from '../../../../electron/host/host.ts';
import type { Host } from '../../../../electron/host/host.ts';
import { LIBRARY_KINDS } from '../../../builders/library-kinds.ts';
import { bodyOf, buildStandInPool } from '../../../builders/stand-in-pool.ts';
import { buildCaseAnalysis, buildDropout } from '../../../builders/stored-case.ts';

const MOTION: Judgement = { verdict: 'motion', certainty: 'probable', note: 'asked in the room', correctedBounds: null };
const NO_LOSS: Judgement = { verdict: 'no loss', certainty: 'certain', note: '', correctedBounds: null };
const DROPOUT = buildDropout();
const D1 = DROPOUT.dropoutId;
const jobId = 'ab'.repeat(16);

interface Library {
  readonly host: Host;
  readonly events: HostEvent[];
  /** Puts the one case of these tests into the library and returns its key. */
  stored(name: string): Promise<string>;
  receive(text: string, confirmed: string | null, by?: string): ReturnType<Host['receiveReviews']>;
  inspect(text: string): ReturnType<Host['inspectReviews']>;
}

describe.each(LIBRARY_KINDS)('reviews between libraries, each $kind', ({ open }) => {
  let folder = '';
  let opened: Library[] = [];
  let clock = Date.UTC(2031, 2, 4, 10);

  async function library(name: string): Promise<Library> {
    const store = await open(join(folder, `${name}.lacuna`));
    const pool = buildStandInPool({ analyze: async (record, parameters) => buildCaseAnalysis([DROPOUT], { caseId: record.caseId, parameters }) });
    const host = createHost({ store, productVersion: '1.2.3', door: 'browser', casesAtOnce: 2, samplesFolder: folder, startPool: () => pool, now: () => new Date((clock += 1000)) });
    const events: HostEvent[] = [];
    host.onEvent((event) => events.push(event));
    async function withStaged<T>(text: string, act: (importId: string) => Promise<T>): Promise<T> {
      const { importId } = await host.beginImport();
      try {
        await host.stageFile(importId, 'reviews.json', bodyOf(text));
        return await act(importId);
      } finally {
        await host.endImport({ importId });
      }
    }
    const one: Library = {
      host,
      events,
      async stored(caseId) {
        const { importId } = await host.beginImport();
        await host.stageFile(importId, `${caseId}/x.csv`, bodyOf('x'));
        await host.runImport({ importId, overrules: [], zone: null, mapping: null });
        await host.endImport({ importId });
        return (await host.listCases()).find((line) => line.caseId === caseId)?.caseKey ?? '';
      },
      receive: (text, confirmed, by = 'Berta') => withStaged(text, (importId) => host.receiveReviews({ jobId, importId, file: 'reviews.json', confirmed, label: 'the other clinic', by })),
      inspect: (text) => withStaged(text, (importId) => host.inspectReviews({ jobId, importId, file: 'reviews.json' })),
    };
    opened.push(one);
    return one;
  }

  beforeEach(async () => {
    folder = await mkdtemp(join(tmpdir(), 'lacuna-exchange-'));
    opened = [];
  });
  afterEach(async () => {
    for (const { host } of opened) await host.close();
    await rm(folder, { recursive: true, force: true });
  });

  const give = ({ host }: Library, caseKey: string, by: string, judgement: Judgement) => host.giveVerdict({ caseKey, dropoutId: D1, by, judgement, blinded: true });
  const write = ({ host }: Library, notes: 'included' | 'left out' = 'included') => host.writeReviews({ jobId, notes, by: 'Anna' });
  const everything = ({ host }: Library, caseKey: string) => host.readReview({ caseKey, by: null, blinded: false });
  const total = async ({ host }: Library) => (await host.listTrail({ before: null, limit: 1, by: null, blinded: false })).total;

  /** Two libraries with the same record under other names, each read by one reader. */
  async function two(second = 'Berta') {
    const [A, B] = [await library('a'), await library('b')];
    const [inA, inB] = [await A.stored('case here'), await B.stored('case there')];
    await give(A, inA, 'Anna', MOTION);
    await give(B, inB, second, NO_LOSS);
    return { A, B, inA, inB };
  }

  test('a second blinded reading on another machine, the disagreement, and what was agreed, go from library to library', async () => {
    const { A, B, inA, inB } = await two();
    expect(await A.host.reviewsOutlook({ jobId })).toMatchObject({ cases: 1, entries: 1, verdicts: 1, notes: 1, readers: ['Anna'], withoutContent: 0, notOwn: 0 });
    const sent = await write(A);
    expect(sent.fileName).toMatch(/^reviews-2031-03-04-[0-9a-f]{8}\.json$/);
    const looked = await B.inspect(sent.text);
    expect(looked).toMatchObject({ sender: { fingerprint: sent.fingerprint, confirmedAt: null, isOwn: false }, entries: 1, fresh: 1, known: 0, cases: 1, matched: 1, waiting: 0, readers: ['Anna'] });
    await expect(B.receive(sent.text, null)).rejects.toMatchObject({ code: 'sender-unconfirmed', message: expect.stringContaining(sent.fingerprint.slice(0, 4)) as string });
    expect((await everything(B, inB)).readers).toEqual(['Berta']);

    await B.receive(sent.text, sent.fingerprint.replace(/.{4}(?=.)/g, '$& '));
    const shown = 'Anna (received from the other clinic)';
    expect((await everything(B, inB)).dropouts[0]).toMatchObject({ outcome: 'disputed', verdicts: [{ by: shown, isBlinded: true, judgement: MOTION }, { by: 'Berta' }] });
    expect(B.events).toContainEqual({ kind: 'reviews-changed', caseKey: inB });

    const { agreement } = await B.host.reviewAgreement({ jobId, options: { ...DEFAULT_AGREEMENT_OPTIONS, replicates: 100 }, by: null, blinded: false });
    expect(agreement.pair).toMatchObject({ first: shown, second: 'Berta', common: 1, unblinded: 0 });
    expect((await B.host.agreementTexts({ agreement })).agreement).toContain('percent agreement');

    // A blinded reader is not told by tables either, before the case is read.
    const told = await B.host.reviewAgreement({ jobId, options: { ...DEFAULT_AGREEMENT_OPTIONS, replicates: 100 }, by: 'Berta', blinded: true });
    expect([told.hidden, told.agreement.pair, told.agreement.readers]).toEqual([1, null, []]);
    const differ = (by: string | null) => B.host.listDisagreements({ jobId, by, blinded: by !== null });
    expect(await differ('Berta')).toMatchObject({ disagreements: [], hidden: 1 });
    expect(await differ(null)).toMatchObject({ disagreements: [{ caseKey: inB, dropoutId: D1, state: 'disputed' }], hidden: 0 });
    await B.host.giveConsensus({ caseKey: inB, dropoutId: D1, by: 'Berta', judgement: MOTION });
    expect((await differ(null)).disagreements).toMatchObject([{ state: 'settled', agreed: [{ by: 'Berta' }] }]);

    const back = await B.host.writeReviews({ jobId, notes: 'included', by: 'Berta' });
    await A.receive(back.text, back.fingerprint, 'Anna');
    expect((await everything(A, inA)).dropouts[0]).toMatchObject({ outcome: 'confirmed', verdict: 'motion' });
    for (const { host } of [A, B]) expect((await host.checkTrail({ head: null })).problems).toEqual([]);
  });

  test('received again nothing is doubled, and the sender is known; what is new in a later file comes in', async () => {
    const { A, B, inA, inB } = await two();
    const first = await write(A);
    await B.receive(first.text, first.fingerprint);
    const before = await total(B);
    expect(await B.receive(first.text, null)).toMatchObject({ fresh: 0, known: 1, sender: { label: 'the other clinic' } });
    expect(await total(B)).toBe(before);
    await give(A, inA, 'Anna', NO_LOSS);
    const second = await write(A);
    expect(await B.receive(second.text, null)).toMatchObject({ fresh: 1, known: 1 });
    expect((await everything(B, inB)).dropouts[0]).toMatchObject({ outcome: 'refuted' });
    expect(await B.host.reviewExchange({ jobId })).toMatchObject({ files: 2, waiting: [], conflicts: [], senders: [{ fingerprint: first.fingerprint, label: 'the other clinic' }] });
  });

  test('reviews of a case that is not here are kept, and stand at it as soon as it comes', async () => {
    const [A, B] = [await library('a'), await library('b')];
    await give(A, await A.stored('case here'), 'Anna', MOTION);
    const sent = await write(A);
    expect(await B.receive(sent.text, sent.fingerprint)).toMatchObject({ matched: 0, waiting: 1 });
    expect((await B.host.reviewExchange({ jobId })).waiting).toMatchObject([{ caseId: 'case here', entries: 1, verdicts: 1 }]);
    const inB = await B.stored('case there');
    // It is joined beside whatever else the host does; the usual second is too short where many tests share the machine.
    await expect.poll(async () => (await everything(B, inB)).readers, { timeout: 20_000 }).toEqual(['Anna (received from the other clinic)']);
    expect((await B.host.reviewExchange({ jobId })).waiting).toEqual([]);
  });

  test('notes that were left out are not in the file, and come later with a file that has them', async () => {
    const { A, B, inB } = await two();
    const bare = await write(A, 'left out');
    expect(bare.text).not.toContain('asked in the room');
    await B.receive(bare.text, bare.fingerprint);
    const noteOf = async () => (await everything(B, inB)).dropouts[0]?.verdicts[0]?.judgement.note;
    expect(await noteOf()).toBe('');
    await B.receive((await write(A)).text, null);
    expect(await noteOf()).toBe('asked in the room');
    expect((await everything(B, inB)).dropouts[0]?.verdicts).toHaveLength(2);
  });

  test('a changed file is refused and nothing of it stays', async () => {
    const { A, B } = await two();
    const { text, fingerprint } = await write(A);
    const before = await total(B);
    await expect(B.receive(text.replace('"motion"', '"no loss"'), fingerprint)).rejects.toMatchObject({ code: 'reviews-file-altered' });
    await expect(B.receive(text.slice(0, -40), fingerprint)).rejects.toMatchObject({ code: 'reviews-file-unreadable' });
    expect(await total(B)).toBe(before);
    expect(await B.host.reviewExchange({ jobId })).toMatchObject({ files: 0, senders: [] });
  });

  test('the same local name on two machines is told; called one person, the two are not compared', async () => {
    const { A, B } = await two('Anna');
    const sent = await write(A);
    await B.receive(sent.text, sent.fingerprint);
    const [conflict] = (await B.host.reviewExchange({ jobId })).conflicts;
    expect(conflict).toMatchObject({ kind: 'same name', name: 'Anna', settled: null });
    const pairs = async () => (await B.host.reviewAgreement({ jobId, options: { ...DEFAULT_AGREEMENT_OPTIONS, replicates: 100 }, by: null, blinded: false })).agreement.pairs;
    expect(await pairs()).toHaveLength(1);
    const id = (conflict as ReviewConflict).conflictId;
    await expect(B.host.settleReviewConflict({ jobId, conflictId: id, choice: 'somebody', by: 'Anna' })).rejects.toMatchObject({ code: 'bad-choice' });
    expect((await B.host.settleReviewConflict({ jobId, conflictId: id, choice: 'same person', by: 'Anna' })).conflicts).toMatchObject([{ settled: { choice: 'same person', by: 'Anna' } }]);
    expect(await pairs()).toEqual([]);
    expect((await B.host.listTrail({ before: null, limit: 1, by: null, blinded: false })).entries[0]?.entry).toMatchObject({ kind: 'act', act: 'conflict settled' });
  });

  test('two libraries that agreed on different things are in dispute until a person settles it here', async () => {
    const { A, B, inA, inB } = await two();
    await give(A, inA, 'Zoe', NO_LOSS);
    await A.host.giveConsensus({ caseKey: inA, dropoutId: D1, by: 'Zoe', judgement: NO_LOSS });
    await give(B, inB, 'Carla', MOTION);
    await B.host.giveConsensus({ caseKey: inB, dropoutId: D1, by: 'Carla', judgement: MOTION });
    const sent = await write(A);
    await B.receive(sent.text, sent.fingerprint);
    expect((await B.host.listDisagreements({ jobId, by: null, blinded: false })).disagreements).toMatchObject([{ state: 'two agreements' }]);
    expect((await everything(B, inB)).dropouts[0]?.outcome).toBe('disputed');
    await B.host.giveConsensus({ caseKey: inB, dropoutId: D1, by: 'Berta', judgement: NO_LOSS });
    expect((await B.host.listDisagreements({ jobId, by: null, blinded: false })).disagreements).toMatchObject([{ state: 'settled' }]);
    expect((await everything(B, inB)).dropouts[0]?.outcome).toBe('refuted');
  });

  test('nothing was said: there is nothing to send; nobody named: nothing is written', async () => {
    const A = await library('a');
    await expect(write(A)).rejects.toMatchObject({ code: 'nothing-to-send' });
    await expect(A.host.writeReviews({ jobId, notes: 'included', by: ' ' })).rejects.toMatchObject({ code: 'no-reader' });
    expect(await total(A)).toBe(0);
  });
});
