import { describe, expect, test } from 'vitest';
import { viewOfAction } from '../../../../core/actions/action-state.ts';
import type { MeetingAction } from '../../../../core/model/action.ts';
import { ACTION_COLUMNS, actionsCsv, actionsJson } from '../../../../core/report/actions-table.ts';
import { parseActions } from '../../../../core/persist/actions-file.ts';
import { followUpPart, followUpTable } from '../../../../core/report/document/follow-up-table.ts';
import { CHANGE_SAID, meetingAction, remeasurement } from '../../../builders/meeting-action.ts';

const view = (changes: Partial<MeetingAction>) => viewOfAction(meetingAction(changes), [], '2031-04-12');

describe('actions.csv', () => {
  test('has a row per action; what is not known is an empty cell', () => {
    const [headings, open, measured] = actionsCsv([view({ measure: null }), view({ change: CHANGE_SAID, remeasurements: [remeasurement()], origin: { kind: 'story', storyId: 's', title: 'Both arms tucked', momentId: null } })]).split('\r\n');
    expect(headings?.split(',')).toEqual(ACTION_COLUMNS.map(({ name }) => name));
    const cells = (line: string | undefined) => Object.fromEntries(ACTION_COLUMNS.map(({ name }, i) => [name, line?.split(',')[i] ?? null]));
    expect(cells(open)).toMatchObject({ state: 'open', due: '2031-03-31', overdue_days: '12', origin: 'by hand', origin_title: '', chart: '', change_date: '', is_marked: '', before: '', standing: '', settled_at: '' });
    const { state: _state, finding: _finding, ...rest } = cells(measured?.replaceAll('"', '').replace('changed, not', 'changed; not').replace('change, by', 'change; by'));
    expect(rest).toMatchObject({ overdue_days: '', origin: 'story', origin_title: 'Both arms tucked', chart: 'Long dropouts', change_date: '2031-03-10', is_marked: 'no', standing: 'measured', before: '0.25', before_from: '0.14', before_to: '0.44', before_units: '40', after: '0.1', effect: '0.4', effect_to: '0.99', effect_kind: 'ratio', confidence: '0.95' });
  });

  test('a text that a spreadsheet would run is guarded', () => {
    expect(actionsCsv([view({ what: '=SUM(A1)' })])).toContain("'=SUM(A1)");
  });
});

test('actions.json is read again as it was written, and what is none says where', () => {
  const views = [view({}), view({ change: CHANGE_SAID, remeasurements: [remeasurement()] })];
  expect(parseActions(JSON.parse(actionsJson(views, '2031-04-12')))).toEqual({ ok: true, value: views });
  expect(parseActions({ schema: 'lacuna-actions-list/1', today: 'x', actions: [{}] })).toMatchObject({ ok: false, failure: { code: 'actions-unreadable', message: expect.stringContaining('actions.0.') as string } });
});

describe('the follow-up of actions', () => {
  test('is a part of a report only where actions were given', () => {
    expect([followUpPart(null, null), followUpPart([], null).map(({ kind }) => kind), followUpPart([view({})], null).map(({ kind }) => kind)]).toEqual([[], ['heading', 'paragraph'], ['heading', 'table']]);
  });

  test('says what was asked, by when, and what became of it, without a cause', () => {
    const table = followUpTable([view({}), view({ actionId: '00000000000000a2', change: CHANGE_SAID, remeasurements: [remeasurement()] })], null);
    expect(table?.rows).toEqual([
      ['Second sensor on the ear lobe whenever both arms are tucked', 'lead for monitoring', '2031-03-31, overdue by 12 days', 'open', 'Share of cases with a loss of more than 60 s', 'nothing yet'],
      [
        'Second sensor on the ear lobe whenever both arms are tucked', 'lead for monitoring', '2031-03-31', 'measured again', 'Share of cases with a loss of more than 60 s',
        'Changed from 2031-03-10 on: second sensor with tucked arms. Before 25.0 % (14.0 % to 44.0 %), 10 of 40 cases; after 10.0 % (5.0 % to 20.0 %), 6 of 60 cases; after ÷ before 0.40 (95 % interval 0.16 to 0.99). The measure is lower after the change, by more than chance alone usually makes it.',
      ],
    ]);
    expect(table?.rows.every((row) => row.length === table.columns.length)).toBe(true);
    expect(table?.note).toContain('does not show that the change made it');
  });

  test('tells what was settled since the last meeting with its reason, and is null where nothing is to be followed up', () => {
    const given = view({ settled: [{ as: 'not carried out', reason: 'no sensors to be had', at: '2031-04-01T00:00:00.000Z' }] });
    expect(followUpTable([given], '2031-03-01')?.rows[0]?.at(-1)).toBe('Not carried out: no sensors to be had');
    expect([followUpTable([given], '2031-04-02'), followUpTable([given], null), followUpTable([], null)]).toEqual([null, null, null]);
  });
});
