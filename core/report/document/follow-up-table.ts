import { followUp } from '../../actions/follow-up.ts';
import { findingWords, measuredWords, NO_CAUSE, overdueWords, standingWords, STATE_WORDS } from '../../actions/action-words.ts';
import type { ActionView } from '../../model/action.ts';
import type { ReportBlock, ReportTable } from '../../model/report-document.ts';
import { noteWithMethod } from './method-words.ts';
import { measureWords } from './department-words.ts';

/**
 * Returns the table "Follow-up of actions" for the next meeting or a report: what is in view, and what was settled since the last meeting.
 * `since` as in `followUp`. Missing  no such action: null, and the report says so in its own words.
 * Source  handbook 9.2: follow-up of the last meeting's actions; 11, step 16.
 */
export function followUpTable(views: readonly ActionView[], since: string | null): ReportTable | null {
  const rows = followUp(views, since);
  if (rows.length === 0) return null;
  return {
    caption: 'Follow-up of actions',
    columns: [{ heading: 'Action', align: 'start' }, { heading: 'Owner (role)', align: 'start' }, { heading: 'Due', align: 'start' }, { heading: 'State', align: 'start' }, { heading: 'Measure', align: 'start' }, { heading: 'What became of it', align: 'start' }],
    rows: rows.map((view) => {
      const { action, state } = view;
      const late = overdueWords(view);
      return [action.what, action.ownerRole, [action.due ?? 'no day set', ...(late === null ? [] : [late])].join(', '), STATE_WORDS[state], action.measure === null ? 'not chosen yet' : measureWords(action.measure.definition), outcomeWords(view)];
    }),
    note: noteWithMethod(`An action without a measure taken again stays open. ${NO_CAUSE}`, 'methods/actions'),
  };
}

/** Returns the part of a report about actions; nothing where nobody gave any. `since` as in `followUp`. */
export function followUpPart(views: readonly ActionView[] | null, since: string | null): ReportBlock[] {
  if (views === null) return [];
  const table = followUpTable(views, since);
  return [
    { kind: 'heading', level: 2, text: 'Follow-up of actions' },
    table === null ? { kind: 'paragraph', tone: 'plain', text: 'No action is open, and none was settled in this time.' } : { kind: 'table', table },
  ];
}

/** Returns what became of an action in words: the change, the measure again, why it was settled. */
export function outcomeWords({ action, state, last }: ActionView): string {
  const { change, settled } = action;
  const parts: string[] = [];
  if (change !== null) parts.push(`Changed from ${change.date} on: ${change.text}.`);
  if (last !== null) {
    const { before, after, effect } = measuredWords(last);
    parts.push(`Before ${before}; after ${after}; ${effect}.`, findingWords(last) ?? standingWords(last));
  }
  const said = settled.at(-1);
  if (said !== undefined && said.as === state) parts.push(`${state === 'closed' ? 'Closed' : 'Not carried out'}: ${said.reason}`);
  return parts.length === 0 ? 'nothing yet' : parts.join(' ');
}
