import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import type { Mapping } from '../../../../core/model/mapping.ts';
import { DEFAULT_PARAMETERS } from '../../../../core/model/parameters.ts';
import type { SharedDefinitions } from '../../../../core/model/shared-definitions.ts';
import { createHost, type Host } from '../../../../electron/host/host.ts';
import type { CaseStore } from '../../../../electron/host/case-store.ts';
import { protocolDigest } from '../../../../electron/host/study-protocols.ts';
import { LIBRARY_KINDS } from '../../../builders/library-kinds.ts';
import { buildProtocolContent } from '../../../builders/protocol-content.ts';
import { buildStandInPool } from '../../../builders/stand-in-pool.ts';
import { buildCaseAnalysis, buildCaseRecord } from '../../../builders/stored-case.ts';

let folder = '';
let hosts: Host[] = [];
beforeEach(async () => {
  folder = await mkdtemp(join(tmpdir(), 'lacuna-share-'));
});
afterEach(async () => {
  for (const host of hosts) await host.close();
  hosts = [];
  await rm(folder, { recursive: true, force: true });
});

function hostOver(store: CaseStore): Host {
  const host = createHost({ store, productVersion: '9.9.9', door: 'browser', casesAtOnce: 1, samplesFolder: folder, now: () => new Date(Date.UTC(2031, 0, 2)), startPool: () => buildStandInPool({ read: async () => [] }) });
  hosts.push(host);
  return host;
}

const house: Mapping = {
  schema: 'lacuna-mapping/1',
  name: 'house',
  files: [
    { match: { headings: ['Zeit', 'SpO2'] }, reading: { delimiter: ';', caseId: 'Meyer, Anna', clockOffsetS: 30, columns: { SpO2: { quantity: 'spo2' } } } },
    { match: { path: 'OP3/Meyer_Anna_19500101.csv' }, reading: { zone: 'Europe/Berlin' } },
  ],
};

describe.each(LIBRARY_KINDS)('the definitions of a library that is $kind', ({ open }) => {
  test('go out without anything of a patient, and come into another library, where nothing is replaced', async () => {
    const store = await open(join(folder, 'from'));
    await store.save(buildCaseRecord({ caseId: 'SECRET-CASE' }), buildCaseAnalysis());
    await store.ledger.append({ schema: 'lacuna-ledger/1', importId: 'a'.repeat(32), at: '2031-01-01T00:00:00.000Z', productVersion: '1', run: 1, kind: 'begun', files: [{ file: 'SECRET-FILE.csv', byteLength: 1 }], corrects: null });
    await store.listDecisions.keep('cd'.repeat(32), { request: { table: null, idColumn: null, dateColumn: null }, decisions: [] });
    const host = hostOver(store);
    await host.saveMapping({ mapping: house, replace: false });
    await host.saveParameterSet({ parameters: { ...DEFAULT_PARAMETERS, name: 'ours', minDurationS: 20 } });
    await host.saveParameters({ parameters: { ...DEFAULT_PARAMETERS, name: 'own', minDurationS: 25 } });
    await host.fixProtocol({ content: buildProtocolContent({ title: 'Ear or finger' }), before: null });
    await host.fixProtocol({ content: buildProtocolContent({ title: 'After Dr Anna Meyer' }), before: null });

    const { text } = await host.shareDefinitions();
    for (const word of ['SECRET', 'Meyer', 'Anna', '1950', store.settings.pseudonymKey, 'ab'.repeat(32), 'cd'.repeat(32), 'a'.repeat(32)]) expect(text, word).not.toContain(word);
    const shared = JSON.parse(text) as SharedDefinitions;
    expect(shared).toMatchObject({ schema: 'lacuna-shared-definitions/1', productVersion: '9.9.9', sharedAt: '2031-01-02T00:00:00.000Z', inForce: 'in force, without a name' });
    expect(shared.mappings).toEqual([{ ...house, files: [{ match: house.files[0]!.match, reading: { delimiter: ';', columns: { SpO2: { quantity: 'spo2' } } } }] }]);
    expect(shared.parameterSets.map(({ name, minDurationS }) => [name, minDurationS])).toEqual([['ours', 20], ['in force, without a name', 25]]);
    expect(shared.protocols.map(({ title }) => title)).toEqual(['Ear or finger']);
    const notShared = shared.notShared.map(({ what }) => what);
    for (const kind of ['cases and their analyses', 'reviews', 'decisions about lists of cases', 'points, limits, changes and restated points of quality charts', 'rules for single files in the mapping “house”', 'protocol number 2']) expect(notShared).toContain(kind);

    const target = await open(join(folder, 'to'));
    const other = hostOver(target);
    await other.saveMapping({ mapping: { ...house, files: [] }, replace: false });
    const taken = await other.takeDefinitions({ text });
    expect(taken.mappings).toEqual({ added: [], alreadyThere: [], leftOut: [{ name: 'house', why: expect.stringContaining('another one of the same name') as string }] });
    expect(taken.parameterSets.added).toEqual(['ours', 'in force, without a name']);
    expect(taken.protocols.added).toEqual(['Ear or finger, version 1']);
    expect((await target.mappings.list())[0]?.files).toEqual([]);
    expect((await target.protocols.list()).map(({ protocol, isIntact }) => [protocol.title, isIntact])).toEqual([['Ear or finger', true]]);
    const again = await other.takeDefinitions({ text });
    expect([again.parameterSets, again.protocols].map(({ added, alreadyThere }) => [added.length, alreadyThere.length])).toEqual([[0, 2], [0, 1]]);
    expect(await target.protocols.list()).toHaveLength(1);
  });
});

test('a protocol that was changed on the way is not taken in; neither is a file of a later version, or of something else', async () => {
  const store = await LIBRARY_KINDS[0]!.open(join(folder, 'one'));
  const host = hostOver(store);
  await host.fixProtocol({ content: buildProtocolContent({ title: 'Ear or finger' }), before: null });
  const { text } = await host.shareDefinitions();
  const other = hostOver(await LIBRARY_KINDS[0]!.open(join(folder, 'two')));
  const bent = await other.takeDefinitions({ text: text.replace('Ear or finger', 'Ear or toe') });
  expect(bent.protocols).toMatchObject({ added: [], leftOut: [{ name: 'Ear or toe, version 1', why: expect.stringContaining('digest') as string }] });
  await expect(other.takeDefinitions({ text: text.replace('definitions/1', 'definitions/2') })).rejects.toMatchObject({ code: 'share-newer' });
  await expect(other.takeDefinitions({ text: '{"schema":"lacuna-mapping/1"}' })).rejects.toMatchObject({ code: 'bad-field' });
  await expect(other.takeDefinitions({ text: '{\n"a":,\n}' })).rejects.toMatchObject({ code: 'bad-json' });
  const [protocol] = (JSON.parse(text) as SharedDefinitions).protocols;
  expect(protocol === undefined ? '' : protocolDigest(protocol)).toBe(protocol?.digest);
});

