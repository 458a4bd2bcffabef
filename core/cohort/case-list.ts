import { foldedKey } from '../identity/key-writings.ts';
import type {
  CaseListResult, LibraryCase, ListDecision, ListedRow, ProposedMatch, ReadCaseList, ReconciledCase, ReconciledRow,
} from '../model/case-list.ts';
import { LIBRARY_CASE_STATES, LIST_ROW_STATES } from '../model/case-list.ts';

/**
 * Returns a list of cases held against the library: what each row of the list means, which cases of the library no row means, and
 * which seem to be there twice.
 * Shape   a row for every row that was read, in one state each, in the order of the list. A row that fits doubtfully (another date,
 *         another writing, more than one case) is 'to be decided' until `decisions` holds a word on it; nothing is matched in silence.
 *         A decision on a row that needs none is not used.
 * Missing where the list or the record has no date, dates are not compared and the reason says so.
 * Source  handbook 11, step 6 (counts against the case list); house rule, docs/methods/case-list.md.
 */
export function reconcileCaseList(read: ReadCaseList, library: readonly LibraryCase[], decisions: readonly ListDecision[]): CaseListResult {
  const byId = new Map<string, LibraryCase[]>();
  for (const one of library) if (one.caseId !== '') byId.set(one.caseId, [...(byId.get(one.caseId) ?? []), one]);
  const decided = new Map(decisions.map((decision) => [decision.line, decision.caseKey]));
  const repeats = repeatedRows(read.rows);
  const certain = certainMatches(read.rows.filter(({ line }) => !repeats.has(line)), byId);
  const takenBy = new Map([...certain].map(([line, one]) => [one.caseKey, line]));
  const judged = read.rows.map((row): ReconciledRow => {
    const earlier = repeats.get(row.line);
    if (earlier !== undefined) return plain(row, 'twice in the list', `the same identifier${row.date === null ? '' : ' and date'} as in row ${earlier}`);
    const match = certain.get(row.line);
    if (match !== undefined) return matched(row, match, remarkOn(row, match), [], null);
    const proposals = proposalsFor(row, byId, takenBy);
    if (proposals.length > 0) return decidedRow(row, proposals, decided, byId);
    return unmatched(row, byId, takenBy);
  });
  const rows = withRejected(withoutSharedCases(judged), read);
  const cases = libraryCases(rows, library);
  return { list: factsOf(read), rows, cases, counts: countsOf(rows, cases), libraryCases: library.length };
}

/** Returns for each row that repeats an earlier one that row: the same identifier, and not another date. */
function repeatedRows(rows: readonly ListedRow[]): Map<number, number> {
  const repeats = new Map<number, number>();
  const seen = new Map<string, number>();
  for (const { line, firstLine, date } of rows) {
    const undated = seen.get(`${firstLine} `);
    const earlier = date === null && firstLine !== line ? firstLine : (seen.get(`${firstLine} ${date ?? ''}`) ?? undated);
    if (earlier === undefined) seen.set(`${firstLine} ${date ?? ''}`, line);
    else repeats.set(line, earlier);
  }
  return repeats;
}

/** Rows that leave no doubt: the only case with this identifier, and the same date or none to compare. Of rows with one identifier each case goes to the first that fits. */
function certainMatches(rows: readonly ListedRow[], byId: ReadonlyMap<string, readonly LibraryCase[]>): Map<number, LibraryCase> {
  const certain = new Map<number, LibraryCase>();
  const taken = new Set<string>();
  const take = (row: ListedRow, fits: (one: LibraryCase) => boolean): void => {
    if (certain.has(row.line) || row.likeLine !== null) return;
    const cases = row.exact.flatMap((caseId) => byId.get(caseId) ?? []).filter(fits);
    const [only] = cases;
    if (only === undefined || cases.length > 1 || taken.has(only.caseKey)) return;
    certain.set(row.line, only);
    taken.add(only.caseKey);
  };
  // The same date first: of a person's operations only one has it.
  for (const row of rows) take(row, (one) => one.date !== null && one.date === row.date);
  for (const row of rows) take(row, (one) => one.date === null || row.date === null);
  return certain;
}

function remarkOn(row: ListedRow, match: LibraryCase): string {
  if (row.date !== null && match.date !== null) return '';
  return row.date === null ? 'the list gives no date; matched by its identifier alone' : 'the record has no date; matched by its identifier alone';
}

/** Cases that a row may mean and no other row certainly means. */
function proposalsFor(row: ListedRow, byId: ReadonlyMap<string, readonly LibraryCase[]>, takenBy: ReadonlyMap<string, number>): ProposedMatch[] {
  const candidates: ListedRow['near'] = [...row.exact.map((caseId) => ({ caseId, differs: [] })), ...row.near];
  const cases = candidates.flatMap(({ caseId, differs }) => (byId.get(caseId) ?? []).map((one) => ({ one, differs })));
  return cases
    .filter(({ one }) => !takenBy.has(one.caseKey))
    .map(({ one, differs }) => ({
      caseKey: one.caseKey,
      caseId: one.caseId,
      date: one.date,
      doubts: [
        ...(differs.length > 0 ? [`the identifier is written otherwise: ${differs.join(', ')}`] : []),
        ...(row.date !== null && one.date !== null && row.date !== one.date ? [`the date differs: ${row.date} in the list, ${one.date} in the record`] : []),
        ...(row.likeLine !== null ? [`row ${row.likeLine} has the same identifier in another writing`] : []),
        ...(cases.length > 1 ? [`one of ${cases.length} cases that fit`] : []),
      ],
    }));
}

function decidedRow(row: ListedRow, proposals: readonly ProposedMatch[], decided: ReadonlyMap<number, string | null>, byId: ReadonlyMap<string, readonly LibraryCase[]>): ReconciledRow {
  const choice = decided.get(row.line);
  const doubts = proposals.map(({ caseId, doubts: own }) => (proposals.length === 1 ? own.join('; ') : `${caseId}: ${own.join('; ')}`)).join(' | ');
  if (choice === null) return { ...plain(row, 'missing', `none of the proposed cases, by a person’s decision (${doubts})`), proposals, decision: 'refused' };
  const accepted = proposals.find(({ caseKey }) => caseKey === choice);
  const match = accepted === undefined ? undefined : byId.get(accepted.caseId)?.find(({ caseKey }) => caseKey === accepted.caseKey);
  if (accepted === undefined || match === undefined) return { ...plain(row, 'to be decided', doubts), proposals };
  return matched(row, match, `accepted by a person, although ${accepted.doubts.join('; ')}`, proposals, 'accepted');
}

function unmatched(row: ListedRow, byId: ReadonlyMap<string, readonly LibraryCase[]>, takenBy: ReadonlyMap<string, number>): ReconciledRow {
  if (row.likeLine !== null) return plain(row, 'twice in the list', `the same identifier as in row ${row.likeLine}, written otherwise`);
  const taker = [...row.exact, ...row.near.map(({ caseId }) => caseId)].flatMap((caseId) => byId.get(caseId) ?? []).map(({ caseKey }) => takenBy.get(caseKey));
  const [line] = taker.filter((one) => one !== undefined);
  if (line === undefined) return plain(row, 'missing', 'no case of the library has this identifier');
  return plain(row, 'missing', `the library’s case of this identifier is that of row ${line}${row.date === null ? '' : ', which has its date'}`);
}

/** A case that a person gave to two rows stays with the first; the other has to be decided again. */
function withoutSharedCases(rows: readonly ReconciledRow[]): ReconciledRow[] {
  const holder = new Map<string, number>();
  return rows.map((row) => {
    if (row.caseKey === null) return row;
    const before = holder.get(row.caseKey);
    if (before === undefined) {
      holder.set(row.caseKey, row.line);
      return row;
    }
    return { ...row, state: 'to be decided', reason: `the case was given to row ${before} too`, caseKey: null, caseId: null, caseDate: null, decision: null };
  });
}

function plain(row: ListedRow, state: ReconciledRow['state'], reason: string): ReconciledRow {
  return { line: row.line, key: row.key, date: row.date, state, reason, caseKey: null, caseId: null, caseDate: null, proposals: [], decision: null };
}

function matched(row: ListedRow, match: LibraryCase, remark: string, proposals: readonly ProposedMatch[], decision: 'accepted' | null): ReconciledRow {
  const reason = [...(match.unusable === null ? [] : [match.unusable]), ...(remark === '' ? [] : [remark])].join('; ');
  return { ...plain(row, match.unusable === null ? 'matched' : 'no usable SpO2', reason), caseKey: match.caseKey, caseId: match.caseId, caseDate: match.date, proposals, decision };
}

function withRejected(rows: readonly ReconciledRow[], read: ReadCaseList): ReconciledRow[] {
  const rejected = read.rejectedRows.map(({ line, reason }): ReconciledRow => ({ line, key: '', date: null, state: 'rejected', reason, caseKey: null, caseId: null, caseDate: null, proposals: [], decision: null }));
  return [...rows, ...rejected].sort((a, b) => a.line - b.line);
}

/** Cases that no row means or may mean, and those that seem to be there twice: by their names or by their figures. */
function libraryCases(rows: readonly ReconciledRow[], library: readonly LibraryCase[]): ReconciledCase[] {
  const named = new Set(rows.flatMap((row) => [...(row.caseKey === null ? [] : [row.caseKey]), ...(row.state === 'to be decided' ? row.proposals.map(({ caseKey }) => caseKey) : [])]));
  const found: ReconciledCase[] = [];
  for (const one of library) {
    const { caseKey, date } = one;
    const caseId = one.caseId === '' ? 'a case that cannot be opened' : one.caseId;
    if (!named.has(caseKey)) found.push({ caseKey, caseId, date, state: 'not in the list', reason: one.caseId === '' ? 'its name cannot be read, so no row can mean it' : '' });
  }
  for (const [one, others, why] of doubles(library)) found.push({ caseKey: one.caseKey, caseId: one.caseId, date: one.date, state: 'twice in the library', reason: `${why} ${others.map(({ caseId }) => caseId).join(', ')}` });
  return found.sort((a, b) => LIBRARY_CASE_STATES.indexOf(a.state) - LIBRARY_CASE_STATES.indexOf(b.state) || (a.caseId < b.caseId ? -1 : a.caseId > b.caseId ? 1 : a.caseKey < b.caseKey ? -1 : 1));
}

function doubles(library: readonly LibraryCase[]): (readonly [LibraryCase, readonly LibraryCase[], string])[] {
  const opened = library.filter(({ caseId }) => caseId !== '');
  const grouped = (keyOf: (one: LibraryCase) => string | null, why: string) => {
    const groups = new Map<string, LibraryCase[]>();
    for (const one of opened) {
      const key = keyOf(one);
      if (key !== null) groups.set(key, [...(groups.get(key) ?? []), one]);
    }
    return [...groups.values()].filter((group) => group.length > 1).flatMap((group) => group.map((one) => [one, group.filter((other) => other !== one), why] as const));
  };
  // Losses to the millisecond do not come twice; cases without any are told apart by nothing here.
  const figures = (one: LibraryCase): string | null => (one.dropouts === 0 || one.lostMidMs === 0 ? null : JSON.stringify([one.date, one.monitoredMs, one.lostMidMs, one.dropouts, [...one.sites].sort()]));
  return [...grouped((one) => foldedKey(one.caseId), 'its name differs only in writing from'), ...grouped(figures, 'date, monitored time and losses are to the millisecond those of')];
}

function countsOf(rows: readonly ReconciledRow[], cases: readonly ReconciledCase[]): CaseListResult['counts'] {
  const counts = Object.fromEntries([...LIST_ROW_STATES, ...LIBRARY_CASE_STATES].map((state) => [state, 0])) as Record<keyof CaseListResult['counts'], number>; // every state is named
  for (const { state } of rows) counts[state] += 1;
  for (const { state } of cases) counts[state] += 1;
  return counts;
}

function factsOf(read: ReadCaseList): CaseListResult['list'] {
  const { rows: _rows, rejectedRows: _rejected, ...facts } = read;
  return facts;
}
