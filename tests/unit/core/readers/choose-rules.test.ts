import { describe, expect, it } from 'vitest';
import { readFileSync } from 'node:fs';
import { fitsPattern } from '../../../../core/model/mapping-match.ts';
import { chooseRules } from '../../../../core/readers/choose-rules.ts';
import { parseMapping } from '../../../../core/persist/mapping-file.ts';

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
