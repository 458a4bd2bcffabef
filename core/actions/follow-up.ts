import type { ActionView } from '../model/action.ts';
import { civilFromDays, daysFromCivil } from '../time/civil.ts';
import { inListOrder, isInView } from './action-state.ts';
import { findingWords, overdueWords, STATE_WORDS } from './action-words.ts';

/**
 * Returns the actions that the next meeting follows up: everything that is still in view, then what was closed or given up since the last
 * meeting. `since`: `YYYY-MM-DD`, the day of the last meeting; null: nothing that is settled.
 * Shape   in the order of a list; days are those of UTC in which the action was settled.
 */
export function followUp(views: readonly ActionView[], since: string | null): ActionView[] {
  return inListOrder(views.filter(({ action, state }) => isInView(state) || (since !== null && (action.settled.at(-1)?.at.slice(0, 10) ?? '') >= since)));
}

/** Days that a meeting looks back on, where nobody has said when the last one was: a quarter. Own choice. */
const QUARTER_DAYS = 92;

/** Returns the day a quarter before another; both `YYYY-MM-DD`. */
export function quarterBefore(today: string): string {
  const [year = NaN, month = NaN, day = NaN] = today.split('-').map(Number);
  const before = civilFromDays(daysFromCivil(year, month, day) - QUARTER_DAYS);
  return `${String(before.year).padStart(4, '0')}-${String(before.month).padStart(2, '0')}-${String(before.day).padStart(2, '0')}`;
}

/**
 * Returns the follow-up as lines for a story: what was asked, whose role, what became of it. No date and no name of a chart stands in it, so that
 * nothing of it tells when the meeting was.
 * Shape   at most `most` characters: where not all fit, the last line says how many are left out. Missing  nothing to follow up: ''.
 */
export function followUpText(views: readonly ActionView[], since: string | null, most: number): string {
  const lines = followUp(views, since).map((view) => {
    const { action, state, last } = view;
    const late = overdueWords(view);
    return `– ${action.what} (${action.ownerRole}): ${[STATE_WORDS[state], ...(late === null ? [] : [late])].join(', ')}.${last === null ? '' : ` ${findingWords(last) ?? ''}`}`.trimEnd();
  });
  const leftOut = (count: number): string => (count === 0 ? '' : `\n– ${count} more in the list of actions.`);
  for (let kept = lines.length; kept >= 0; kept--) {
    const text = `${lines.slice(0, kept).join('\n')}${leftOut(lines.length - kept)}`.trimStart();
    if (text.length <= most) return text;
  }
  return '';
}
