import { randomBytes } from 'node:crypto';
import { inListOrder, viewOfAction } from '../../core/actions/action-state.ts';
import { editAction, newAction, noChange, type ActionStep } from '../../core/actions/edit-action.ts';
import type { Result } from '../../core/base/result.ts';
import type { ActionChange, ActionMeasure, ActionView, MeetingAction } from '../../core/model/action.ts';
import type { LibraryAct } from '../../core/model/review.ts';
import type { ActionApi, ActionPlace } from '../../core/protocol/action-api.ts';
import { FailureError } from '../../core/protocol/failure-error.ts';
import type { CaseWorkParts } from './case-work-parts.ts';
import { actionChanged, actionMissing } from './kept-actions.ts';
import { createNamedJobs } from './named-jobs.ts';
import type { QualityCases } from './quality-cases.ts';
import type { Reviews } from './reviews.ts';
import { chartMissing } from './saved-charts.ts';

export interface ActionParts extends CaseWorkParts {
  readonly now: () => Date;
  readonly productVersion: string;
  /** Runs what changes the library one after the other. */
  readonly exclusively: <T>(change: () => Promise<T>) => Promise<T>;
  readonly qualityCases: QualityCases;
  readonly reviews: Pick<Reviews, 'recorded'>;
}

/** Returns the calls of the page that concern actions. Every change of one is an act in the trail: named by its first digits, never by its words. */
export function createActions({ store, pool, closing, tell, now, productVersion, exclusively, qualityCases, reviews }: ActionParts): ActionApi {
  const jobs = createNamedJobs({
    closing,
    running: { code: 'measure-running', message: 'This action is already being measured.', remedy: 'Wait until it is done, or cancel it.' },
    cancelled: 'The measuring was cancelled; nothing was changed.',
  });

  async function viewsOf(actions: readonly MeetingAction[], today: string): Promise<readonly ActionView[]> {
    const charts = await store.qualityCharts.list();
    return inListOrder(actions.map((action) => viewOfAction(action, charts, today)));
  }

  async function actionAt({ actionId, edition }: ActionPlace): Promise<MeetingAction> {
    const action = (await store.actions.list()).find((one) => one.actionId === actionId);
    if (action === undefined) throw actionMissing();
    if (action.edition !== edition) throw actionChanged();
    return action;
  }

  /** A chart's definition never changes, so what the action has of it stays, also when the chart is gone. */
  async function measureOf(chartId: string | null, before: ActionMeasure | null): Promise<ActionMeasure | null> {
    if (chartId === null || chartId === before?.chartId) return chartId === null ? null : before;
    const chart = (await store.qualityCharts.list()).find((one) => one.chartId === chartId);
    if (chart === undefined) throw chartMissing();
    return { chartId, chartName: chart.name, definition: chart.definition };
  }

  /** Marks a change on a chart as a person would there, and returns the mark; one that stands on that day already is taken. null: no chart, or it is gone. */
  async function markOn(measure: ActionMeasure | null, date: string, text: string): Promise<ActionChange['mark']> {
    const chart = measure === null ? undefined : (await store.qualityCharts.list()).find(({ chartId }) => chartId === measure.chartId);
    if (chart === undefined) return null;
    const { chartId } = chart;
    const there = chart.changes.find((one) => one.date === date);
    if (there !== undefined) return { chartId, changeId: there.changeId };
    const at = now().toISOString();
    const newId = newName();
    const marked = valueOf(await pool.editChart(chart, { kind: 'mark change', date, text }, [], { now: at, openMonth: at.slice(0, 7), newId }, { signal: closing }));
    await store.qualityCharts.keep(marked, chart);
    return { chartId, changeId: newId };
  }

  /** Keeps an action after a step that can be taken, written down in the trail first. `also`: what else has to be done between the two. */
  async function keep(before: MeetingAction, step: (saved: MeetingAction) => Promise<ActionStep>, by: string | undefined, act: LibraryAct['act'], said: string): Promise<readonly MeetingAction[]> {
    return await reviews.recorded([{ by, act, caseKey: null, detail: `action ${shortName(before.actionId)}, edition ${before.edition + 1}: ${said}` }], async () => {
      const after = valueOf(editAction(before, await step(before), now().toISOString()));
      return await store.actions.replace(after, before);
    });
  }

  return {
    listActions: async ({ today }) => await viewsOf(await store.actions.list(), today),
    async addAction({ draft: { chartId, ...draft }, origin, saidNoPerson, today, by }) {
      const added = await exclusively(async () => {
        const measure = await measureOf(chartId, null);
        const action = valueOf(newAction({ ...draft, measure, saidNoPerson }, origin, { actionId: newName(), now: now().toISOString() }));
        const detail = `action ${shortName(action.actionId)}, edition 1: ${origin.kind === 'by hand' ? 'written by hand' : `from a ${origin.kind}`}, ${measure === null ? 'not measured by a chart yet' : `measured by chart ${measure.chartId}`}`;
        return { actionId: action.actionId, actions: await reviews.recorded([{ by, act: 'action written', caseKey: null, detail }], () => store.actions.add(action)) };
      });
      tell({ kind: 'actions-changed' });
      return { actionId: added.actionId, actions: await viewsOf(added.actions, today) };
    },
    async editAction({ edit, saidNoPerson, today, by, ...place }) {
      const actions = await exclusively(async () => {
        const before = await actionAt({ ...place, today });
        const { change } = before;
        /** A step that would be refused must not leave a mark on a chart, nor an act in the trail. */
        const tried = (step: ActionStep): ActionStep => {
          valueOf(editAction(before, step, now().toISOString()));
          return step;
        };
        switch (edit.kind) {
          case 'write': {
            const { chartId, ...draft } = edit.draft;
            const measure = await measureOf(chartId, before.measure);
            const step = tried({ kind: 'write', written: { ...draft, measure, saidNoPerson } });
            return await keep(before, () => Promise.resolve(step), by, 'action changed', `written anew, ${measure === null ? 'no measure' : `measure ${measure.chartId}`}`);
          }
          case 'say change': {
            const { date, text } = edit;
            tried({ kind: 'say change', date, text, mark: null, saidNoPerson });
            return await keep(before, async () => ({ kind: 'say change', date, text, mark: await markOn(before.measure, date, text.trim()), saidNoPerson }), by, 'action changed', `change from ${date} on`);
          }
          case 'mark change': {
            if (change === null || before.measure === null) throw new FailureError(noChange());
            return await keep(before, async () => {
              const mark = await markOn(before.measure, change.date, change.text);
              if (mark === null) throw chartMissing();
              return { kind: 'marked', mark };
            }, by, 'action changed', `change from ${change.date} on marked on chart ${before.measure.chartId}`);
          }
          case 'take change back':
            return await keep(before, () => Promise.resolve(tried(edit)), by, 'action changed', `change from ${change?.date ?? '–'} on taken back`);
          case 'settle':
            return await keep(before, () => Promise.resolve(tried(edit)), by, 'action changed', edit.as);
        }
      });
      tell({ kind: 'actions-changed' });
      return await viewsOf(actions, today);
    },
    measureAgain: ({ jobId, today, by, ...place }) =>
      jobs.run(jobId, async (signal) => {
        const action = await actionAt({ ...place, today });
        const { measure, change } = action;
        if (measure === null || change === null) throw new FailureError(noChange());
        const { cases, leftOut } = await qualityCases.under(jobId, measure.definition.parameters, signal);
        const marked = (await store.qualityCharts.list()).find(({ chartId }) => chartId === measure.chartId)?.changes ?? [];
        const at = now().toISOString();
        const measured = await pool.measureAgain({ measure, change, marked: marked.map(({ date }) => ({ date })) }, cases, at.slice(0, 7), { signal });
        signal.throwIfAborted();
        const step: ActionStep = { kind: 'measured', remeasurement: { measuredAt: at, productVersion, ...measured, unread: leftOut.length } };
        const { actions, isNew } = await exclusively(async () => {
          const before = await actionAt({ ...place, today });
          if (valueOf(editAction(before, step, at)) === before) return { actions: await store.actions.list(), isNew: false };
          return { actions: await keep(before, () => Promise.resolve(step), by, 'action measured', `${measured.standing}, ${measured.before.cases} and ${measured.after.cases} cases, digests ${measured.before.digest.slice(0, 12)} ${measured.after.digest.slice(0, 12)}`), isNew: true };
        });
        if (isNew) tell({ kind: 'actions-changed' });
        return { actions: await viewsOf(actions, today), isNew, leftOut };
      }),
    async cancelActionWork({ jobId }) {
      return { cancelled: jobs.cancel(jobId) };
    },
    actionsText: async ({ form, today }) => ({ text: await pool.actionsText(await viewsOf(await store.actions.list(), today), today, form, { signal: closing }) }),
  };
}

function newName(): string {
  return randomBytes(8).toString('hex');
}

function shortName(actionId: string): string {
  return actionId.slice(0, 8);
}

function valueOf<T>(result: Result<T>): T {
  if (!result.ok) throw new FailureError(result.failure);
  return result.value;
}
