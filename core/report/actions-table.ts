import { findingWords, STATE_WORDS } from '../actions/action-words.ts';
import type { ActionView, MeasuredSide } from '../model/action.ts';
import type { Column } from './column.ts';
import { headingText, rowsText } from './column.ts';
import { computed } from './numbers.ts';

const side = (which: 'before' | 'after'): Column<ActionView>[] => {
  const of = ({ last }: ActionView): MeasuredSide | null => last?.[which] ?? null;
  return [
    { name: `${which}_first`, meaning: `date of the first case ${which} the change`, unit: '', how: which === 'before' ? 'from the marked change before it on, or from the first case' : 'the first day of the new way, or later', cell: (view) => of(view)?.first ?? null },
    { name: `${which}_last`, meaning: `date of the last case ${which} the change`, unit: '', how: which === 'before' ? 'the day before the change, or earlier' : 'up to the next marked change, or the last case', cell: (view) => of(view)?.last ?? null },
    { name: `${which}_cases`, meaning: `cases ${which} the change`, unit: '', type: 'number', how: 'of the definition', cell: (view) => of(view)?.cases ?? null },
    { name: `${which}_units`, meaning: 'patients among them, or cases that stand for themselves', unit: '', type: 'number', how: 'what the interval counts with', cell: (view) => of(view)?.units ?? null },
    { name: which, meaning: `the measure ${which} the change`, unit: '', type: 'number', how: 'shares from 0 to 1, rates per hour, medians in s', cell: (view) => computed(of(view)?.estimate ?? null) },
    { name: `${which}_from`, meaning: 'its interval, from', unit: '', type: 'number', how: 'see docs/methods/actions.md', cell: (view) => computed(of(view)?.lower ?? null) },
    { name: `${which}_to`, meaning: 'its interval, to', unit: '', type: 'number', how: 'as before', cell: (view) => computed(of(view)?.upper ?? null) },
    { name: `${which}_method`, meaning: 'how the interval was made', unit: '', how: '`over units`, `units drawn anew`, `exact` (nothing counted; as if independent)', cell: (view) => of(view)?.method ?? null },
    { name: `${which}_digest`, meaning: 'what every case gave, as a digest', unit: '', how: 'SHA-256', cell: (view) => of(view)?.digest ?? null },
  ];
};

/** The columns of actions.csv: one row per action, with its last re-measurement. */
export const ACTION_COLUMNS: readonly Column<ActionView>[] = [
  { name: 'action_id', meaning: 'names the action', unit: '', how: 'drawn when it was written', cell: ({ action }) => action.actionId },
  { name: 'what', meaning: 'what is to be done', unit: '', how: 'as it was written', cell: ({ action }) => action.what },
  { name: 'owner_role', meaning: 'who sees to it', unit: '', how: 'a role; a text that looks like a name is asked about', cell: ({ action }) => action.ownerRole },
  { name: 'due', meaning: 'by when the change is to be made', unit: '', how: 'empty: no day was set', cell: ({ action }) => action.due },
  { name: 'state', meaning: 'what became of it', unit: '', how: '`open`, `changed, not measured again`, `measured again`, `closed` or `not carried out`', cell: ({ state }) => STATE_WORDS[state] },
  { name: 'overdue_days', meaning: 'days since it was due', unit: 'd', type: 'number', how: 'on the day of the run; empty: not due, or changed', cell: ({ overdueDays }) => overdueDays },
  { name: 'origin', meaning: 'where it came from', unit: '', how: '`story`, `report` or `by hand`', cell: ({ action }) => action.origin.kind },
  { name: 'origin_title', meaning: 'title of the story or report', unit: '', how: 'as it was then', cell: ({ action }) => (action.origin.kind === 'by hand' ? null : action.origin.title) },
  { name: 'written_at', meaning: 'when it was written', unit: '', how: 'ISO 8601, UTC', cell: ({ action }) => action.writtenAt },
  { name: 'chart', meaning: 'the quality chart that it is measured by', unit: '', how: 'its name of today, or as it was where the chart is gone', cell: ({ action, chartName }) => chartName ?? action.measure?.chartName ?? null },
  { name: 'chart_id', meaning: 'names the chart', unit: '', how: 'a chart never changes its definition', cell: ({ action }) => action.measure?.chartId ?? null },
  { name: 'measure', meaning: 'what a point of it is', unit: '', how: 'docs/methods/quality-charts.md', cell: ({ action }) => action.measure?.definition.measure ?? null },
  { name: 'loss_of', meaning: 'dropouts at sensors, or blind intervals of the case', unit: '', how: '', cell: ({ action }) => action.measure?.definition.lossOf ?? null },
  { name: 'longer_than_s', meaning: 'from which length on a loss is long', unit: 's', type: 'number', how: 'mid estimate', cell: ({ action }) => action.measure?.definition.longerThanS ?? null },
  { name: 'definition', meaning: 'name of the set of parameters', unit: '', how: 'all of it stands in actions.json', cell: ({ action }) => action.measure?.definition.parameters.name ?? null },
  { name: 'change_date', meaning: 'first day of the new way', unit: '', how: 'empty: nothing was changed yet', cell: ({ action }) => action.change?.date ?? null },
  { name: 'change', meaning: 'what was changed', unit: '', how: 'as it was written', cell: ({ action }) => action.change?.text ?? null },
  { name: 'is_marked', meaning: 'whether the change is marked on the chart', unit: '', type: 'yes or no', how: 'empty: nothing was changed yet', cell: ({ action, isMarked }) => (action.change === null ? null : isMarked) },
  { name: 'measured_at', meaning: 'when it was last measured again', unit: '', how: 'ISO 8601, UTC; empty: never, of this chart and this day', cell: ({ last }) => last?.measuredAt ?? null },
  { name: 'standing', meaning: 'whether that counts', unit: '', how: '`measured`, `too early`, `too few cases` or `no interval`; all but the first leave the action open', cell: ({ last }) => last?.standing ?? null },
  { name: 'compared', meaning: 'what is compared', unit: '', how: 'for the measures between two events the share of cases', cell: ({ last }) => last?.compared ?? null },
  ...side('before'),
  ...side('after'),
  { name: 'effect', meaning: 'after over before, or for a median after − before', unit: '', type: 'number', how: 'association: what else changed at that time is not known', cell: ({ last }) => computed(last?.effect.estimate ?? null) },
  { name: 'effect_from', meaning: 'its interval, from', unit: '', type: 'number', how: 'as the quality chart shows it', cell: ({ last }) => computed(last?.effect.lower ?? null) },
  { name: 'effect_to', meaning: 'its interval, to', unit: '', type: 'number', how: 'as before', cell: ({ last }) => computed(last?.effect.upper ?? null) },
  { name: 'effect_kind', meaning: 'ratio or difference', unit: '', how: '', cell: ({ last }) => last?.effect.kind ?? null },
  { name: 'effect_reason', meaning: 'why there is none, or no interval', unit: '', how: 'words of docs/methods/quality-charts.md', cell: ({ last }) => last?.effect.reason ?? null },
  { name: 'finding', meaning: 'the same in a sentence', unit: '', how: 'names no cause', cell: ({ last }) => (last === null ? null : findingWords(last)) },
  { name: 'confidence', meaning: 'of every interval', unit: '1', type: 'number', how: 'as on the quality chart', cell: ({ last }) => last?.draws.conf ?? null },
  { name: 'unread', meaning: 'cases of the library that could not be read then', unit: '', type: 'number', how: 'in none of the figures', cell: ({ last }) => last?.unread ?? null },
  { name: 'settled_at', meaning: 'when it was closed, given up or taken up again', unit: '', how: 'ISO 8601, UTC', cell: ({ action }) => action.settled.at(-1)?.at ?? null },
  { name: 'settled_reason', meaning: 'why', unit: '', how: 'as it was written', cell: ({ action }) => action.settled.at(-1)?.reason ?? null },
];

/** Returns actions.csv, in the order of the list. Missing no action: the headings alone. */
export function actionsCsv(views: readonly ActionView[]): string {
  return headingText(ACTION_COLUMNS) + rowsText(ACTION_COLUMNS, views);
}

/** Returns actions.json: every action whole, with its definition and every re-measurement, and what follows from it on the day `today`. */
export function actionsJson(views: readonly ActionView[], today: string): string {
  return `${JSON.stringify({ schema: 'lacuna-actions-list/1', today, actions: views }, null, 2)}\n`;
}
