import { mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import type { ActionView } from '../../../../core/model/action.ts';
import { analyzeCase } from '../../../../core/pipeline/analyze-case.ts';
import type { ActionApi } from '../../../../core/protocol/action-api.ts';
import { HOST_METHODS } from '../../../../core/protocol/host-api-schema.ts';
import type { HostEvent } from '../../../../core/protocol/host-api.ts';
import type { CaseStore } from '../../../../electron/host/case-store.ts';
import { openFolderStore } from '../../../../electron/host/folder-case-store.ts';
import { buildFolderShelf } from '../../../../electron/host/folder-shelf.ts';
import { createHost, type Host } from '../../../../electron/host/host.ts';
import { buildKeptActions } from '../../../../electron/host/kept-actions.ts';
import { meetingAction } from '../../../builders/meeting-action.ts';
import { qualityDefinition } from '../../../builders/quality-case.ts';
import { buildStandInPool, deferred, type StandInPool } from '../../../builders/stand-in-pool.ts';
import { buildCaseRecord, buildChannel } from '../../../builders/stored-case.ts';

let folder = '';
let store: CaseStore;
let pool: StandInPool;
let host: Host;
let events: HostEvent[] = [];
let gate: Promise<void> = Promise.resolve();
let now = new Date(Date.UTC(2030, 11, 24));
const JOB = 'ab'.repeat(8);
const TODAY = '2030-12-24';

/** Twenty minutes of a finger sensor on the day of its number, some of them with a loss of 90 s. */
const record = (caseId: string, month: number, day: number, lost: number) =>
  buildCaseRecord({
    caseId,
    origin: { epochMs: Date.UTC(2030, month, day, 8), clock: 'absolute', originOffsetMs: 0, zone: 'UTC', zoneStated: true },
    channels: [buildChannel(Array.from({ length: 121 }, (_, i) => (i >= 20 && i < 20 + lost ? NaN : 97)), { tMs: Float64Array.from({ length: 121 }, (_, i) => i * 10_000) })],
    events: [], drugs: [],
  });

beforeEach(async () => {
  folder = await mkdtemp(join(tmpdir(), 'lacuna-actions-'));
  store = await openFolderStore(join(folder, 'library'));
  // Three cases in each of twelve months; half of them with a long loss until August, then one in six.
  for (let month = 0; month < 12; month++) for (let i = 0; i < 3; i++) await store.save(record(`C-${month}-${i}`, month, 3 + i * 9, (month * 3 + i) % (month < 7 ? 2 : 6) === 0 ? 9 : 0), null);
  events = [];
  gate = Promise.resolve();
  now = new Date(Date.UTC(2030, 11, 24));
  pool = buildStandInPool({ analyze: (one, parameters) => Promise.resolve(analyzeCase(one, parameters, 'test')), beforeFigures: () => gate });
  host = createHost({ store, productVersion: '1.2.3', door: 'browser', casesAtOnce: 2, samplesFolder: folder, startPool: () => pool, now: () => now });
  host.onEvent((event) => events.push(event));
});
afterEach(async () => {
  await host.close();
  await rm(folder, { recursive: true, force: true });
});

const makeChart = async (name = 'Long dropouts'): Promise<string> =>
  (await host.makeQualityChart({ jobId: JOB, request: { name, definition: qualityDefinition(), phase: { fromPoint: 0, kind: null, firstPoint: 0, lastPoint: 10, excluded: [], rules: [], reason: 'first look' } } })).answer.chart.chartId;
const add = async (chartId: string | null, over: Partial<Parameters<ActionApi['addAction']>[0]> = {}): Promise<ActionView> => {
  const { actionId, actions } = HOST_METHODS.addAction.reply.parse(await host.addAction({ today: TODAY, by: 'Reader One', draft: { what: 'Second sensor with tucked arms', ownerRole: 'lead for monitoring', due: '2030-08-01', chartId }, origin: { kind: 'by hand' }, saidNoPerson: false, ...over }));
  return found(actions, actionId);
};
const found = (actions: readonly ActionView[], actionId: string): ActionView => {
  const view = actions.find(({ action }) => action.actionId === actionId);
  if (view === undefined) throw new Error('not listed');
  return view;
};
const edit = async ({ action }: ActionView, change: Parameters<ActionApi['editAction']>[0]['edit'], saidNoPerson = false): Promise<ActionView> =>
  found(HOST_METHODS.editAction.reply.parse(await host.editAction({ actionId: action.actionId, edition: action.edition, edit: change, saidNoPerson, today: TODAY, by: 'Reader One' })), action.actionId);
const measure = async ({ action }: ActionView) => HOST_METHODS.measureAgain.reply.parse(await host.measureAgain({ jobId: JOB, actionId: action.actionId, edition: action.edition, today: TODAY }));
const onDisk = async (): Promise<string> => await readFile(join(folder, 'library', 'actions.json'), 'utf8');
const acts = async (): Promise<string[]> => (await host.listTrail({ before: null, limit: 50, by: null, blinded: false })).entries.flatMap(({ entry }) => (entry.kind === 'act' ? [`${entry.act} by ${entry.by}: ${entry.detail}`] : [])).reverse();

describe('an action, from the meeting to the measure again', () => {
  it('is written, changed, marked on the chart, measured, closed, and every step is in the trail without its words', async () => {
    const chartId = await makeChart();
    const written = await add(chartId);
    expect(written).toMatchObject({ state: 'open', overdueDays: 145, chartName: 'Long dropouts', isMarked: false });
    const changed = await edit(written, { kind: 'say change', date: '2030-08-01', text: 'second sensor' });
    expect(changed).toMatchObject({ state: 'change made', overdueDays: null, isMarked: true, measurableFrom: '2030-09-01' });
    const view = (await host.drawQualityChart({ jobId: JOB, chartId })).answer;
    expect(view.chart.changes).toMatchObject([{ date: '2030-08-01', text: 'second sensor', changeId: changed.action.change?.mark?.changeId }]);

    const answer = await measure(changed);
    const measured = found(answer.actions, changed.action.actionId);
    expect([answer.isNew, answer.leftOut, measured.state]).toEqual([true, [], 'measured again']);
    // What the chart shows for the marked change is what the action has.
    expect(measured.last).toMatchObject({ standing: 'measured', before: view.effects[0]?.before, after: view.effects[0]?.after, effect: view.effects[0]?.effect, unread: 0, productVersion: '1.2.3' });
    expect([measured.last?.before.cases, measured.last?.after.cases]).toEqual([21, 15]);
    expect(events.filter(({ kind }) => kind === 'quality-progress').at(-1)).toMatchObject({ jobId: JOB, done: 36, total: 36 });

    // Nothing changed since: the same bytes, and nothing in the trail.
    const bytes = await onDisk();
    now = new Date(Date.UTC(2030, 11, 25));
    const again = await measure(measured);
    expect([again.isNew, found(again.actions, measured.action.actionId).action]).toEqual([false, measured.action]);
    expect(await onDisk()).toBe(bytes);

    const closed = await edit(measured, { kind: 'settle', as: 'closed', reason: 'discussed and done' });
    expect(closed.state).toBe('closed');
    const trail = await acts();
    expect(trail.map((line) => line.replace(/[0-9a-f]{8,}/g, 'x'))).toEqual([
      'action written by Reader One: action x, edition 1: written by hand, measured by chart x', 'action changed by Reader One: action x, edition 2: change from 2030-08-01 on',
      'action measured by this computer: action x, edition 3: measured, 21 and 15 cases, digests x x', 'action changed by Reader One: action x, edition 4: closed',
    ]);
    expect(trail.join(' ')).not.toContain('sensor');
    expect(events.filter(({ kind }) => kind === 'actions-changed')).toHaveLength(4);
    expect(await buildKeptActions(buildFolderShelf(join(folder, 'library')).document('actions')).list()).toEqual([closed.action]);
    const text = await host.actionsText({ today: TODAY, form: 'csv' });
    expect(text.text.split('\r\n')[1]).toContain('Second sensor with tucked arms,lead for monitoring,2030-08-01,closed');
    expect(JSON.parse((await host.actionsText({ today: TODAY, form: 'json' })).text)).toMatchObject({ schema: 'lacuna-actions-list/1', today: TODAY, actions: [{ state: 'closed', action: { measure: { definition: { measure: 'cases with a long loss' } } } }] });
  });

  it('stays open where it is too early or cases are too few, and what was tried is kept', async () => {
    const chartId = await makeChart();
    const few = await edit(await add(chartId), { kind: 'say change', date: '2030-02-01', text: 'second sensor' });
    const answer = found((await measure(few)).actions, few.action.actionId);
    expect(answer).toMatchObject({ state: 'change made', last: { standing: 'too few cases', before: { units: 3 } } });
    const early = await edit(await add(chartId), { kind: 'say change', date: '2030-12-10', text: 'prompt at 60 s' });
    expect(found((await measure(early)).actions, early.action.actionId)).toMatchObject({ state: 'change made', measurableFrom: '2031-02-01', last: { standing: 'too early', since: '2030-02-01' } });
    await expect(edit(answer, { kind: 'settle', as: 'closed', reason: 'x' })).rejects.toMatchObject({ code: 'not-measured' });
    const [first] = await store.actions.list();
    expect(first?.remeasurements).toHaveLength(1);
    // Later there is enough of it.
    for (let i = 0; i < 12; i++) await store.save(record(`L-${i}`, 0, 4 + i, i % 3 === 0 ? 9 : 0), null);
    expect(found((await measure(answer)).actions, answer.action.actionId)).toMatchObject({ state: 'measured again', action: { remeasurements: [{ standing: 'too few cases' }, { standing: 'measured' }] } });
  });

  it('takes a mark that stands on the chart already, marks anew where it was taken away, and goes on without its chart', async () => {
    const chartId = await makeChart();
    const { answer } = await host.editQualityChart({ jobId: JOB, chartId, edit: { kind: 'mark change', date: '2030-08-01', text: 'marked by hand' } });
    const changed = await edit(await add(chartId), { kind: 'say change', date: '2030-08-01', text: 'second sensor' });
    expect(changed.action.change?.mark).toEqual({ chartId, changeId: answer.chart.changes[0]?.changeId });
    await host.editQualityChart({ jobId: JOB, chartId, edit: { kind: 'remove change', changeId: answer.chart.changes[0]?.changeId ?? '' } });
    expect((await host.listActions({ today: TODAY }))[0]).toMatchObject({ isMarked: false });
    const marked = await edit(changed, { kind: 'mark change' });
    expect(marked.isMarked).toBe(true);
    await host.removeQualityChart({ chartId });
    const alone = found(await host.listActions({ today: TODAY }), changed.action.actionId);
    expect(alone).toMatchObject({ chartName: null, isMarked: false, state: 'change made' });
    expect(found((await measure(alone)).actions, changed.action.actionId)).toMatchObject({ state: 'measured again' });
    await expect(edit(found(await host.listActions({ today: TODAY }), changed.action.actionId), { kind: 'mark change' })).rejects.toMatchObject({ code: 'chart-missing' });
    // Writing it anew keeps the definition that it has; another chart has to be there.
    const kept = found(await host.listActions({ today: TODAY }), changed.action.actionId);
    const draft = { what: kept.action.what, ownerRole: kept.action.ownerRole, due: null, chartId };
    expect((await edit(kept, { kind: 'write', draft })).action.measure).toEqual(kept.action.measure);
    await expect(add('gone')).rejects.toMatchObject({ code: 'chart-missing' });
  });

  it('without a measure is written and changed, and cannot be measured until it has one', async () => {
    const bare = await edit(await add(null), { kind: 'say change', date: '2030-08-01', text: 'second sensor' });
    expect(bare).toMatchObject({ state: 'change made', action: { measure: null, change: { mark: null } } });
    await expect(measure(bare)).rejects.toMatchObject({ code: 'no-change' });
    await expect(edit(bare, { kind: 'mark change' })).rejects.toMatchObject({ code: 'no-change' });
    const chartId = await makeChart();
    const chosen = await edit(bare, { kind: 'write', draft: { what: 'Second sensor', ownerRole: 'lead for monitoring', due: null, chartId } });
    expect((await edit(chosen, { kind: 'mark change' })).isMarked).toBe(true);
  });

  it('asks about what looks like a person and keeps it when told so; nothing is marked or written down before', async () => {
    const chartId = await makeChart();
    const draft = { what: 'Second sensor', ownerRole: 'Anna Huber', due: null, chartId };
    await expect(add(chartId, { draft })).rejects.toMatchObject({ code: 'looks-like-person', message: 'The owner looks like it names a person.' });
    expect(await acts()).toEqual([]);
    const kept = await add(chartId, { draft, saidNoPerson: true });
    expect(kept.action).toMatchObject({ ownerRole: 'Anna Huber', saidNoPerson: true });
    await expect(edit(kept, { kind: 'say change', date: '2030-08-01', text: 'Dr Keller brought sensors' })).rejects.toMatchObject({ code: 'looks-like-person' });
    expect([(await host.listQualityCharts())[0]?.changes, (await acts()).length]).toEqual([[], 1]);
  });

  it('changed in another window, or being measured, is told apart from what the page knows', async () => {
    const chartId = await makeChart();
    const written = await add(chartId);
    const changed = await edit(written, { kind: 'say change', date: '2030-08-01', text: 'second sensor' });
    await expect(edit(written, { kind: 'take change back', reason: 'x' })).rejects.toMatchObject({ code: 'action-changed' });
    await expect(measure(written)).rejects.toMatchObject({ code: 'action-changed' });
    await expect(host.measureAgain({ jobId: JOB, actionId: 'f'.repeat(16), edition: 1, today: TODAY })).rejects.toMatchObject({ code: 'action-missing' });
    // Cancelled: nothing is kept.
    const held = deferred<void>();
    gate = held.promise;
    await store.save(record('C-0-0', 0, 3, 9), null);
    const running = measure(changed);
    await expect.poll(() => pool.figured.length).toBeGreaterThan(36);
    expect(await host.cancelActionWork({ jobId: JOB })).toEqual({ cancelled: true });
    held.resolve(undefined);
    await expect(running).rejects.toMatchObject({ code: 'cancelled' });
    expect([(await store.actions.list())[0]?.remeasurements, await host.cancelActionWork({ jobId: JOB })]).toEqual([[], { cancelled: false }]);
    // Changed while it was measured: what was measured belongs to what was.
    const second = deferred<void>();
    gate = second.promise;
    await store.save(record('C-0-0', 0, 3, 0), null);
    const late = measure(changed);
    await expect.poll(() => pool.figured.length).toBeGreaterThan(37);
    await edit(changed, { kind: 'take change back', reason: 'was not so' });
    second.resolve(undefined);
    await expect(late).rejects.toMatchObject({ code: 'action-changed' });
  });

  it('damaged on the disk is never written over; what an earlier version kept of parameters takes its defaults', async () => {
    await add(null);
    const path = join(folder, 'library', 'actions.json');
    const text = await onDisk();
    await writeFile(path, text.replace('"edition": 1', '"edition": "one"'));
    await expect(host.listActions({ today: TODAY })).rejects.toMatchObject({ code: 'actions-damaged' });
    await expect(add(null)).rejects.toMatchObject({ code: 'actions-damaged' });
    expect(await onDisk()).toContain('"edition": "one"');
    const old = JSON.parse(JSON.stringify(meetingAction()));
    delete old.measure.definition.parameters.minDurationS;
    await writeFile(path, JSON.stringify({ schema: 'lacuna-actions/1', actions: [old] }));
    expect((await host.listActions({ today: TODAY }))[0]?.action).toEqual(meetingAction());
    await writeFile(path, JSON.stringify({ schema: 'lacuna-actions/1', actions: Array.from({ length: 2000 }, (_, i) => meetingAction({ actionId: i.toString(16).padStart(16, '0'), measure: null })) }));
    await expect(add(null)).rejects.toMatchObject({ code: 'actions-full' });
  });
});
