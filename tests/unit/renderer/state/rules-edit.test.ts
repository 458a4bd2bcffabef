import { describe, expect, it } from 'vitest';
import { countRules, sameRules, splitRules, withColumn, withFields, withPhrase } from '../../../../renderer/state/rules-edit.ts';
import { mergeOverrules } from '../../../../renderer/state/overrules.ts';

describe('rules that are edited', () => {
  it('take a field, and lose it again', () => {
    const rules = withFields({ zone: 'UTC' }, { dateOrder: 'dmy' });
    expect(rules).toEqual({ zone: 'UTC', dateOrder: 'dmy' });
    expect(withFields(rules, { dateOrder: undefined })).toEqual({ zone: 'UTC' });
    expect(withFields(rules, { sentinels: [] })).toEqual(rules);
  });

  it('take what is said of a column piece by piece, and forget the column when nothing is left', () => {
    let rules = withColumn({}, 'K7', { role: 'value', quantity: 'spo2' });
    rules = withColumn(rules, 'K7', { site: 'toe' });
    expect(rules).toEqual({ columns: { K7: { role: 'value', quantity: 'spo2', site: 'toe' } } });
    rules = withColumn(rules, 'K7', { role: undefined, quantity: undefined, site: undefined });
    expect(rules).toEqual({});
  });

  it('take what a phrase means', () => {
    const rules = withPhrase({}, 'zorb', { means: 'drug', inn: 'ephedrine' });
    expect(withPhrase(rules, 'zorb', { means: 'note' })).toEqual({ phrases: { zorb: { means: 'note' } } });
    expect(withPhrase(rules, 'zorb', null)).toEqual({});
  });

  it('are the same in any order, and count every thing said', () => {
    const a = { zone: 'UTC', columns: { A: { quantity: 'spo2', site: 'toe' }, B: { role: 'ignore' } } } as const;
    const b = { columns: { B: { role: 'ignore' }, A: { site: 'toe', quantity: 'spo2' } }, zone: 'UTC' } as const;
    expect(sameRules(a, b)).toBe(true);
    expect(sameRules(a, { ...b, zone: undefined })).toBe(false);
    expect(countRules({ ...a, phrases: { x: { means: 'note' } } })).toBe(4);
    expect(countRules({})).toBe(0);
  });

  it('come apart and together again without loss', () => {
    const rules = { zone: 'UTC', deviceHoldS: 12, columns: { A: { quantity: 'spo2', site: 'toe' }, B: { sentinels: ['-'] } }, phrases: { x: { means: 'note' }, y: { means: 'drug', inn: 'ephedrine' } } } as const;
    const parts = splitRules(rules);
    expect(parts.map(({ field }) => field)).toEqual(['zone', 'deviceHoldS', 'columns.A', 'columns.B', 'phrases.x', 'phrases.y']);
    expect(mergeOverrules(parts.map((part) => ({ ...part, label: '' })))).toEqual(rules);
  });
});
