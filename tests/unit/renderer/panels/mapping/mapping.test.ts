import { describe, expect, it } from 'vitest';
import type { PreviewColumn, PreviewOutcome } from '../../../../../core/model/file-preview.ts';
import { mappingSchema } from '../../../../../core/model/mapping-schema.ts';
import { fileNameOf, headingsOfShape, patternFault, rulesOfShape, suggestPattern, withEntry } from '../../../../../renderer/panels/mapping/mapping-file.ts';
import { isOpenColumn, outcomeText } from '../../../../../renderer/panels/mapping/outcome-text.ts';
import { describeRows, rowsLeftOut } from '../../../../../renderer/panels/mapping/row-model.ts';
import { overrulesOf } from '../../../../../renderer/panels/mapping/rules-text.ts';
import { unsureFiles } from '../../../../../renderer/panels/mapping/unsure-files.tsx';
import { buildFilePreview } from '../../../../builders/file-preview.ts';
import { buildFileReport } from '../../../../builders/stand-in-pool.ts';

const spo2 = { quantity: 'spo2', site: 'toe', sensor: '' } as const;
const column = (over: Partial<PreviewColumn> = {}): PreviewColumn => ({
  index: 1, heading: 'S', key: 'S', role: 'value', readAs: 'SpO2 at the toe, %', quantity: 'spo2', site: 'toe', sensor: '', unit: '%', certainty: 'known', because: '', examples: [], isWithheld: false, ...over,
});

describe('what a row becomes, in words', () => {
  it.each<[PreviewOutcome, string, string]>([
    [{ kind: 'value', column: 1, ...spo2, unit: '%', value: 97, isFlagged: false, isConverted: false }, 'SpO2, toe: 97 %', 'kept'],
    [{ kind: 'value', column: 1, ...spo2, unit: '%', value: 96, isFlagged: true, isConverted: true }, 'SpO2, toe: 96 % (converted) (flagged)', 'flagged'],
    [{ kind: 'missing', column: 1, ...spo2, why: 'empty', isFlagged: false }, 'SpO2, toe: none (empty)', 'missing'],
    [{ kind: 'missing', column: 1, ...spo2, why: 'filler', isFlagged: true }, 'SpO2, toe: none (filler, flagged)', 'missing'],
    [{ kind: 'drug', inn: 'phenylephrine', isVasopressor: true, form: 'bolus', amount: 100, unit: 'ug', route: 'iv', flags: [], text: 'phe 100' }, 'phenylephrine, 100 µg, iv, bolus, vasopressor', 'kept'],
    [{ kind: 'drug', inn: null, isVasopressor: false, form: 'bolus', amount: null, unit: '', route: null, flags: ['no drug recognised'], text: 'zorb' }, 'not known: zorb, no dose, bolus, no drug recognised', 'unknown'],
    [{ kind: 'event', event: 'position', term: 'arms tucked', phase: 'start', site: null, text: 'x' }, 'position: arms tucked, begins', 'kept'],
    [{ kind: 'event', event: 'sensor moved', term: 'sensor moved', phase: 'moment', site: 'toe', text: 'x' }, 'sensor moved, toe', 'kept'],
    [{ kind: 'event', event: 'note', term: '', phase: 'moment', site: null, text: 'radio on' }, 'plain note: radio on', 'unknown'],
    [{ kind: 'rejected', reason: 'no time' }, 'rejected: no time', 'rejected'],
  ])('%j', (outcome, text, tone) => {
    expect(outcomeText(outcome, null)).toEqual({ text, tone });
  });

  it('under its column repeats neither quantity nor site, unless the site is another', () => {
    const value: PreviewOutcome = { kind: 'value', column: 1, ...spo2, unit: '%', value: 97, isFlagged: false, isConverted: false };
    expect(outcomeText(value, column()).text).toBe('97');
    expect(outcomeText(value, column({ site: 'finger' })).text).toBe('97, toe');
  });

  it('a person should look at what nobody knows and what was assumed, not at what is empty or named', () => {
    expect([column({ certainty: 'unknown' }), column({ certainty: 'assumed' }), column({ certainty: 'unknown', readAs: 'not used (empty)' }), column({ certainty: 'stated' }), column({ certainty: 'unknown', isWithheld: true })].map(isOpenColumn)).toEqual([true, true, false, false, false]);
  });
});

describe('both sides of the rows', () => {
  it('stand in the same order, with one column for each that becomes values, and the day once', () => {
    const model = describeRows(buildFilePreview());
    expect(model.timeTitle).toBe('23 April 2031');
    expect(model.columns.map(({ title }) => title)).toEqual(['SpO2, %']);
    expect(model.hasEntries).toBe(false);
    expect(model.rows.map(({ row, time, values, entries }) => [row.line, time, values[0]?.text, entries[0]?.text])).toEqual([[1, '', undefined, 'the headings'], [2, '08:00:00', '97', undefined]]);
  });

  it('say behind the first rows every gap, and how many rows are left out', () => {
    const preview = buildFilePreview();
    const [, row] = preview.rows;
    const lines = [...Array.from({ length: 100 }, (_, i) => (i < 50 ? i + 1 : i + 2)), 102, 106];
    const model = describeRows({ ...preview, rowsRead: 200, rows: lines.map((line) => ({ ...row!, line })) });
    expect(model.rows.filter(({ isAfterGap }) => isAfterGap).map(({ row: { line } }) => line)).toEqual([106]);
    expect(rowsLeftOut({ ...preview, rowsRead: 200, rows: lines.map((line) => ({ ...row!, line })) })).toBe(98);
    expect(rowsLeftOut({ ...preview, rowsRead: 1 })).toBe(0);
  });

  it('say where rows are left out, and what goes with no column', () => {
    const preview = buildFilePreview();
    const [, row] = preview.rows;
    const model = describeRows({ ...preview, rows: [...preview.rows, { ...row!, line: 900, timeMs: row!.timeMs! + 86_400_000, becomes: [{ kind: 'rejected', reason: 'no time' }] }] });
    expect(model.hasEntries).toBe(true);
    expect(model.rows[2]).toMatchObject({ isAfterGap: true, time: '08:00:00 (24 April 2031)', values: [null], entries: [{ text: 'rejected: no time' }] });
  });
});

describe('what was said, as a list', () => {
  it('names each thing in words', () => {
    const said = overrulesOf({
      dateOrder: 'dmy', clockOffsetS: 90, deviceHoldS: 12, valueMaking: 'median',
      columns: { 'K 7': { role: 'value', quantity: 'spo2', site: 'ear lobe', sentinels: ['-?-'] }, 'X': { role: 'ignore' }, 'Y': { identifier: 'leave out' } },
      phrases: { zorb: { means: 'drug', inn: 'ephedrine' }, down: { means: 'event', kind: 'position', term: 'head down', phase: 'start' } },
    }, 'theatre');
    expect(said.map(({ label }) => label)).toEqual([
      'Order in dates: day, month, year', 'Its clock taken as 1 min 30 s behind: 1 min 30 s added to its times', 'The device held its last value for 12 s', 'A stored value is the median of its interval',
      'K 7: SpO2, ear lobe; no value: “-?-”', 'X: leave it out', 'Y: identifies persons, left out', '“zorb” means the drug ephedrine', '“down” means the event position: head down, begins',
    ]);
    expect(said.every(({ from }) => from === 'theatre')).toBe(true);
  });
});

describe('a mapping made of it', () => {
  it('leaves out what belongs to one file', () => {
    expect(rulesOfShape({ caseId: 'x', clockOffsetS: 5, zone: 'UTC' })).toEqual({ zone: 'UTC' });
  });

  it('is known by the headings there are, or by a name whose figures may change', () => {
    expect(headingsOfShape(buildFilePreview({ headings: ['A', '', 'B', 'A'] }))).toEqual(['A', 'B']);
    expect(suggestPattern('x/saal-4_2031-04-23.csv')).toBe('saal-*.csv');
    expect(suggestPattern('trends.csv')).toBe('trends.csv');
    expect(patternFault('*.txt', 'x/a.csv')).toContain('does not fit this file');
    expect(patternFault('a*', 'x/a.csv')).toBeNull();
  });

  it('takes another shape in, and one of the same shape in place of the earlier', () => {
    const base = { schema: 'lacuna-mapping/1' as const, name: 'm', files: [{ match: { headings: ['A'] }, reading: { zone: 'UTC' } }] };
    const two = withEntry(base, { match: { headings: ['B'] }, reading: {} });
    expect(two.files).toHaveLength(2);
    expect(withEntry(two, { match: { headings: ['A'] }, reading: { kind: 'events' } }).files.map(({ reading }) => reading)).toEqual([{}, { kind: 'events' }]);
    expect(mappingSchema.safeParse(two).success).toBe(true);
  });

  it('is written to a file that is named after it', () => {
    expect(['Theatre 4, export', 'Säle / Nord', '///'].map(fileNameOf)).toEqual(['theatre-4-export.json', 'säle-nord.json', 'mapping.json']);
  });
});

describe('files to look at', () => {
  it('are tables that were not understood, assumptions, those with a fifth of their rows rejected, and trends without SpO2 among unknown numbers', () => {
    const failure = { message: 'x', line: 1, remedy: null };
    const other = { heading: 'K', readAs: 'kept, but not recognised', quantity: 'other', site: null, values: 1, missing: 0 };
    const reports = [
      buildFileReport({ file: 'text', failure, encoding: 'utf-8', layout: '' }), buildFileReport({ file: 'picture', failure, encoding: '', layout: '' }), buildFileReport({ file: 'messages', failure, layout: 'hl7 v2' }), buildFileReport({ file: 'sure' }),
      buildFileReport({ file: 'assumed', guesses: [{ field: 'x', taken: '', because: '', certainty: 'assumed', alternatives: [] }] }),
      buildFileReport({ file: 'rejected', rows_read: 9, rows_accepted: 7, rows_rejected: 2 }), buildFileReport({ file: 'a few', rows_read: 20, rows_accepted: 17, rows_rejected: 3 }),
      buildFileReport({ file: 'numbers', columns: [other] }), buildFileReport({ file: 'both', columns: [other, { ...other, quantity: 'spo2' }] }),
    ];
    expect(unsureFiles(reports).map(({ file }) => file)).toEqual(['text', 'assumed', 'rejected', 'numbers']);
  });
});
