import type { ActionState, ActionView, MeetingAction, Remeasurement } from '../model/action.ts';
import type { QualityChart } from '../model/quality-chart.ts';
import { DAY_MS, daysFromCivil } from '../time/civil.ts';

/** Returns the last re-measurement of an action's own measure and change; null: none. What was measured by another chart, or for another day, says nothing of it. */
export function lastRemeasurement({ remeasurements, measure, change }: Pick<MeetingAction, 'remeasurements' | 'measure' | 'change'>): Remeasurement | null {
  if (measure === null || change === null) return null;
  return remeasurements.findLast(({ chartId, changeDate }) => chartId === measure.chartId && changeDate === change.date) ?? null;
}

/**
 * Returns what becomes of an action, from its facts alone. Whatever was changed and not measured again stays open: an action is `closed` only
 * after a re-measurement that counts, and `not carried out` only where nothing was changed.
 */
export function actionState(action: MeetingAction): ActionState {
  const said = action.settled.at(-1)?.as;
  if (said === 'closed' || said === 'not carried out') return said;
  if (action.change === null) return 'open';
  return lastRemeasurement(action)?.standing === 'measured' ? 'measured again' : 'change made';
}

/** Returns whether an action waits for somebody: everything that is not closed and not given up. */
export function isInView(state: ActionState): boolean {
  return state !== 'closed' && state !== 'not carried out';
}

/** Returns the first day on which a whole calendar month lies after a change: the first of the month after the next, or of the next where the change fell on a first. */
export function wholeMonthAfter(changeDate: string): string {
  const [year = NaN, month = NaN, day = NaN] = changeDate.split('-').map(Number);
  const months = year * 12 + (month - 1) + (day === 1 ? 1 : 2);
  return `${String(Math.floor(months / 12)).padStart(4, '0')}-${String((months % 12) + 1).padStart(2, '0')}-01`;
}

/** Returns an action with what follows from it on a day, by the charts of the library as they are. `today`: `YYYY-MM-DD`. */
export function viewOfAction(action: MeetingAction, charts: readonly Pick<QualityChart, 'chartId' | 'name' | 'changes'>[], today: string): ActionView {
  const { measure, change, due } = action;
  const state = actionState(action);
  const chart = measure === null ? undefined : charts.find(({ chartId }) => chartId === measure.chartId);
  const late = due === null || state !== 'open' ? null : daysBetween(due, today);
  const mark = change?.mark ?? null;
  return {
    action,
    state,
    overdueDays: late === null || late < 0 ? null : late,
    chartName: chart?.name ?? null,
    isMarked: mark !== null && chart !== undefined && mark.chartId === chart.chartId && chart.changes.some(({ changeId }) => changeId === mark.changeId),
    measurableFrom: change === null || measure === null || countsGroups(measure.definition) ? null : wholeMonthAfter(change.date),
    last: lastRemeasurement(action),
  };
}

/** Returns whether a chart's points are groups of cases: then so many cases have to lie after a change, not a month. */
export function countsGroups({ measure, grouping }: Pick<QualityChart['definition'], 'measure' | 'grouping'>): boolean {
  return grouping.by === 'cases' && measure !== 'cases between long losses' && measure !== 'days between long losses';
}

function daysBetween(from: string, to: string): number {
  return (dayOf(to) - dayOf(from)) / DAY_MS;
}

function dayOf(text: string): number {
  const [year = NaN, month = NaN, day = NaN] = text.split('-').map(Number);
  return daysFromCivil(year, month, day) * DAY_MS;
}

/** How urgent a state is in a list: what waits for somebody comes first. */
const PLACES: Readonly<Record<ActionState, number>> = { 'open': 0, 'change made': 1, 'measured again': 2, 'closed': 3, 'not carried out': 3 };

/**
 * Returns actions as a list shows them: those in view first. Overdue ones lead, the longest first; then open ones by the day they are due,
 * those without a day after them; then changes that wait to be measured again, the oldest first; what was measured; last what is settled, the
 * newest first. Ties in the order in which they were written.
 */
export function inListOrder(views: readonly ActionView[]): ActionView[] {
  const key = ({ action, state }: ActionView): readonly [number, string] => {
    if (state === 'open') return [PLACES[state], action.due ?? '9999-99-99'];
    if (isInView(state)) return [PLACES[state], action.change?.date ?? ''];
    return [PLACES[state], ''];
  };
  const settledAt = ({ action }: ActionView): string => action.settled.at(-1)?.at ?? '';
  return [...views].sort((a, b) => {
    const [placeA, keyA] = key(a);
    const [placeB, keyB] = key(b);
    if (placeA !== placeB) return placeA - placeB;
    if (keyA !== keyB) return keyA < keyB ? -1 : 1;
    const [lateA, lateB] = [settledAt(a), settledAt(b)];
    if (!isInView(a.state) && lateA !== lateB) return lateA > lateB ? -1 : 1;
    return a.action.writtenAt < b.action.writtenAt ? -1 : a.action.writtenAt > b.action.writtenAt ? 1 : a.action.actionId < b.action.actionId ? -1 : 1;
  });
}
