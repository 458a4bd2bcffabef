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
    expect(chooseRules(mapping, 'x/t.csv', null)?.caseId).toBe('one');
    expect(chooseRules(mapping, 'y/t.csv', null)?.caseId).toBe('two');
    expect(chooseRules(mapping, 'y/u.csv', null)?.caseId).toBe('rest');
  });
});

describe('what is said of exactly one file', () => {
  const file = (match: Mapping['files'][number]['match'], reading: ReadingRules): Mapping['files'][number] => ({ match, reading });
  const mapping = (...files: Mapping['files']): Mapping => ({ schema: 'lacuna-mapping/1', name: 'm', files });

  it('a path hits no file of the same name elsewhere, and a pattern with a folder none in other folders', () => {
    const byPath = mapping(file({ path: 't.csv' }, { caseId: 'top' }), file({ fileName: 'x/t.csv' }, { caseId: 'x' }));
    expect(chooseRules(byPath, 't.csv', null)?.caseId).toBe('top');
    expect(chooseRules(byPath, 'x/t.csv', null)?.caseId).toBe('x');
    expect(chooseRules(byPath, 'y/t.csv', null)).toBeNull();
    expect(chooseRules(byPath, 'y/x/t.csv', null)).toBeNull();
  });

  it('the exact path goes before a pattern that stands earlier', () => {
    const both = mapping(file({ fileName: '*.csv' }, { caseId: 'pattern' }), file({ fileName: 'x/t.csv' }, { caseId: 'exact' }));
    expect(chooseRules(both, 'x/t.csv', null)?.caseId).toBe('exact');
    expect(chooseRules(both, 'x/u.csv', null)?.caseId).toBe('pattern');
  });
});
