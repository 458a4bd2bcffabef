import { describe, expect, it } from 'vitest';
import { reconcileCaseList } from '../../../../core/cohort/case-list.ts';
import type { CaseListRequest, LibraryCase, ListDecision, ReconciledRow } from '../../../../core/model/case-list.ts';
import { caseListResultSchema } from '../../../../core/model/case-list-schema.ts';
import { readCaseList } from '../../../../core/pipeline/read-case-list.ts';
import { importTexts } from '../../../builders/import-text.ts';
import { memorySource, plainImport } from '../../../builders/byte-source.ts';
import { buildLibraryCase } from '../../../builders/library-case.ts';
import { workbookBytes } from '../../../builders/workbook-bytes.ts';

const FREE: CaseListRequest = { table: null, idColumn: null, dateColumn: null };

async function read(body: string | Uint8Array, library: readonly LibraryCase[], request: Partial<CaseListRequest> = {}, name = 'lists/all-cases.csv') {
  return await readCaseList(memorySource(name, typeof body === 'string' ? new TextEncoder().encode(body) : body), { ...FREE, ...request }, library, plainImport());
}

async function reconcile(body: string | Uint8Array, library: readonly LibraryCase[], decisions: readonly ListDecision[] = [], request: Partial<CaseListRequest> = {}) {
  const list = await read(body, library, request);
  if (!list.ok) throw new Error(JSON.stringify(list.failure));
  const result = reconcileCaseList(list.value, library, decisions);
  expect(caseListResultSchema.parse(result)).toEqual(result);
  return result;
}

const short = ({ line, state, caseId }: ReconciledRow) => [line, state, caseId];

const LIBRARY = [
  buildLibraryCase('A-007'),
  buildLibraryCase('A-008'),
  buildLibraryCase('A-009', { unusable: 'the record holds no SpO2', sites: [], monitoredMs: 0, lostMidMs: 0, dropouts: 0 }),
  buildLibraryCase('A-010', { date: '2031-03-09' }),
  buildLibraryCase('B-001', { date: null }),
];

const LIST = [
  'Case;Date;Service',
  'A-007;04.03.2031;General', // 2 fits
  'a 7;04.03.2031;General', // 3 the same case as row 2, written otherwise
  'A-8;04.03.2031;Urology', // 4 written otherwise: a question
  'A-009;04.03.2031;Urology', // 5 no SpO2
  'A-010;05.03.2031;General', // 6 another date: a question
  'A-011;13.03.2031;General', // 7 not in the library
  'A-007;04.03.2031;General', // 8 twice
  ';05.03.2031;General', // 9 rejected
  'A-011;14.03.2031;General', // 10 the same name on another day, missing too
].join('\r\n');

describe('a list of cases held against the library', () => {
  it('gives every row one state, and names the cases that no row means', async () => {
    const result = await reconcile(LIST, LIBRARY);
    expect(result.rows.map(short)).toEqual([
      [2, 'matched', 'A-007'], [3, 'twice in the list', null], [4, 'to be decided', null], [5, 'no usable SpO2', 'A-009'], [6, 'to be decided', null],
      [7, 'missing', null], [8, 'twice in the list', null], [9, 'rejected', null], [10, 'missing', null],
    ]);
    expect(result.cases).toEqual([{ caseKey: 'key of B-001', caseId: 'B-001', date: null, state: 'not in the list', reason: '' }]);
    expect(result.rows.map(({ reason }) => reason)).toEqual([
      '', 'the same identifier as in row 2, written otherwise', 'the identifier is written otherwise: leading zeros', 'the record holds no SpO2',
      'the date differs: 2031-03-05 in the list, 2031-03-09 in the record', 'no case of the library has this identifier', 'the same identifier and date as in row 2',
      'no case identifier', 'no case of the library has this identifier',
    ]);
    const { counts, list } = result;
    expect(list.rowsRead).toBe(list.rowsAccepted + list.rowsRejected);
    expect(counts.matched + counts['no usable SpO2'] + counts['to be decided'] + counts.missing + counts['twice in the list']).toBe(list.rowsAccepted);
    expect(counts.rejected).toBe(list.rowsRejected);
    expect(list).toMatchObject({ idColumn: 'Case', dateColumn: 'Date', delimiter: ';' });
  });

  it('takes a doubtful match only on a person’s word, and takes no for an answer', async () => {
    const accepted = await reconcile(LIST, LIBRARY, [{ line: 4, caseKey: 'key of A-008' }, { line: 6, caseKey: null }]);
    expect(accepted.rows[2]).toMatchObject({ state: 'matched', caseId: 'A-008', decision: 'accepted', reason: 'accepted by a person, although the identifier is written otherwise: leading zeros' });
    expect(accepted.rows[4]).toMatchObject({ state: 'missing', decision: 'refused', caseId: null });
    expect(accepted.cases.map(({ caseId }) => caseId)).toEqual(['A-010', 'B-001']);
    // A word on a row that leaves no doubt, or for a case that was not proposed, changes nothing.
    const idle = await reconcile(LIST, LIBRARY, [{ line: 2, caseKey: null }, { line: 4, caseKey: 'key of B-001' }]);
    expect(idle.rows.map(short)).toEqual((await reconcile(LIST, LIBRARY)).rows.map(short));
  });

  it('does not give one case to two rows', async () => {
    const list = 'case,date\nX-1,2031-03-04\nx1,2031-03-05\n';
    const library = [buildLibraryCase('X 1')];
    const result = await reconcile(list, library, [{ line: 2, caseKey: 'key of X 1' }, { line: 3, caseKey: 'key of X 1' }]);
    expect(result.rows.map(short)).toEqual([[2, 'matched', 'X 1'], [3, 'to be decided', null]]);
  });

  it('matches record numbers with the codes of the library by the same key, and holds none of them', async () => {
    const numbers = ['4471823', '0058214', '6612903'];
    const files = Object.fromEntries(numbers.map((mrn, i) => [`e/${i}.csv`, `MRN,Time,SpO2\n${mrn},2031-03-04T08:00:00,98\n${mrn},2031-03-04T08:00:10,98\n${mrn},2031-03-04T08:00:20,97\n`]));
    const { cases } = await importTexts(files);
    const library = cases.map(({ caseId }) => buildLibraryCase(caseId));
    expect(library.every(({ caseId }) => /^case-/.test(caseId))).toBe(true);
    // The list has lost leading zeros, as spreadsheets do, and names its column otherwise.
    const result = await reconcile('Patient Name\tHospital number\tDate of surgery\nKarl Example\t4471823\t04/03/2031\nEva Sample\t58214\t04/03/2031\nJohn Pattern\t9990001\t05/03/2031\n', library);
    expect(result.rows.map(({ state }) => state)).toEqual(['matched', 'to be decided', 'missing']);
    expect(result.rows[1]!.proposals[0]!.doubts).toEqual(['the identifier is written otherwise: leading zeros']);
    expect(result.list).toMatchObject({ idColumn: 'Hospital number', dateColumn: 'Date of surgery' });
    // Nothing in the list proves the order of day and month; the one date of the matched case does.
    expect(result.list.notes).toContain('Dates such as 04/03/2031 are read day first: so 1 of them is that of the library.');
    const text = JSON.stringify(result);
    for (const secret of [...numbers, '58214', '9990001', 'Example', 'Pattern']) expect(text).not.toContain(secret);
  });

  it('of several operations of one person takes the one with the date of the record', async () => {
    const library = [buildLibraryCase('P1', { date: '2031-03-10' })];
    const result = await reconcile('patient,surgery date\nP1,2031-03-04\nP1,2031-03-10\n', library);
    expect(result.rows.map(short)).toEqual([[2, 'missing', null], [3, 'matched', 'P1']]);
    expect(result.rows[0]!.reason).toBe('the library’s case of this identifier is that of row 3, which has its date');
  });

  it('reads the sheet of a workbook that fits, with its dates', async () => {
    const bytes = workbookBytes([
      { name: 'Notes', rows: [['Say', 'Who'], ['hello', 'me'], ['bye', 'you']] },
      { name: 'Cases', rows: [['Theatre list', null], ['Date', 'Case no'], [{ serial: 47_911, as: 'date' }, 'A-007'], [{ serial: 47_911, as: 'date' }, 'A-008']] },
    ]);
    const list = await read(bytes, LIBRARY, {}, 'list.xlsx');
    expect(list).toMatchObject({ ok: true, value: { table: 'Cases', encoding: 'xlsx', tables: ['Notes', 'Cases'] } });
    // 47 911 days after 1899-12-30.
    const result = await reconcile(bytes, LIBRARY);
    expect(result.rows.map(({ line, date, state }) => [line, date, state])).toEqual([[3, '2031-03-04', 'matched'], [4, '2031-03-04', 'matched']]);
  });

  it('lets a person choose the column, and says which there are', async () => {
    const list = 'Booking;Label\n1;A-007\n2;A-008\n';
    expect((await reconcile(list, LIBRARY)).list).toMatchObject({ idColumn: 'Label', idBecause: '2 of its texts name cases of the library' });
    expect((await reconcile(list, LIBRARY, [], { idColumn: 'Booking' })).rows.map(({ state }) => state)).toEqual(['missing', 'missing']);
    expect(await read(list, LIBRARY, { idColumn: 'Nr' })).toMatchObject({ ok: false, failure: { code: 'no-column', line: 1, remedy: 'Name one of its columns: Booking, Label.' } });
    expect(await read('Room,Size\n1,20\n2,30\n', LIBRARY)).toMatchObject({ ok: false, failure: { code: 'no-identifier', remedy: 'Choose the column that names the cases.' } });
    expect(await read('', LIBRARY)).toMatchObject({ ok: false, failure: { code: 'no-list', line: 1, message: expect.stringContaining('0 bytes') as string } });
  });

  it('finds cases that the library holds twice: by name, or by figures to the millisecond', async () => {
    const same = { date: '2031-05-01', monitoredMs: 5_401_000, lostMidMs: 73_500, dropouts: 2 };
    const library = [buildLibraryCase('Q 1'), buildLibraryCase('q1'), buildLibraryCase('first', same), buildLibraryCase('second', same), buildLibraryCase('', { caseKey: 'broken' })];
    const { cases, counts } = await reconcile('case,date\nfirst,2031-05-01\nQ 1,2031-03-04\n', library);
    expect(cases.map(({ caseId, state, reason }) => [caseId, state, reason])).toEqual([
      ['a case that cannot be opened', 'not in the list', 'its name cannot be read, so no row can mean it'],
      ['q1', 'not in the list', ''],
      ['second', 'not in the list', ''],
      ['Q 1', 'twice in the library', 'its name differs only in writing from q1'],
      ['first', 'twice in the library', 'date, monitored time and losses are to the millisecond those of second'],
      ['q1', 'twice in the library', 'its name differs only in writing from Q 1'],
      ['second', 'twice in the library', 'date, monitored time and losses are to the millisecond those of first'],
    ]);
    expect(counts['twice in the library']).toBe(4);
  });
});
