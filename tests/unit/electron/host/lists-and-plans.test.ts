import { mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { DEFAULT_NEXT_STUDY, type NextStudyOptions } from '../../../../core/model/next-study.ts';
import { HOST_METHODS } from '../../../../core/protocol/host-api-schema.ts';
import type { HostEvent } from '../../../../core/protocol/host-api.ts';
import { analyzeCase } from '../../../../core/pipeline/analyze-case.ts';
import { parseProtocol } from '../../../../core/persist/protocol-file.ts';
import { nextStudyStatement } from '../../../../core/report/next-study-statement.ts';
import { openFolderStore } from '../../../../electron/host/folder-case-store.ts';
import { createHost, type Host } from '../../../../electron/host/host.ts';
import { protocolDigest } from '../../../../electron/host/study-protocols.ts';
import { buildProtocolContent } from '../../../builders/protocol-content.ts';
import { bodyOf, buildStandInPool } from '../../../builders/stand-in-pool.ts';
import { buildTwoSensorCase } from '../../../builders/two-sensor-case.ts';

let folder = '';
let host: Host;
let events: HostEvent[] = [];
const FIXED_AT = new Date(Date.UTC(2031, 4, 6, 7, 8, 9));

beforeEach(async () => {
  folder = await mkdtemp(join(tmpdir(), 'lacuna-lists-'));
  const store = await openFolderStore(join(folder, 'library'));
  for (const one of [buildTwoSensorCase('L-1', [60, 72], [200, 206]), buildTwoSensorCase('L-2', [100, 109], [300, 304]), buildTwoSensorCase('L-3', [10, 40], [60, 60])]) await store.save(one, null);
  events = [];
  host = createHost({ store, productVersion: '1.2.3', door: 'browser', casesAtOnce: 2, samplesFolder: folder, startPool: () => buildStandInPool({ analyze: (one, parameters) => Promise.resolve(analyzeCase(one, parameters, '1.2.3')) }), now: () => FIXED_AT });
  host.onEvent((event) => events.push(event));
  await host.saveParameters({ parameters: await host.getParameters() });
});
afterEach(async () => {
  await host.close();
  await rm(folder, { recursive: true, force: true });
});

describe('a staged list of cases', () => {
  it('is held against the library, and the same stands in its table', async () => {
    const { importId } = await host.beginImport();
    await host.stageFile(importId, 'list.csv', bodyOf('case\nL-1\nl2\nL-9\n'));
    const args = { importId, file: 'list.csv', asked: null };
    const { result, asked } = HOST_METHODS.reconcileCaseList.reply.parse(await host.reconcileCaseList(args));
    expect(result.rows.map(({ state }) => state)).toEqual(['matched', 'to be decided', 'missing']);
    expect(result.cases.map(({ caseId, state }) => [caseId, state])).toEqual([['L-3', 'not in the list']]);
    const { text } = await host.caseListText(args);
    expect(text.split('\r\n')[0]).toBe('list_row,list_case,list_date,state,reason,case_id,case_date,proposed,decision');
    expect(text).toContain('\r\n3,l2,,to be decided,"the identifier is written otherwise: letter case, blanks and marks",,,L-2,\r\n');
    expect(text).toContain('\r\n,,,not in the list,,L-3,');
    await expect(host.reconcileCaseList({ ...args, file: 'other.csv' })).rejects.toMatchObject({ code: 'file-missing' });
    // What a person decides is kept for this content, whatever the file is called next time.
    const [proposed] = result.rows[1]!.proposals;
    await host.reconcileCaseList({ ...args, asked: { ...asked, decisions: [{ line: 3, caseKey: proposed!.caseKey }] } });
    const again = await host.beginImport();
    await host.stageFile(again.importId, 'copy.csv', bodyOf('case\nL-1\nl2\nL-9\n'));
    expect((await host.reconcileCaseList({ importId: again.importId, file: 'copy.csv', asked: null })).result.rows.map(({ decision }) => decision)).toEqual([null, 'accepted', null]);
    expect(await readFile(join(folder, 'library', 'case-lists.json'), 'utf8')).not.toContain('l2');
    await host.endImport({ importId });
    await expect(host.reconcileCaseList(args)).rejects.toMatchObject({ code: 'import-over' });
    expect(await host.listLedger()).toEqual([]);
  });
});

describe('a plan from the library', () => {
  const options = { ...DEFAULT_NEXT_STUDY, firstKey: 'finger', secondKey: 'ear lobe', sizes: [10, 20], draws: 200, wantedPower: null };

  it('is drawn from the cases’ own losses, with progress', async () => {
    const keys = (await host.listCases()).map(({ caseKey }) => caseKey);
    const planned = HOST_METHODS.planStudy.reply.parse(await host.planStudy({ jobId: 'ab'.repeat(16), caseKeys: [...keys, keys[0]!, 'f'.repeat(32)], options }));
    expect(planned).toMatchObject({ cases: 3, leftOut: [{ caseKey: 'f'.repeat(32) }] });
    // Of 3600 s: 120, 90 and 300 s at the finger; 60 and 40 s at the ear. Runs of n samples at 10 s last 10 n s in the middle estimate.
    expect(planned.study.first!.mean).toBeCloseTo((120 + 90 + 300) / 3 / 3600, 9);
    expect(planned.study.second!.mean).toBeCloseTo((60 + 40 + 0) / 3 / 3600, 9);
    expect(planned.study.observed).toBeCloseTo(100 / 510, 9);
    expect(planned.study.sizes.map(({ n }) => n)).toEqual([10, 20]);
    expect(events.filter((event) => event.kind === 'study-progress').map(({ stage }) => stage)).toEqual(expect.arrayContaining(['reading', 'drawing']));
    const { text } = await host.nextStudyText({ study: planned.study });
    expect(text.split('\r\n').length).toBe(4);
    expect(await host.cancelStudy({ jobId: 'ab'.repeat(16) })).toEqual({ cancelled: false });
  });

  it('counts confirmed dropouts where those are asked for, and says how many wait to be read', async () => {
    const lines = await host.listCases();
    const keys = lines.map(({ caseKey }) => caseKey);
    // The loss of 300 s at the finger of L-3 is confirmed; nothing else was read.
    const { caseKey } = lines.find(({ caseId }) => caseId === 'L-3')!;
    const { dropouts } = await host.readReview({ caseKey, by: null, blinded: false });
    await host.giveVerdict({ caseKey, dropoutId: dropouts.find(({ siteKey }) => siteKey === 'finger')!.dropoutId, by: 'Ada', blinded: true, judgement: { verdict: 'motion', certainty: 'certain', note: '', correctedBounds: null } });
    const plan = async (asked: NextStudyOptions) => HOST_METHODS.planStudy.reply.parse(await host.planStudy({ jobId: 'ab'.repeat(16), caseKeys: keys, options: asked }));
    const [computed, confirmed] = [await plan(options), await plan({ ...options, dropouts: 'confirmed' })];
    expect([computed.study.first!.mean, confirmed.study.first!.mean].map((mean) => Math.round(mean * 3 * 3600))).toEqual([510, 300]);
    expect([computed.notReviewed, confirmed.notReviewed]).toEqual([4, 4]);
    expect(confirmed.study.options.dropouts).toBe('confirmed');
    expect(nextStudyStatement(confirmed)).toContain('Only dropouts that readers confirmed count. 4 dropouts of these cases wait to be read and count as none');
    expect(nextStudyStatement(computed)).not.toContain('readers confirmed');
  });
});

describe('protocols', () => {
  const content = buildProtocolContent();

  it('are fixed once; a change is a version of its own, for a reason, and both are kept', async () => {
    const [first] = await host.fixProtocol({ content, before: null });
    expect(first).toMatchObject({ isIntact: true, protocol: { version: 1, reason: '', fixedAt: '2031-05-06T07:08:09.000Z', productVersion: '1.2.3', parameters: content.parameters } });
    const { protocolId } = first!.protocol;
    const changed = { ...content, n: 60 };
    await expect(host.fixProtocol({ content: changed, before: { protocolId, reason: ' ' } })).rejects.toMatchObject({ code: 'no-reason' });
    await expect(host.fixProtocol({ content, before: { protocolId, reason: 'why not' } })).rejects.toMatchObject({ code: 'nothing-changed' });
    await expect(host.fixProtocol({ content, before: { protocolId: '0'.repeat(16), reason: 'x' } })).rejects.toMatchObject({ code: 'protocol-missing' });
    const both = await host.fixProtocol({ content: changed, before: { protocolId, reason: 'More cases can be had.' } });
    expect(both.map(({ protocol: { version, n, reason } }) => [version, n, reason])).toEqual([[1, 40, ''], [2, 60, 'More cases can be had.']]);
    expect(await host.listProtocols()).toEqual(both);
    const { text } = await host.protocolText({ protocolId, version: 2, form: 'markdown' });
    expect(text).toContain('Reason for this version: More cases can be had.');
    expect(text).toContain('| minDurationS | 30 |');
    const file = parseProtocol(JSON.parse((await host.protocolText({ protocolId, version: 1, form: 'json' })).text));
    expect(file).toEqual({ ok: true, value: first!.protocol });
    expect(protocolDigest(first!.protocol)).toBe(first!.protocol.digest);
  });

  it('that were changed outside the program are told from those that were not', async () => {
    await host.fixProtocol({ content, before: null });
    const path = join(folder, 'library', 'protocols.json');
    await writeFile(path, (await readFile(path, 'utf8')).replace('"minDurationS": 30', '"minDurationS": 60'));
    expect((await host.listProtocols()).map(({ isIntact }) => isIntact)).toEqual([false]);
    await writeFile(path, '{"schema":"lacuna-protocols/1","proto');
    await expect(host.fixProtocol({ content, before: null })).rejects.toMatchObject({ code: 'protocols-damaged' });
    expect(await readFile(path, 'utf8')).toContain('"proto');
  });
});
