import type { CaseListResult, LibraryCaseState, ListRowState, ReconciledCase, ReconciledRow } from '../../../core/model/case-list.ts';
import { LIBRARY_CASE_STATES, LIST_ROW_STATES } from '../../../core/model/case-list.ts';
import { countText, numberText } from '../../format/number-text.ts';

/** What is looked at of a list: its rows, or cases of the library, in one state. */
export type ListView = ListRowState | LibraryCaseState | 'every row';

export const LIST_VIEWS: readonly ListView[] = ['every row', ...LIST_ROW_STATES, ...LIBRARY_CASE_STATES];

/** Signs beside the words, so that a state is seen at a glance and not by colour. */
export const STATE_SIGNS: Readonly<Record<ListRowState | LibraryCaseState, string>> = {
  'matched': '✓', 'no usable SpO2': '○', 'to be decided': '?', 'missing': '–', 'twice in the list': '=', 'rejected': '×', 'not in the list': '+', 'twice in the library': '=',
};

/** Returns the sentence on what came of a list: its rows, and how they add up. */
export function headlineText({ list, counts, libraryCases }: CaseListResult): string {
  const { rowsRead, rowsAccepted, rowsRejected } = list;
  const open = counts['to be decided'];
  return [
    `${countText(rowsRead, 'row', 'rows')} read: ${numberText(rowsAccepted)} accepted, ${numberText(rowsRejected)} rejected.`,
    `Accepted rows: ${numberText(counts.matched)} with a case of usable SpO2, ${numberText(counts['no usable SpO2'])} with a case without, ${numberText(counts.missing)} missing in this library, ${numberText(counts['twice in the list'])} twice in the list.`,
    ...(open === 0 ? [] : [`${countText(open, 'row fits', 'rows fit')} doubtfully and ${open === 1 ? 'waits' : 'wait'} for your decision.`]),
    `Of ${countText(libraryCases, 'case', 'cases')} of the library, ${numberText(counts['not in the list'])} ${counts['not in the list'] === 1 ? 'is' : 'are'} not in the list.`,
  ].join(' ');
}

/** Returns the rows of a view; cases of the library have a view of their own. */
export function rowsOf({ rows }: Pick<CaseListResult, 'rows'>, view: ListView): readonly ReconciledRow[] {
  return view === 'every row' ? rows : rows.filter(({ state }) => state === view);
}

/** Returns the cases of the library of a view, null where the view shows rows of the list. */
export function casesOf({ cases }: Pick<CaseListResult, 'cases'>, view: ListView): readonly ReconciledCase[] | null {
  return LIBRARY_CASE_STATES.some((state) => state === view) ? cases.filter(({ state }) => state === view) : null;
}

/** Returns what a view is called, with how many it has. */
export function viewText({ counts, rows }: Pick<CaseListResult, 'counts' | 'rows'>, view: ListView): string {
  return view === 'every row' ? `every row (${numberText(rows.length)})` : `${view} (${numberText(counts[view])})`;
}
