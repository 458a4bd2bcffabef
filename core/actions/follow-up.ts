import type { ActionView } from '../model/action.ts';
import { inListOrder, isInView } from './action-state.ts';

/**
 * Returns the actions that the next meeting follows up: everything that is still in view, then what was closed or given up since the last
 * meeting. `since`: `YYYY-MM-DD`, the day of the last meeting; null: nothing that is settled.
 * Shape   in the order of a list; days are those of UTC in which the action was settled.
 */
export function followUp(views: readonly ActionView[], since: string | null): ActionView[] {
  return inListOrder(views.filter(({ action, state }) => isInView(state) || (since !== null && (action.settled.at(-1)?.at.slice(0, 10) ?? '') >= since)));
}
