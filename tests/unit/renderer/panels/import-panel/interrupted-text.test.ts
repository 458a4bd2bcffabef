import { expect, test } from 'vitest';
import type { InterruptedImport } from '../../../../../core/protocol/host-api.ts';
import { fileNamesText, interruptedText, libraryText } from '../../../../../renderer/panels/import-panel/interrupted-text.ts';
import { doneText } from '../../../../../renderer/panels/import-panel/progress-text.ts';

const left = (over: Partial<InterruptedImport> = {}): InterruptedImport => ({ importId: 'ab'.repeat(16), files: [{ file: 'a.csv', byteLength: 5 }], filesRead: 0, cases: null, casesDone: 0, casesStored: 0, zone: null, mapping: null, overrules: [], ...over });
const files = (n: number): InterruptedImport['files'] => Array.from({ length: n }, (_, i) => ({ file: `${i + 1}.csv`, byteLength: 1 }));

test.each([
  [left(), 'An import of 1 file was interrupted before the first file was read.'],
  [left({ files: files(4), filesRead: 2 }), 'An import of 4 files was interrupted after 2 of 4 files were read.'],
  [left({ files: files(4), filesRead: 4, cases: 2000, casesDone: 1200 }), 'An import of 4 files was interrupted after 1,200 of 2,000 cases.'],
  [left({ filesRead: 1, cases: 1, casesDone: 0 }), 'An import of 1 file was interrupted after 0 of 1 case.'],
])('what is said of an interrupted import, %#', (interrupted, text) => {
  expect(interruptedText(interrupted)).toBe(text);
});

test('says what of it is in the library', () => {
  expect(libraryText(left())).toBe('Nothing of it is in the library');
  expect(libraryText(left({ casesStored: 2 }))).toBe('It was being read again; what it stored before is still in the library (2 cases)');
});

test('names at most three files', () => {
  expect(fileNamesText(files(3))).toBe('1.csv, 2.csv, 3.csv');
  expect(fileNamesText(files(1203))).toBe('1.csv, 2.csv, 3.csv and 1,200 more');
});

test('progress counts bytes while files are read and cases afterwards', () => {
  expect(doneText({ stage: 'reading', file: 'a', bytesDone: 500_000_000, bytesTotal: 2_000_000_000 })).toBe('500 MB of 2.0 GB');
  expect(doneText({ stage: 'analysing', file: 'K7', bytesDone: 7, bytesTotal: 2000 })).toBe('7 of 2,000 cases');
  expect(doneText({ stage: 'handing over', file: '', bytesDone: 0, bytesTotal: 0 })).toBe('');
});
