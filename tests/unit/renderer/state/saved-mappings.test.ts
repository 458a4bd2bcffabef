import { describe, expect, it } from 'vitest';
import type { Mapping } from '../../../../core/model/mapping.ts';
import { overruleList } from '../../../../renderer/state/overrules.ts';
import { createSavedMappings, mappingOffers } from '../../../../renderer/state/saved-mappings.ts';
import { buildHostConnection } from '../../../builders/host-connection.ts';
import { buildFileReport } from '../../../builders/stand-in-pool.ts';

const mapping = (name: string, ...files: Mapping['files'][number][]): Mapping => ({ schema: 'lacuna-mapping/1', name, files });
const THEATRE = mapping('theatre', { match: { headings: ['Zeit', 'Kanal 7'] }, reading: { zone: 'Europe/Berlin' } }, { match: { fileName: '*.gabe' }, reading: { kind: 'administrations' } });

describe('what is offered', () => {
  const reports = [
    buildFileReport({ file: 'a/1.csv', headings: ['Zeit', 'Kanal 7', 'Kanal 8'] }),
    buildFileReport({ file: 'a/2.gabe', headings: ['was'] }),
    buildFileReport({ file: 'a/3.csv', headings: ['Time', 'SpO2'] }),
    buildFileReport({ file: 'a/4.csv', layout: 'edf' }),
  ];

  it('are the mappings that fit, with the files and the rules of the entry that fits each', () => {
    const other = mapping('other', { match: { headings: ['time'] }, reading: {} });
    expect(mappingOffers([other, THEATRE], reports, () => false)).toEqual([
      { mapping: THEATRE, files: [{ file: 'a/1.csv', rules: { zone: 'Europe/Berlin' } }, { file: 'a/2.gabe', rules: { kind: 'administrations' } }] },
      { mapping: other, files: [{ file: 'a/3.csv', rules: {} }] },
    ]);
  });

  it('leaves out files about which something was said, and those read with a mapping already', () => {
    expect(mappingOffers([THEATRE], reports, (file) => file === 'a/1.csv')[0]?.files.map(({ file }) => file)).toEqual(['a/2.gabe']);
    expect(mappingOffers([THEATRE], reports.map((report) => ({ ...report, mapping: 'theatre' })), () => false)).toEqual([]);
  });
});

describe('rules that came from a mapping', () => {
  const said = { field: 'zone', label: 'zone', rules: { zone: 'UTC' }, from: 'theatre' };
  it('reach the host under its name, with a word where more was said by hand', () => {
    const byHand = { field: 'kind', label: 'kind', rules: { kind: 'events' } } as const;
    expect(overruleList(new Map([['a', [said]], ['b', [said, byHand]], ['c', [byHand]]]), ['a', 'b', 'c'])).toEqual([
      { file: 'a', rules: { zone: 'UTC' }, mapping: 'theatre' },
      { file: 'b', rules: { zone: 'UTC', kind: 'events' }, mapping: 'theatre (changed by hand)' },
      { file: 'c', rules: { kind: 'events' } },
    ]);
  });
});

describe('the list of saved mappings', () => {
  it('follows what the host keeps', async () => {
    const saved = createSavedMappings(buildHostConnection({ listMappings: () => Promise.resolve([THEATRE]), renameMapping: () => Promise.resolve([{ ...THEATRE, name: 'day' }]) }));
    expect(saved.get().kind).toBe('loading');
    await saved.load();
    expect(saved.get()).toEqual({ kind: 'ready', mappings: [THEATRE] });
    expect(await saved.rename('theatre', 'day')).toBeNull();
    expect(saved.get()).toMatchObject({ mappings: [{ name: 'day' }] });
  });

  it('stays as it was when a change does not go through, and says why', async () => {
    const refuse = () => Promise.reject(Object.assign(new Error('There is a saved mapping “x” already.'), { remedy: 'Choose another name.' }));
    const saved = createSavedMappings(buildHostConnection({ listMappings: () => Promise.resolve([THEATRE]), saveMapping: refuse, readMapping: refuse }));
    await saved.load();
    expect(await saved.save(THEATRE, false)).toEqual({ message: 'There is a saved mapping “x” already.', remedy: 'Choose another name.' });
    expect(saved.get()).toEqual({ kind: 'ready', mappings: [THEATRE] });
    expect(await saved.read('{')).toMatchObject({ problem: { remedy: 'Choose another name.' } });
  });

  it('says when it cannot be had', async () => {
    const saved = createSavedMappings(buildHostConnection({ listMappings: () => Promise.reject(new Error('The saved mappings cannot be read.')) }));
    await saved.load();
    expect(saved.get()).toMatchObject({ kind: 'failed', problem: { message: 'The saved mappings cannot be read.' } });
  });
});
