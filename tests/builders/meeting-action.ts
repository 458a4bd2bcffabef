import type { ActionMeasure, MeasuredSide, MeetingAction, Remeasurement } from '../../core/model/action.ts';
import { qualityDefinition } from './quality-case.ts';

/** The share of cases with a dropout longer than a minute, by month, as an action keeps it. */
export function actionMeasure(changes: Partial<ActionMeasure> = {}): ActionMeasure {
  return { chartId: 'chart-1', chartName: 'Long dropouts', definition: qualityDefinition(), ...changes };
}

/** An action of a meeting: open, with a measure and a day. */
export function meetingAction(changes: Partial<MeetingAction> = {}): MeetingAction {
  return {
    actionId: '00000000000000a1', edition: 1, what: 'Second sensor on the ear lobe whenever both arms are tucked', ownerRole: 'lead for monitoring', due: '2031-03-31', measure: actionMeasure(), origin: { kind: 'by hand' },
    saidNoPerson: false, writtenAt: '2031-02-01T09:00:00.000Z', change: null, takenBack: [], remeasurements: [], settled: [], ...changes,
  };
}

/** Its change, from the tenth of March on. */
export const CHANGE_SAID: NonNullable<MeetingAction['change']> = { date: '2031-03-10', text: 'second sensor with tucked arms', mark: { chartId: 'chart-1', changeId: 'change-1' }, saidAt: '2031-03-11T10:00:00.000Z' };

function side(changes: Partial<MeasuredSide>): MeasuredSide {
  return { first: '2031-01-01', last: '2031-03-09', cases: 40, units: 40, estimate: 0.25, lower: 0.14, upper: 0.44, reason: null, numerator: 10, denominator: 40, method: 'over units', digest: 'd'.repeat(64), ...changes };
}

/** A re-measurement that counts: 10 of 40 cases before, 6 of 60 after. */
export function remeasurement(changes: Partial<Remeasurement> = {}): Remeasurement {
  return {
    measuredAt: '2031-06-01T08:00:00.000Z', productVersion: '1.2.3', chartId: 'chart-1', changeDate: '2031-03-10', standing: 'measured', compared: 'share of cases',
    before: side({}), after: side({ first: '2031-03-10', last: '2031-05-30', cases: 60, units: 60, estimate: 0.1, lower: 0.05, upper: 0.2, numerator: 6, denominator: 60 }),
    effect: { kind: 'ratio', estimate: 0.4, lower: 0.16, upper: 0.99, reason: null }, since: null, until: null, draws: { replicates: 2000, seed: 20260101, conf: 0.95 }, leftOut: { undated: 0, notUsable: 0, notChosen: 0 }, unread: 0, ...changes,
  };
}
