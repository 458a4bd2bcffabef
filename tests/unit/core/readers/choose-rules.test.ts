import { describe, expect, it } from 'vitest';
import { readFileSync } from 'node:fs';
import { fitsPattern } from '../../../../core/model/mapping-match.ts';
import { chooseRules } from '../../../../core/readers/choose-rules.ts';
import { parseMapping } from '../../../../core/persist/mapping-file.ts';
import type { Mapping, ReadingRules } from '../../../../core/model/mapping.ts';

describe('the page on mappings', () => {
  it('shows an example that is read', () => {
    const page = readFileSync(new URL('../../../../docs/formats/mapping.md', import.meta.url), 'utf8');
    const example = page.slice(page.indexOf('    {'), page.indexOf('\nThe first entry'));
    const parsed = parseMapping(JSON.parse(example));
    expect(parsed.ok && parsed.value.files[0]?.reading.columns?.['Kanal 7']).toEqual({ quantity: 'spo2', site: 'ear lobe' });
  });
});

describe('fitsPattern and chooseRules', () => {
  it.each([
    ['a.csv', 'a.csv', true],
    ['a.csv', '*.csv', true],
    ['a.csv', 'a*', true],
    ['abcb.csv', 'a*b*.csv', true],
    ['ab', 'a*b*b', false],
    ['a.csv', 'b*', false],
  ])('%s fits %s: %s', (name, pattern, fits) => {
    expect(fitsPattern(name, pattern)).toBe(fits);
  });

  it('takes the first entry that fits, by whole path or last part', () => {
    const mapping = { schema: 'lacuna-mapping/1' as const, name: 'm', files: [{ match: { fileName: 'x/*' }, reading: { caseId: 'one' } }, { match: { fileName: 't.csv' }, reading: { caseId: 'two' } }, { match: {}, reading: { caseId: 'rest' } }] };
    expect(chooseRules(mapping, 'x/t.csv', null)?.rules.caseId).toBe('one');
    expect(chooseRules(mapping, 'y/t.csv', null)?.rules.caseId).toBe('two');
    expect(chooseRules(mapping, 'y/u.csv', null)?.rules.caseId).toBe('rest');
  });
});

describe('what is said of exactly one file', () => {
  const file = (match: Mapping['files'][number]['match'], reading: ReadingRules): Mapping['files'][number] => ({ match, reading });
  const mapping = (...files: Mapping['files']): Mapping => ({ schema: 'lacuna-mapping/1', name: 'm', files });

  it('a path hits no file of the same name elsewhere, and a pattern with a folder none in other folders', () => {
    const byPath = mapping(file({ path: 't.csv' }, { caseId: 'top' }), file({ fileName: 'x/t.csv' }, { caseId: 'x' }));
    expect(chooseRules(byPath, 't.csv', null)?.rules.caseId).toBe('top');
    expect(chooseRules(byPath, 'x/t.csv', null)?.rules.caseId).toBe('x');
    expect(chooseRules(byPath, 'y/t.csv', null)).toBeNull();
    expect(chooseRules(byPath, 'y/x/t.csv', null)).toBeNull();
  });

  it('the exact path goes before a pattern that stands earlier', () => {
    const both = mapping(file({ fileName: '*.csv' }, { caseId: 'pattern' }), file({ fileName: 'x/t.csv' }, { caseId: 'exact' }));
    expect(chooseRules(both, 'x/t.csv', null)?.rules.caseId).toBe('exact');
    expect(chooseRules(both, 'x/u.csv', null)?.rules.caseId).toBe('pattern');
  });

  it('is laid over what a mapping says of the file: the overrule wins, the rest of the mapping stays', () => {
    const saved = file({ headings: ['Zeit'] }, { zone: 'Europe/Berlin', dateOrder: 'dmy', columns: { K7: { quantity: 'spo2', site: 'finger', sentinels: ['off'] }, K8: { quantity: 'pulse-rate' } }, phrases: { Quell: { means: 'note' } } });
    const byHand = { ...file({ path: 'x/t.csv' }, { dateOrder: 'mdy', columns: { K7: { site: 'ear lobe' }, K8: { role: 'ignore' } } }), name: '' };
    const found = chooseRules(mapping(byHand, saved), 'x/t.csv', ['Zeit', 'K7', 'K8']);
    expect(found?.rules).toEqual({
      zone: 'Europe/Berlin',
      dateOrder: 'mdy',
      columns: { K7: { quantity: 'spo2', site: 'ear lobe', sentinels: ['off'] }, K8: { role: 'ignore' } },
      phrases: { Quell: { means: 'note' } },
    });
    expect(found?.name).toBe('m (changed by hand)');
    // Other files of the import keep the mapping as it is.
    expect(chooseRules(mapping(byHand, saved), 'y/t.csv', ['Zeit'])).toEqual({ rules: saved.reading, name: 'm' });
    expect(chooseRules(mapping(byHand, saved), 'x/t.csv', null)?.name).toBe('');
  });

  it('names the file as reports show it, where its name is that of a person', () => {
    const byHand = { ...file({ path: 'file-abc.csv' }, { dateOrder: 'mdy' }), name: '' };
    const found = chooseRules(mapping(byHand, file({}, { zone: 'UTC' })), 'Smith_John.csv', null, 'file-abc.csv');
    expect(found?.rules).toEqual({ zone: 'UTC', dateOrder: 'mdy' });
  });
});
