import { describe, expect, it } from 'vitest';
import { shownMapping } from '../../../../core/identity/shown-mapping.ts';
import type { Mapping } from '../../../../core/model/mapping.ts';

const door = (keepIdentifiers: boolean) => ({ keepIdentifiers, pseudonymOf: (identity: string) => `(${identity.length})` });
const mapping = (file: Mapping['files'][number], name = 'theatre export'): Mapping => ({ schema: 'lacuna-mapping/1', name, files: [file] });

describe('a mapping in a result', () => {
  it('has codes for the names of persons in patterns, paths and case names, and keeps what it says otherwise', () => {
    const given = mapping({
      match: { fileName: 'Smith_John_*.csv', path: 'Anna Meyer/trends.csv', headings: ['Zeit'] },
      reading: { caseId: 'John Smith', zone: 'Europe/Oslo', columns: { 'Kanal 7': { quantity: 'spo2' } }, phrases: { 'seen by Dr Miller': { means: 'note' } } },
    });
    const shown = shownMapping(given, door(false));
    expect(JSON.stringify(shown)).not.toMatch(/Smith|John|Anna|Meyer|Miller/);
    expect(shown.files[0]).toMatchObject({ match: { headings: ['Zeit'] }, reading: { zone: 'Europe/Oslo', columns: { 'Kanal 7': { quantity: 'spo2' } } } });
    expect(shown.files[0]?.match.path).toMatch(/\/trends\.csv$/);
  });

  it('is left as it stands where nobody is named, and where identifiers are kept', () => {
    const plain = mapping({ match: { fileName: '*-trends.csv' }, reading: { caseId: 'K07', phrases: { 'OP table down': { means: 'note' } } }, name: 'pump list' });
    expect(shownMapping(plain, door(false))).toEqual(plain);
    const named = mapping({ match: { fileName: 'Smith_John.csv' }, reading: { caseId: 'John Smith' } });
    expect(shownMapping(named, door(true))).toEqual(named);
  });
});
