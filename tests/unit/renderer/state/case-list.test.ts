import { describe, expect, it } from 'vitest';
import type { CaseListResult } from '../../../../core/model/case-list.ts';
import type { CaseListArgs } from '../../../../core/protocol/host-api.ts';
import { headlineText, rowsOf, casesOf } from '../../../../renderer/panels/case-list/case-list-text.ts';
import { createCaseList } from '../../../../renderer/state/case-list.ts';
import { buildHostConnection } from '../../../builders/host-connection.ts';

const row = (line: number, state: CaseListResult['rows'][number]['state']) => ({ line, key: `k${line}`, date: null, state, reason: '', caseKey: null, caseId: null, caseDate: null, proposals: [], decision: null });
const RESULT: CaseListResult = {
  list: { file: 'l.csv', sha256: '', encoding: 'utf-8', delimiter: ',', tables: ['l.csv'], table: 'l.csv', idColumns: [], idColumn: 'case', idBecause: '', dateColumns: [], dateColumn: null, rowsRead: 3, rowsAccepted: 2, rowsRejected: 1, rejected: [], notes: [] },
  rows: [row(2, 'matched'), row(3, 'to be decided'), row(4, 'rejected')],
  cases: [{ caseKey: 'x', caseId: 'X', date: null, state: 'not in the list', reason: '' }],
  counts: { 'matched': 1, 'no usable SpO2': 0, 'to be decided': 1, 'missing': 0, 'twice in the list': 0, 'rejected': 1, 'not in the list': 1, 'twice in the library': 0 },
  libraryCases: 2,
};

/** What was decided about the same list in an earlier window. */
const KEPT = { request: { table: null, idColumn: null, dateColumn: null }, decisions: [{ line: 4, caseKey: 'x' }] };

describe('a list held against the library', () => {
  it('keeps what was decided until the list is read by another column, and its staging no longer than itself', async () => {
    const asked: CaseListArgs[] = [];
    const ended: string[] = [];
    let fails = false;
    const store = createCaseList(buildHostConnection({
      reconcileCaseList: (args) => {
        asked.push(args);
        return fails ? Promise.reject(Object.assign(new Error('No such column.'), { remedy: 'Choose another.' })) : Promise.resolve({ result: RESULT, asked: args.asked ?? KEPT });
      },
      endImport: ({ importId }) => {
        ended.push(importId);
        return Promise.resolve({ ended: true });
      },
    }));
    await store.open(new File(['case\n'], 'l.csv'));
    expect(store.get()).toMatchObject({ kind: 'ready', decisions: KEPT.decisions });
    await store.decide(3, 'key');
    await store.decide(3, null);
    expect(asked.at(-1)).toMatchObject({ file: 'l.csv', asked: { decisions: [{ line: 4, caseKey: 'x' }, { line: 3, caseKey: null }] } });
    fails = true;
    await store.choose({ idColumn: 'Nr' });
    expect(store.get()).toMatchObject({ kind: 'ready', decisions: [{ line: 4 }, { line: 3, caseKey: null }], problem: { message: 'No such column.' } });
    fails = false;
    await store.refresh();
    expect(asked.at(-1)).toMatchObject({ asked: { request: { table: null, idColumn: 'case' }, decisions: [{ line: 4 }, { line: 3 }] } });
    await store.choose({ idColumn: 'Nr' });
    expect(asked.at(-1)).toMatchObject({ asked: { request: { idColumn: 'Nr' }, decisions: [] } });
    await store.decide(3, undefined);
    expect(ended).toEqual([]);
    await store.close();
    expect(ended).toEqual(['i1']);
    expect(store.get()).toEqual({ kind: 'none' });
  });

  it('adds up in words, and is looked at state by state', () => {
    expect(headlineText(RESULT)).toBe('3 rows read: 2 accepted, 1 rejected. Accepted rows: 1 with a case of usable SpO2, 0 with a case without, 0 missing in this library, 0 twice in the list. 1 row fits doubtfully and waits for your decision. Of 2 cases of the library, 1 is not in the list.');
    expect(rowsOf(RESULT, 'every row').length).toBe(3);
    expect(rowsOf(RESULT, 'rejected').map(({ line }) => line)).toEqual([4]);
    expect(casesOf(RESULT, 'missing')).toBeNull();
    expect(casesOf(RESULT, 'not in the list')!.length).toBe(1);
  });
});
