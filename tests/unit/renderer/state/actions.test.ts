import { describe, expect, it } from 'vitest';
import { viewOfAction } from '../../../../core/actions/action-state.ts';
import type { ActionView, MeetingAction } from '../../../../core/model/action.ts';
import { FailureError } from '../../../../core/protocol/failure-error.ts';
import type { HostEvent } from '../../../../core/protocol/host-api.ts';
import { createActions, notMeasuredAgain } from '../../../../renderer/state/actions.ts';
import { buildHostConnection } from '../../../builders/host-connection.ts';
import { CHANGE_SAID, meetingAction, remeasurement } from '../../../builders/meeting-action.ts';
import { deferred } from '../../../builders/stand-in-pool.ts';

const ID = meetingAction().actionId;
const view = (changes: Partial<MeetingAction> = {}): ActionView => viewOfAction(meetingAction(changes), [], '2031-04-12');
const DRAFT = { what: 'x', ownerRole: 'lead', due: null, chartId: null };

function start(over: Parameters<typeof buildHostConnection>[0] = {}) {
  const calls: unknown[] = [];
  let listener: (event: HostEvent) => void = () => undefined;
  const host = buildHostConnection({
    listActions: (args) => {
      calls.push(args);
      return Promise.resolve([view()]);
    },
    listQualityCharts: () => Promise.resolve([]),
    onEvent: (given) => {
      listener = given;
      return () => undefined;
    },
    ...over,
  });
  let jobs = 0;
  return { calls, tell: (event: HostEvent) => listener(event), actions: createActions(host, () => `job-${(jobs += 1)}`, () => '2031-04-12') };
}

describe('the actions of the library', () => {
  it('are read with the day of this calendar, and anew when somebody changed them', async () => {
    const { actions, calls, tell } = start();
    tell({ kind: 'actions-changed' });
    expect(calls).toEqual([]);
    await actions.load();
    expect([actions.get().actions?.length, calls]).toEqual([1, [{ today: '2031-04-12' }]]);
    tell({ kind: 'actions-changed' });
    await expect.poll(() => calls.length).toBe(2);
    actions.open(ID);
    expect(actions.get().shown).toEqual({ kind: 'action', actionId: ID });
    actions.showList();
    expect(actions.get().shown).toEqual({ kind: 'list' });
  });

  it('are written from a form, which leads to the action; what looks like a person is asked and kept when told so', async () => {
    const asked: boolean[] = [];
    const { actions } = start({
      addAction: ({ saidNoPerson }) => {
        asked.push(saidNoPerson);
        return saidNoPerson ? Promise.resolve({ actionId: ID, actions: [view({ saidNoPerson: true })] }) : Promise.reject(new FailureError({ code: 'looks-like-person', message: 'The owner looks like it names a person.', remedy: 'Write a role.' }));
      },
    });
    await actions.load();
    expect([await actions.write(DRAFT), await actions.namesNobody()]).toEqual([false, false]);
    actions.startNew({ kind: 'by hand' });
    await expect.poll(() => actions.get().charts).toEqual([]);
    expect(await actions.write(DRAFT)).toBe(false);
    expect(actions.get()).toMatchObject({ question: { message: 'The owner looks like it names a person.' }, problem: null, work: null, shown: { kind: 'form' } });
    actions.takeBackQuestion();
    expect([actions.get().question, await actions.namesNobody()]).toEqual([null, false]);
    await actions.write(DRAFT);
    expect(await actions.namesNobody()).toBe(true);
    expect([actions.get().shown, actions.get().question, asked]).toEqual([{ kind: 'action', actionId: ID }, null, [false, false, true]]);
  });

  it('are changed by the edition that is shown; one that was changed elsewhere is shown anew with the reason', async () => {
    const edits: unknown[] = [];
    const { actions } = start({
      editAction: ({ edit, edition }) => {
        edits.push([edit.kind, edition]);
        return edit.kind === 'settle' ? Promise.reject(new FailureError({ code: 'action-changed', message: 'The action was changed in another window meanwhile.', remedy: 'Look at it again.' })) : Promise.resolve([view({ edition: 2, change: CHANGE_SAID })]);
      },
      listActions: () => Promise.resolve([view({ edition: edits.length === 0 ? 1 : 9 })]),
    });
    await actions.load();
    actions.startEdit('none');
    expect([actions.get().shown, await actions.edit('none', { kind: 'mark change' })]).toEqual([{ kind: 'list' }, false]);
    actions.startEdit(ID);
    expect(await actions.write(DRAFT)).toBe(true);
    expect(await actions.edit(ID, { kind: 'settle', as: 'closed', reason: 'x' })).toBe(false);
    expect([edits, actions.get().problem?.message, actions.get().actions?.[0]?.action.edition]).toEqual([[['write', 1], ['settle', 2]], 'The action was changed in another window meanwhile.', 9]);
  });

  it('are measured with progress, and not when it is cancelled', async () => {
    const first = deferred<void>();
    const cancelled: string[] = [];
    let round = 0;
    const { actions, tell } = start({
      measureAgain: async () => {
        round += 1;
        if (round === 1) await first.promise;
        return { actions: [view({ change: CHANGE_SAID, remeasurements: [remeasurement()] })], isNew: round > 1, leftOut: [] };
      },
      cancelActionWork: ({ jobId }) => {
        cancelled.push(jobId);
        return Promise.resolve({ cancelled: true });
      },
    });
    await actions.load();
    expect(await actions.measure('none')).toBe(false);
    const running = actions.measure(ID);
    tell({ kind: 'quality-progress', jobId: 'job-1', done: 3, total: 10 });
    expect(actions.get().work).toEqual({ doing: 'Measuring again', done: 3, total: 10 });
    expect(await actions.measure(ID)).toBe(false);
    actions.cancel();
    first.resolve(undefined);
    await running;
    expect([cancelled, actions.get().work, actions.get().measured, actions.get().problem, actions.get().isCancelled]).toEqual([['job-1'], null, null, null, true]);
    expect(await actions.measure(ID)).toBe(true);
    expect(actions.get()).toMatchObject({ problem: null, isCancelled: false, measured: { actionId: ID, isNew: true }, actions: [{ state: 'measured again' }] });
    actions.cancel();
    actions.dispose();
    expect(cancelled).toEqual(['job-1']);
  });

  it('say why they could not be read, written out or measured', async () => {
    const fail = () => Promise.reject(new FailureError({ code: 'actions-damaged', message: 'The actions of the library cannot be read.', remedy: 'Put a backup back.' }));
    const { actions } = start({ listActions: fail, actionsText: fail });
    await actions.load();
    expect(actions.get()).toMatchObject({ actions: null, problem: { message: 'The actions of the library cannot be read.', remedy: 'Put a backup back.' } });
    expect(await actions.text('csv')).toBeNull();
    const other = start({ actionsText: ({ form }) => Promise.resolve({ text: form }), measureAgain: fail });
    await other.actions.load();
    expect([await other.actions.text('json'), await other.actions.measure(ID), other.actions.get().problem?.remedy]).toEqual(['json', false, 'Put a backup back.']);
  });
});

it('counts what is not measured again: open ones and changed ones', () => {
  expect(notMeasuredAgain([view(), view({ change: CHANGE_SAID }), view({ change: CHANGE_SAID, remeasurements: [remeasurement()] }), view({ settled: [{ as: 'not carried out', reason: 'x', at: '' }] })])).toBe(2);
});
