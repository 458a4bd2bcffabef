import fc from 'fast-check';
import { expect, test } from 'vitest';
import { actionState, inListOrder, isInView, lastRemeasurement, viewOfAction } from '../../core/actions/action-state.ts';
import { type ActionStep, editAction, newAction } from '../../core/actions/edit-action.ts';
import { followUp } from '../../core/actions/follow-up.ts';
import { type MeasureAgainOptions, measureAgain } from '../../core/cohort/measure-again.ts';
import { STANDINGS, type MeetingAction } from '../../core/model/action.ts';
import { meetingActionSchema } from '../../core/model/action-schema.ts';
import type { QualityCase } from '../../core/model/quality-case.ts';
import { CHART_MEASURES } from '../../core/model/quality-chart.ts';
import { actionsCsv, actionsJson } from '../../core/report/actions-table.ts';
import { actionMeasure, remeasurement } from '../builders/meeting-action.ts';
import { qualityCase, qualityDefinition } from '../builders/quality-case.ts';

const DATES = ['2031-03-10', '2031-04-01', '2031-05-20'] as const;
const CHARTS = ['chart-1', 'chart-2'] as const;

const step: fc.Arbitrary<ActionStep> = fc.oneof(
  fc.record({ what: fc.constantFrom('a', 'b', ''), due: fc.constantFrom(null, ...DATES), measure: fc.constantFrom(null, ...CHARTS.map((chartId) => actionMeasure({ chartId }))) }).map(({ what, due, measure }): ActionStep => ({ kind: 'write', written: { what, ownerRole: 'lead for monitoring', due, measure, saidNoPerson: false } })),
  fc.constantFrom(...DATES).map((date): ActionStep => ({ kind: 'say change', date, text: 'changed', mark: null, saidNoPerson: false })),
  fc.constantFrom(...CHARTS).map((chartId): ActionStep => ({ kind: 'marked', mark: { chartId, changeId: 'm' } })),
  fc.constantFrom('', 'a reason').map((reason): ActionStep => ({ kind: 'take change back', reason })),
  fc.record({ as: fc.constantFrom('closed', 'not carried out', 'taken up again'), reason: fc.constantFrom('', 'a reason') }).map((said): ActionStep => ({ kind: 'settle', ...said })),
  fc.record({ chartId: fc.constantFrom(...CHARTS), changeDate: fc.constantFrom(...DATES), standing: fc.constantFrom(...STANDINGS), unread: fc.integer({ min: 0, max: 2 }) }).map((part): ActionStep => ({ kind: 'measured', remeasurement: remeasurement(part) })),
);

test('no order of steps loses an action, a measurement, a reason or a change; what was not measured again is never closed', () => {
  fc.assert(fc.property(fc.array(fc.tuple(fc.integer({ min: 0, max: 2 }), step), { maxLength: 40 }), (steps) => {
    let actions: readonly MeetingAction[] = [0, 1, 2].map((i) => {
      const made = newAction({ what: `action ${i}`, ownerRole: 'lead for monitoring', due: null, measure: actionMeasure(), saidNoPerson: false }, { kind: 'by hand' }, { actionId: `000000000000000${i}`, now: '2031-01-01T00:00:00.000Z' });
      if (!made.ok) throw new Error(made.failure.code);
      return made.value;
    });
    steps.forEach(([which, own], i) => {
      const before = actions[which];
      if (before === undefined) throw new Error('no such action');
      const result = editAction(before, own, `2031-02-01T00:00:${String(i).padStart(2, '0')}.000Z`);
      if (!result.ok) {
        expect(result.failure.remedy).not.toBe('');
        return;
      }
      const after = result.value;
      expect(meetingActionSchema.parse(after)).toEqual(after);
      // Each list only grows at its end; a change that is gone is among those taken back.
      expect(after.remeasurements.slice(0, before.remeasurements.length)).toEqual(before.remeasurements);
      expect(after.settled.slice(0, before.settled.length)).toEqual(before.settled);
      expect(after.takenBack.slice(0, before.takenBack.length)).toEqual(before.takenBack);
      if (before.change !== null && after.change === null) expect(after.takenBack.at(-1)).toMatchObject({ date: before.change.date, text: before.change.text });
      if (after !== before) expect(after.edition).toBe(before.edition + 1);
      if (actionState(after) === 'closed') expect(lastRemeasurement(after)?.standing).toBe('measured');
      if (actionState(after) === 'not carried out') expect(after.change).toBeNull();
      actions = actions.map((one, at) => (at === which ? after : one));
    });
    const views = actions.map((action) => viewOfAction(action, [], '2031-06-01'));
    expect(inListOrder(views).map(({ action }) => action.actionId).sort()).toEqual(actions.map(({ actionId }) => actionId));
    // Every action that is not closed after a measure, or given up without a change, is followed up and stands in the tables.
    expect(followUp(views, null).map(({ action }) => action.actionId).sort()).toEqual(views.filter(({ state }) => isInView(state)).map(({ action }) => action.actionId).sort());
    for (const { actionId } of actions) {
      expect(actionsCsv(views)).toContain(actionId);
      expect(actionsJson(views, '2031-06-01')).toContain(actionId);
    }
  }), { numRuns: 300 });
});

const drawnCases = fc.array(fc.record({ day: fc.integer({ min: 0, max: 200 }), lossesS: fc.array(fc.integer({ min: 5, max: 300 }), { maxLength: 3 }) }), { minLength: 2, maxLength: 60 }).map((list) =>
  list.map(({ day, lossesS }, i): QualityCase => ({ ...qualityCase(`c${i}`, new Date(Date.UTC(2031, 0, 1 + day)).toISOString().slice(0, 10), lossesS), startedAtMs: Date.UTC(2031, 0, 1 + day, 8) + i })));

test('measured again from the same cases, in whatever order, gives the same bytes; what changes a figure changes a digest', () => {
  fc.assert(fc.property(drawnCases, fc.constantFrom(...CHART_MEASURES), fc.integer({ min: 1, max: 200 }), (cases, measure, day) => {
    const options: MeasureAgainOptions = { conf: 0.95, replicates: 20, seed: 7, openMonth: '2031-12', digestOf: (text) => text, marked: [] };
    const task = { measure: { chartId: 'c', definition: qualityDefinition({ measure }) }, change: { date: new Date(Date.UTC(2031, 0, 1 + day)).toISOString().slice(0, 10) } };
    const found = measureAgain(task, cases, options);
    const again = measureAgain(task, [...cases].reverse(), options);
    expect(JSON.stringify(again)).toBe(JSON.stringify(found));
    expect(found.before.cases + found.after.cases).toBe(cases.length);
    const one = cases[0];
    if (one === undefined) return;
    const other = measureAgain(task, [{ ...one, caseKey: 'another' }, ...cases.slice(1)], options);
    expect([other.before.digest, other.after.digest]).not.toEqual([found.before.digest, found.after.digest]);
    // A step with the same figures leaves the action as it is.
    const action = { ...remeasurement(), ...found, unread: 0 };
    const kept = editAction({ ...actionWith(task.change.date), remeasurements: [action] }, { kind: 'measured', remeasurement: { ...action, measuredAt: 'later' } }, 'later');
    expect(kept.ok && kept.value.remeasurements).toEqual([action]);
  }), { numRuns: 60 });
});

function actionWith(date: string): MeetingAction {
  const made = newAction({ what: 'x', ownerRole: 'lead for monitoring', due: null, measure: actionMeasure({ chartId: 'c' }), saidNoPerson: false }, { kind: 'by hand' }, { actionId: '0000000000000000', now: '2031-01-01T00:00:00.000Z' });
  if (!made.ok) throw new Error(made.failure.code);
  return { ...made.value, change: { date, text: 'x', mark: null, saidAt: '' } };
}
