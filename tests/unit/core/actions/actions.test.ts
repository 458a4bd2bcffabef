import { describe, expect, test } from 'vitest';
import { actionState, inListOrder, viewOfAction, wholeMonthAfter } from '../../../../core/actions/action-state.ts';
import { findingWords, measuredWords, overdueWords, standingWords } from '../../../../core/actions/action-words.ts';
import { type ActionStep, editAction, newAction, type WrittenAction } from '../../../../core/actions/edit-action.ts';
import { followUp, followUpText, quarterBefore } from '../../../../core/actions/follow-up.ts';
import { looksLikePerson, namesSomebody } from '../../../../core/identity/person-in-role.ts';
import type { ActionView, MeetingAction } from '../../../../core/model/action.ts';
import { meetingActionSchema } from '../../../../core/model/action-schema.ts';
import { actionMeasure, CHANGE_SAID, meetingAction, remeasurement } from '../../../builders/meeting-action.ts';
import { qualityDefinition } from '../../../builders/quality-case.ts';

const NOW = '2031-07-01T12:00:00.000Z';
const changed = meetingAction({ change: CHANGE_SAID });
const measured = meetingAction({ change: CHANGE_SAID, remeasurements: [remeasurement()] });
const settled = (as: MeetingAction['settled'][number]['as'], at = NOW) => ({ as, reason: 'because', at });
const code = (action: MeetingAction, step: ActionStep): string => {
  const result = editAction(action, step, NOW);
  return result.ok ? 'ok' : result.failure.code;
};
const after = (action: MeetingAction, step: ActionStep): MeetingAction => {
  const result = editAction(action, step, NOW);
  if (!result.ok) throw new Error(result.failure.code);
  return meetingActionSchema.parse(result.value) as MeetingAction;
};

describe('the state of an action follows from its facts', () => {
  test.each([
    ['nothing was changed', meetingAction(), 'open'],
    ['a change was said', changed, 'change made'],
    ['it was measured again and counts', measured, 'measured again'],
    ['too early', meetingAction({ change: CHANGE_SAID, remeasurements: [remeasurement({ standing: 'too early' })] }), 'change made'],
    ['too few cases', meetingAction({ change: CHANGE_SAID, remeasurements: [remeasurement({ standing: 'too few cases' })] }), 'change made'],
    ['no interval', meetingAction({ change: CHANGE_SAID, remeasurements: [remeasurement({ standing: 'no interval' })] }), 'change made'],
    ['what counted no longer does', meetingAction({ change: CHANGE_SAID, remeasurements: [remeasurement(), remeasurement({ standing: 'too few cases' })] }), 'change made'],
    ['another chart was measured', meetingAction({ change: CHANGE_SAID, remeasurements: [remeasurement({ chartId: 'chart-2' })] }), 'change made'],
    ['another day was measured', meetingAction({ change: CHANGE_SAID, remeasurements: [remeasurement({ changeDate: '2031-03-11' })] }), 'change made'],
    ['the change was taken back', meetingAction({ remeasurements: [remeasurement()] }), 'open'],
    ['the measure was taken away', meetingAction({ change: CHANGE_SAID, measure: null, remeasurements: [remeasurement()] }), 'change made'],
    ['closed', { ...measured, settled: [settled('closed')] }, 'closed'],
    ['taken up again', { ...measured, settled: [settled('closed'), settled('taken up again')] }, 'measured again'],
    ['given up', meetingAction({ settled: [settled('not carried out')] }), 'not carried out'],
  ] as const)('%s', (_name, action, state) => {
    expect(actionState(action)).toBe(state);
  });
});

describe('what can be done with an action', () => {
  test('it is closed only after a measure that counts, and given up only where nothing was changed', () => {
    const close: ActionStep = { kind: 'settle', as: 'closed', reason: 'done' };
    const giveUp: ActionStep = { kind: 'settle', as: 'not carried out', reason: 'no ear sensors to be had' };
    expect([meetingAction(), changed, measured].map((one) => [code(one, close), code(one, giveUp)])).toEqual([['not-measured', 'ok'], ['not-measured', 'change-made'], ['ok', 'change-made']]);
    expect(code(measured, { ...close, reason: ' ' })).toBe('no-reason');
    const closed = after(measured, close);
    expect(closed.settled).toEqual([{ as: 'closed', reason: 'done', at: NOW }]);
    expect([code(closed, close), code(closed, { kind: 'take change back', reason: 'x' }), code(closed, { kind: 'measured', remeasurement: remeasurement({ measuredAt: 'later' }) })]).toEqual(['action-settled', 'action-settled', 'action-settled']);
    const again = after(closed, { kind: 'settle', as: 'taken up again', reason: 'it came back' });
    expect([actionState(again), again.settled.length, again.remeasurements.length]).toEqual(['measured again', 2, 1]);
    expect(code(again, { kind: 'settle', as: 'taken up again', reason: 'x' })).toBe('not-settled');
  });

  test('a change is said once, and taken back with a reason; what was said stays', () => {
    const step: ActionStep = { kind: 'say change', date: '2031-03-10', text: ' second sensor ', mark: null, saidNoPerson: false };
    const said = after(meetingAction(), step);
    expect(said.change).toEqual({ date: '2031-03-10', text: 'second sensor', mark: null, saidAt: NOW });
    expect([code(said, step), code(meetingAction(), { ...step, text: ' ' }), code(meetingAction(), { ...step, text: 'Dr Keller brought sensors' })]).toEqual(['change-said', 'no-text', 'looks-like-person']);
    expect(after(meetingAction(), { ...step, text: 'Dr Keller brought sensors', saidNoPerson: true }).saidNoPerson).toBe(true);
    expect([code(said, { kind: 'take change back', reason: '' }), code(meetingAction(), { kind: 'take change back', reason: 'x' }), code(meetingAction(), { kind: 'marked', mark: { chartId: 'c', changeId: 'm' } })]).toEqual(['no-reason', 'no-change', 'no-change']);
    const back = after({ ...said, remeasurements: [remeasurement()] }, { kind: 'take change back', reason: 'was in April' });
    expect([actionState(back), back.takenBack, back.remeasurements.length]).toEqual(['open', [{ ...said.change, reason: 'was in April', takenBackAt: NOW }], 1]);
    expect(after(said, { kind: 'marked', mark: { chartId: 'c', changeId: 'm' } }).change?.mark).toEqual({ chartId: 'c', changeId: 'm' });
  });

  test('the same figures once more leave it as it was, byte for byte; others are added', () => {
    const again = editAction(measured, { kind: 'measured', remeasurement: remeasurement({ measuredAt: '2031-08-01T00:00:00.000Z', productVersion: '9' }) }, NOW);
    expect(again.ok && again.value).toBe(measured);
    expect(after(measured, { kind: 'measured', remeasurement: remeasurement({ unread: 1 }) })).toMatchObject({ edition: 2, remeasurements: [{ unread: 0 }, { unread: 1 }] });
    expect([code(meetingAction(), { kind: 'measured', remeasurement: remeasurement() }), code({ ...changed, measure: null }, { kind: 'measured', remeasurement: remeasurement() })]).toEqual(['no-change', 'no-change']);
  });

  test('words are asked for, and what looks like a person is a question', () => {
    const written: WrittenAction = { what: ' Check sensors ', ownerRole: ' lead for monitoring ', due: null, measure: null, saidNoPerson: false };
    const at = { actionId: '0'.repeat(16), now: NOW };
    const made = newAction(written, { kind: 'report', title: 'First quarter' }, at);
    expect(made.ok && meetingActionSchema.parse(made.value)).toMatchObject({ what: 'Check sensors', ownerRole: 'lead for monitoring', edition: 1, saidNoPerson: false, origin: { kind: 'report' } });
    const refused = (over: Partial<WrittenAction>) => {
      const result = newAction({ ...written, ...over }, { kind: 'by hand' }, at);
      return result.ok ? 'ok' : `${result.failure.code} ${result.failure.message.split(' ')[0] ?? ''}`;
    };
    expect([refused({ what: ' ' }), refused({ ownerRole: '' }), refused({ what: 'x'.repeat(1001) }), refused({ ownerRole: 'x'.repeat(121) })]).toEqual(['no-text An', 'no-owner An', 'no-text An', 'no-owner An']);
    expect([refused({ ownerRole: 'Dr Keller' }), refused({ what: 'Ask Mrs Huber' }), refused({ ownerRole: 'Dr Keller', saidNoPerson: true })]).toEqual(['looks-like-person The', 'looks-like-person What', 'ok']);
    // A person who said it of a text that needs no asking has said nothing.
    const plain = newAction({ ...written, saidNoPerson: true }, { kind: 'by hand' }, at);
    expect(plain.ok && plain.value.saidNoPerson).toBe(false);
    expect(after(meetingAction({ saidNoPerson: true }), { kind: 'write', written }).saidNoPerson).toBe(false);
    expect(code(meetingAction(), { kind: 'write', written: { ...written, ownerRole: 'Anna Huber' } })).toBe('looks-like-person');
  });
});

// Roles and names are invented; which texts look like a name: common practice, no source.
test.each([
  ['lead for monitoring', false], ['Lead for monitoring', false], ['QI lead', false], ['Head of Theatre Nursing', false], ['consultant anaesthetist on call', false], ['Quality group', false], ['M&M committee', false], ['OR team', false], ['Beauftragte für Monitoring', false], ['', false],
  ['Dr Keller', true], ['Anna Huber', true], ['Kowalczyk', true], ['Huber', true], ['Zbigniew Brzozowski', true], ['lead: Sarah', true], ['a.huber@clinic.example', true],
])('“%s” as an owner looks like a person: %s', (text, expected) => {
  expect(looksLikePerson(text)).toBe(expected);
});

test('a sentence about equipment names nobody; one with a title or a given name does', () => {
  expect(['Second sensor on the ear lobe whenever both arms are tucked', 'Prompt at 60 s of loss, from March on', 'Warm hands before draping'].map(namesSomebody)).toEqual([false, false, false]);
  expect(['Ask Dr Keller for sensors', 'Sabine orders them'].map(namesSomebody)).toEqual([true, true]);
});

describe('an action on a day', () => {
  const chart = { chartId: 'chart-1', name: 'Long dropouts, new name', changes: [{ changeId: 'change-1', date: '2031-03-10', text: '', madeAt: '' }] };
  const on = (action: MeetingAction, today: string, charts = [chart]) => viewOfAction(action, charts, today);

  test('is overdue while nothing was changed, in whole days over months and leap days', () => {
    const late = (today: string, action = meetingAction()) => overdueWords(on(action, today));
    expect([late('2031-03-30'), late('2031-03-31'), late('2031-04-01'), late('2031-05-01'), late('2032-03-31')]).toEqual([null, 'due today', 'overdue by 1 day', 'overdue by 31 days', 'overdue by 366 days']);
    expect([late('2031-05-01', changed), late('2031-05-01', meetingAction({ due: null }))]).toEqual([null, null]);
  });

  test('knows its chart of today, its mark, and from when on it can be measured', () => {
    expect(on(changed, '2031-04-01')).toMatchObject({ chartName: 'Long dropouts, new name', isMarked: true, measurableFrom: '2031-05-01', last: null });
    expect(on(changed, '2031-04-01', [{ ...chart, changes: [] }])).toMatchObject({ isMarked: false });
    expect(on(changed, '2031-04-01', [])).toMatchObject({ chartName: null, isMarked: false });
    expect(on(meetingAction({ measure: null }), '2031-04-01')).toMatchObject({ chartName: null, isMarked: false, measurableFrom: null });
    const groups = meetingAction({ change: CHANGE_SAID, measure: actionMeasure({ definition: qualityDefinition({ grouping: { by: 'cases', size: 20 } }) }) });
    expect(on(groups, '2031-04-01').measurableFrom).toBeNull();
    expect([wholeMonthAfter('2031-11-30'), wholeMonthAfter('2031-12-01'), wholeMonthAfter('2031-12-02'), wholeMonthAfter('2031-03-01')]).toEqual(['2032-01-01', '2032-01-01', '2032-02-01', '2031-04-01']);
  });

  test('lists put what waits first, and the next meeting follows up what is in view and what was settled since the last', () => {
    const named = (actionId: string, changes: Partial<MeetingAction>) => on(meetingAction({ actionId, ...changes }), '2031-07-01');
    const views: ActionView[] = [
      named('closed', { change: CHANGE_SAID, remeasurements: [remeasurement()], settled: [settled('closed', '2031-06-15T00:00:00.000Z')] }),
      named('given up', { settled: [settled('not carried out', '2031-06-20T00:00:00.000Z')] }),
      named('long closed', { change: CHANGE_SAID, remeasurements: [remeasurement()], settled: [settled('closed', '2031-01-15T00:00:00.000Z')] }),
      named('measured', { change: CHANGE_SAID, remeasurements: [remeasurement()] }),
      named('changed', { change: CHANGE_SAID }),
      named('no day', { due: null }),
      named('overdue', { due: '2031-06-01' }),
      named('long overdue', { due: '2031-05-01' }),
      named('not due', { due: '2031-09-01' }),
    ];
    const names = (list: readonly ActionView[]): string[] => list.map(({ action }) => action.actionId);
    const inView = ['long overdue', 'overdue', 'not due', 'no day', 'changed', 'measured'];
    expect(names(inListOrder(views))).toEqual([...inView, 'given up', 'closed', 'long closed']);
    expect(names(inListOrder([...views].reverse()))).toEqual(names(inListOrder(views)));
    expect(names(followUp(views, null))).toEqual(inView);
    expect(names(followUp(views, '2031-06-01'))).toEqual([...inView, 'given up', 'closed']);
  });
});

describe('the follow-up in a story', () => {
  const views = [viewOfAction(meetingAction(), [], '2031-04-12'), viewOfAction(meetingAction({ actionId: '00000000000000a2', change: CHANGE_SAID, remeasurements: [remeasurement()] }), [], '2031-04-12')];

  test('says what was asked, whose role, and what became of it, without a date', () => {
    const text = followUpText(views, null, 4000);
    expect(text).toBe('– Second sensor on the ear lobe whenever both arms are tucked (lead for monitoring): open, overdue by 12 days.\n– Second sensor on the ear lobe whenever both arms are tucked (lead for monitoring): measured again. The measure is lower after the change, by more than chance alone usually makes it.');
    expect(text).not.toMatch(/\d{4}|March|Long dropouts/);
    expect(followUpText([], null, 4000)).toBe('');
  });

  test('says how many did not fit', () => {
    expect(followUpText(views, null, 160)).toMatch(/^– Second.*12 days\.\n– 1 more in the list of actions\.$/);
    expect(followUpText(views, null, 60)).toBe('– 2 more in the list of actions.');
    expect(followUpText(views, null, 5)).toBe('');
  });

  test('looks back a quarter', () => {
    expect([quarterBefore('2031-04-12'), quarterBefore('2032-03-01'), quarterBefore('2031-12-31')]).toEqual(['2031-01-10', '2031-11-30', '2031-09-30']);
  });
});

describe('results in words', () => {
  test('give both sides with limits and counts, and name no cause', () => {
    expect(measuredWords(remeasurement())).toEqual({ before: '25.0 % (14.0 % to 44.0 %), 10 of 40 cases', after: '10.0 % (5.0 % to 20.0 %), 6 of 60 cases', effect: 'after ÷ before 0.40 (95 % interval 0.16 to 0.99)' });
    expect(findingWords(remeasurement())).toBe('The measure is lower after the change, by more than chance alone usually makes it.');
    expect(findingWords(remeasurement({ effect: { kind: 'ratio', estimate: 1.4, lower: 0.9, upper: 2, reason: null } }))).toBe('The measure is higher after the change, by no more than chance alone may make it.');
    expect(findingWords(remeasurement({ effect: { kind: 'difference', estimate: 0, lower: -1, upper: 1, reason: null } }))).toBe('The measure is the same before and after.');
    const none = remeasurement({ after: { ...remeasurement().after, estimate: 0, lower: 0, upper: 0.06, numerator: 0, method: 'exact', reason: 'nothing counted' }, effect: { kind: 'ratio', estimate: 0, lower: null, upper: null, reason: 'nothing counted' } });
    expect([measuredWords(none).after, measuredWords(none).effect, findingWords(none)]).toEqual(['0.0 % (0.0 % to 6.0 %, as if independent), 0 of 60 cases', 'after ÷ before 0.00 (no interval: nothing counted)', 'The measure is lower after the change; how far chance alone could make that cannot be told.']);
    for (const text of [findingWords(remeasurement()), findingWords(none)]) expect(text).not.toMatch(/because|caused|led to|thanks to|due to/);
  });

  test('say for every kind of measure what was counted', () => {
    const { before } = remeasurement();
    const said = (compared: 'per hour' | 'share of time' | 'median seconds', changes: Partial<typeof before>, kind: 'ratio' | 'difference' = 'ratio') =>
      measuredWords(remeasurement({ compared, before: { ...before, ...changes }, effect: { kind, estimate: kind === 'ratio' ? 12.34 : -20, lower: kind === 'ratio' ? 1 : -30, upper: kind === 'ratio' ? 20 : 5, reason: null } }));
    expect(said('per hour', { estimate: 1.25, lower: 0.9, upper: 1.7, numerator: 100, denominator: 80, units: 38 }).before).toBe('1.3/h (0.90/h to 1.7/h), 100 losses in 80.0 h, 40 cases of 38 patients');
    expect(said('share of time', { estimate: 0.02, lower: 0.01, upper: 0.03, numerator: 5_760_000, denominator: 288_000_000 }).before).toBe('2.0 % (1.0 % to 3.0 %), 1 h 36 min of 80 h, 40 cases');
    expect(said('median seconds', { estimate: 45, lower: null, upper: null, method: null, reason: 'all draws alike', numerator: 30, denominator: null }, 'difference')).toMatchObject({ before: '45 s (no interval: all draws alike), 30 losses, 40 cases', effect: 'after − before −20 s (95 % interval −30 s to +5 s)' });
    expect(said('per hour', { estimate: null, lower: null, upper: null, method: null, reason: 'no denominator', numerator: 0, denominator: 0, cases: 0, units: 0 })).toMatchObject({ before: 'no value (no denominator), no losses in 0.0 h, no cases', effect: 'after ÷ before 12.3 (95 % interval 1.00 to 20.0)' });
  });

  test('say why a measure does not count', () => {
    const { before, after: then } = remeasurement();
    expect(standingWords(remeasurement({ standing: 'too early' }))).toContain('Too early');
    expect(standingWords(remeasurement({ standing: 'too few cases', before: { ...before, units: 4 } }))).toContain('at least 10 patients or cases on each side, and there are 4 before and 60 after');
    expect(standingWords(remeasurement({ standing: 'no interval', after: { ...then, method: null, reason: 'all draws alike' } }))).toContain('(all draws alike)');
    expect(findingWords(remeasurement({ standing: 'too early' }))).toBeNull();
    expect(findingWords(remeasurement({ effect: { kind: 'ratio', estimate: null, lower: null, upper: null, reason: 'nothing counted' } }))).toContain('cannot be held against each other');
  });
});
