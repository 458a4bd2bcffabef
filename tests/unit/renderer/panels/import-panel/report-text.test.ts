import { describe, expect, it } from 'vitest';
import type { FileReport } from '../../../../../core/model/import-report.ts';
import { describeCoverage } from '../../../../../renderer/panels/import-panel/coverage.ts';
import { clockOffsetOverrule, columnReading, FILE_CHOICES, fileOverrule, knownZones, takesSite } from '../../../../../renderer/panels/import-panel/reading-choices.ts';
import { becauseText, certaintyText, delimiterText, encodingText, filesByConcern, headlineText, kindText, layoutText, rejectedRowsOf, rowsText, sumReports } from '../../../../../renderer/panels/import-panel/report-text.ts';
import { buildCaseAnalysis, buildCaseRecord } from '../../../../builders/stored-case.ts';

const report = (over: Partial<FileReport>): FileReport => ({
  file: 'a.csv', kind: 'trends', encoding: 'utf-8', delimiter: ',', layout: 'wide', rows_read: 10, rows_accepted: 10, rows_rejected: 0, rejected: [], notes: [], guesses: [], columns: [], cases: ['a'], sha256: '', byte_length: 1, failure: null, ...over,
});
const failed = report({ file: 'bad.pdf', kind: 'unknown', rows_read: 0, rows_accepted: 0, failure: { message: 'no text', line: null, remedy: null } });
const rejecting = report({ file: 'b.csv', rows_accepted: 8, rows_rejected: 2 });
const guessing = report({ file: 'c.csv', guesses: [
  { field: 'dateOrder', taken: '', because: '', certainty: 'assumed', alternatives: [] },
  { field: 'decimalMark', taken: '', because: '', certainty: 'proven', alternatives: [] },
] });

describe('the import report in words', () => {
  it('writes rows as a sum that adds up', () => {
    expect([rowsText(rejecting), rowsText({ rows_read: 1, rows_accepted: 0, rows_rejected: 1 })]).toEqual(['10 rows read = 8 accepted + 2 rejected', '1 row read = 0 accepted + 1 rejected']);
  });
  it('adds up all files', () => {
    const sums = sumReports([failed, rejecting, guessing]);
    expect(sums).toEqual({ files: 3, failed: 1, rows_read: 20, rows_accepted: 18, rows_rejected: 2, openGuesses: 1 });
    expect(headlineText(sums, 2)).toBe('2 files read into 2 cases; 1 file could not be read');
    expect(headlineText({ ...sums, files: 1, failed: 1 }, 0)).toBe('Nothing came in: 1 file could not be read');
  });
  it('brings what needs a look to the front', () => {
    expect(filesByConcern([report({}), rejecting, guessing, failed]).map((entry) => entry.file)).toEqual(['bad.pdf', 'b.csv', 'c.csv', 'a.csv']);
  });
  it('names kinds, signs, layouts, encodings and certainties', () => {
    expect([kindText('administrations'), delimiterText('\t'), delimiterText('aligned'), layoutText('long'), layoutText(''), encodingText('utf-16le'), encodingText('windows-1252'), certaintyText('assumed')])
      .toEqual(['drugs given', 'tab', 'blanks, columns one below the other', 'long: one row per value, its name in a column', 'not recognised', 'UTF-16LE', 'Windows-1252', 'assumed, for want of evidence']);
  });
  it('makes a sentence of a reason', () => {
    expect([becauseText('no zone is stated'), becauseText('it says so. ')]).toEqual(['Because no zone is stated.', 'Because it says so.']);
  });
  it('finds the rows of one file and reason, in file order', () => {
    const row = (file: string, line: number, reason: string): { file: string; line: number; reason: string; row: string } => ({ file, line, reason, row: '' });
    expect(rejectedRowsOf([row('a', 9, 'x'), row('b', 1, 'x'), row('a', 2, 'y'), row('a', 3, 'x')], 'a', 'x').map((entry) => entry.line)).toEqual([3, 9]);
  });
});

describe('overruling a reading', () => {
  it('turns every choice for a file into the rule of its own field', () => {
    for (const choice of FILE_CHOICES) {
      for (const { value } of choice.choices) expect(fileOverrule(choice, value)?.rules).toEqual({ [choice.field]: value });
      expect(fileOverrule(choice, '')).toBeNull();
    }
  });
  it('sets a clock by hand with its sign in words, and takes it back at 0', () => {
    expect(clockOffsetOverrule(60)).toEqual({ field: 'clockOffsetS', label: 'Its clock taken as 1 min behind: 1 min added to its times', rules: { clockOffsetS: 60 } });
    expect(clockOffsetOverrule(-1.5)?.label).toBe('Its clock taken as 1.5 s ahead: 1.5 s taken off its times');
    expect(clockOffsetOverrule(0)).toBeNull();
  });
  it('asks for a site only where an oximeter sensor makes the quantity', () => {
    expect([takesSite('quantity:spo2'), takesSite('quantity:perfusion-index'), takesSite('quantity:heart-rate'), takesSite('role:time')]).toEqual([true, true, false, false]);
  });
  it('reads a column as a quantity with its site, as a part, or not at all', () => {
    expect(columnReading('quantity:spo2', 'toe')?.reading).toEqual({ role: 'value', quantity: 'spo2', site: 'toe' });
    expect(columnReading('quantity:heart-rate', 'toe')?.reading).toEqual({ role: 'value', quantity: 'heart-rate' });
    expect(columnReading('role:ignore', '')?.reading).toEqual({ role: 'ignore' });
    expect([columnReading('', ''), columnReading('quantity:blood', '')]).toEqual([null, null]);
  });
  it('offers the zones of the IANA table, UTC among them', () => {
    const zones = knownZones();
    expect([zones.includes('UTC'), zones.includes('Europe/London')]).toEqual([true, true]);
  });
});

describe('describeCoverage', () => {
  it('gives span, channels, gaps and the usable share', () => {
    const analysis = { ...buildCaseAnalysis(), recordGaps: [20, 90].map((seconds) => ({ lastRowMs: 0, firstMissingMs: 0, lastMissingMs: 0, firstRowMs: 0, gapMs: { low: 0, mid: seconds * 1000, high: 0 } })) };
    expect(describeCoverage(buildCaseRecord(), analysis)).toEqual({
      spanMs: 600_000, channels: 1, recordGaps: 2, longestGapMs: 90_000, sites: [{ siteKey: 'finger', intervalMs: 1000, monitoredMs: 600_000, usableShare: 0.95 }],
    });
  });
});
