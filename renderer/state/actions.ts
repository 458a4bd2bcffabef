import type { ActionDraft, ActionEdit, ActionOrigin, ActionView } from '../../core/model/action.ts';
import type { QualityChart } from '../../core/model/quality-chart.ts';
import type { CasesLeftOut } from '../../core/protocol/review-exchange-api.ts';
import type { HostConnection } from '../host/host-client.ts';
import { createOneJob } from './one-job.ts';
import { describeProblem, type Problem } from './problem.ts';
import { createStore, type ReadableStore } from './store.ts';

/** What of the actions is shown. */
export type ActionsShown =
  | { readonly kind: 'list' }
  | { readonly kind: 'action'; readonly actionId: string }
  /** `actionId` null: a new one. */
  | { readonly kind: 'form'; readonly actionId: string | null; readonly origin: ActionOrigin };

export interface ActionsState {
  /** In the order of a list: those in view first. null: not read yet. */
  readonly actions: readonly ActionView[] | null;
  /** Charts that an action may be measured by; null: not asked yet. */
  readonly charts: readonly QualityChart[] | null;
  readonly shown: ActionsShown;
  /** What is waited for; `total` 0: it cannot be told how far it is. */
  readonly work: { readonly doing: string; readonly done: number; readonly total: number } | null;
  readonly problem: Problem | null;
  /** A text looks like a person's name: asked before it is kept. */
  readonly question: Problem | null;
  /** The last measuring was cancelled by the person. */
  readonly isCancelled: boolean;
  /** What the last measuring came to, beyond its figures. */
  readonly measured: { readonly actionId: string; readonly isNew: boolean; readonly leftOut: CasesLeftOut } | null;
}

/** The actions of the library. Calls resolve with whether it was done; why not stands in `problem`, or `question`. */
export interface ActionsStore extends ReadableStore<ActionsState> {
  load(): Promise<void>;
  showList(): void;
  open(actionId: string): void;
  startNew(origin: ActionOrigin): void;
  startEdit(actionId: string): void;
  /** Keeps what the form says: a new action, or the one that is being written anew. */
  write(draft: ActionDraft): Promise<boolean>;
  edit(actionId: string, edit: ActionEdit): Promise<boolean>;
  /** Answers the question: it names nobody, and is kept as it is. */
  namesNobody(): Promise<boolean>;
  /** Lets what was asked about be mended first. */
  takeBackQuestion(): void;
  measure(actionId: string): Promise<boolean>;
  cancel(): void;
  /** Returns every action as a text to be saved; null where it could not be had. */
  text(form: 'csv' | 'json'): Promise<string | null>;
  /** Says that actions, charts or cases were changed. */
  refresh(): Promise<void>;
  dispose(): void;
}

const AT_FIRST: ActionsState = { actions: null, charts: null, shown: { kind: 'list' }, work: null, problem: null, question: null, isCancelled: false, measured: null };

/** Returns the actions, with nothing read yet. `today` is the day of the person's own calendar, `YYYY-MM-DD`. */
export function createActions(host: HostConnection, newJobId: () => string, today: () => string): ActionsStore {
  const store = createStore<ActionsState>(AT_FIRST);
  const change = (part: Partial<ActionsState>): void => store.set({ ...store.get(), ...part });
  const job = createOneJob(newJobId, (jobId) => host.cancelActionWork({ jobId }));
  let asked: ((saidNoPerson: boolean) => Promise<boolean>) | null = null;
  const stopListening = host.onEvent((event) => {
    const { work } = store.get();
    if (event.kind === 'quality-progress' && work !== null && job.isCurrent(event.jobId)) change({ work: { ...work, done: event.done, total: event.total } });
    if (event.kind === 'actions-changed' && work === null) void refresh();
  });

  const viewOf = (actionId: string): ActionView | undefined => store.get().actions?.find(({ action }) => action.actionId === actionId);

  async function load(): Promise<void> {
    try {
      change({ actions: await host.listActions({ today: today() }), problem: null });
    } catch (error) {
      change({ problem: describeProblem(error, 'Reading the actions') });
    }
  }

  /** Shows the actions as they are, beside what was said. */
  function showPresent(): void {
    host.listActions({ today: today() }).then((actions) => change({ actions }), () => undefined);
  }

  async function loadCharts(): Promise<void> {
    try {
      change({ charts: await host.listQualityCharts() });
    } catch (error) {
      change({ problem: describeProblem(error, 'Reading the quality charts') });
    }
  }

  async function refresh(): Promise<void> {
    if (store.get().actions === null) return;
    await load();
    if (store.get().shown.kind === 'form') await loadCharts();
  }

  /** Does one change; what looks like a person becomes a question that does it again. */
  async function keep(doing: string, call: (saidNoPerson: boolean) => Promise<Partial<ActionsState>>): Promise<boolean> {
    const attempt = async (saidNoPerson: boolean): Promise<boolean> => {
      change({ work: { doing, done: 0, total: 0 }, problem: null, question: null, isCancelled: false, measured: null });
      try {
        const part = await call(saidNoPerson);
        asked = null;
        change({ work: null, ...part });
        return true;
      } catch (error) {
        const problem = describeProblem(error, doing);
        if (codeOf(error) === 'looks-like-person') {
          asked = attempt;
          change({ work: null, question: problem });
        } else {
          change({ work: null, problem });
          // Somebody else changed it: what there is now is shown beside the reason.
          if (codeOf(error) === 'action-changed') showPresent();
        }
        return false;
      }
    };
    return await attempt(false);
  }

  const show = (shown: ActionsShown): void => {
    asked = null;
    change({ shown, problem: null, question: null, isCancelled: false, measured: null });
  };

  return {
    get: store.get,
    subscribe: store.subscribe,
    load,
    showList: () => show({ kind: 'list' }),
    open: (actionId) => show({ kind: 'action', actionId }),
    startNew(origin) {
      show({ kind: 'form', actionId: null, origin });
      void loadCharts();
    },
    startEdit(actionId) {
      const view = viewOf(actionId);
      if (view === undefined) return;
      show({ kind: 'form', actionId, origin: view.action.origin });
      void loadCharts();
    },
    async write(draft) {
      const { shown } = store.get();
      if (shown.kind !== 'form') return false;
      const { actionId, origin } = shown;
      if (actionId === null) {
        return await keep('Keeping the action', async (saidNoPerson) => {
          const added = await host.addAction({ draft, origin, saidNoPerson, today: today() });
          return { actions: added.actions, shown: { kind: 'action', actionId: added.actionId } };
        });
      }
      const view = viewOf(actionId);
      if (view === undefined) return false;
      return await keep('Keeping the action', async (saidNoPerson) => ({
        actions: await host.editAction({ actionId, edition: view.action.edition, edit: { kind: 'write', draft }, saidNoPerson, today: today() }), shown: { kind: 'action', actionId },
      }));
    },
    async edit(actionId, edit) {
      const view = viewOf(actionId);
      if (view === undefined) return false;
      return await keep('Changing the action', async (saidNoPerson) => ({ actions: await host.editAction({ actionId, edition: view.action.edition, edit, saidNoPerson, today: today() }) }));
    },
    namesNobody: async () => (asked === null ? false : await asked(true)),
    takeBackQuestion() {
      asked = null;
      change({ question: null });
    },
    async measure(actionId) {
      const view = viewOf(actionId);
      // One that runs is not cut off for another.
      if (view === undefined || job.isRunning()) return false;
      let isDone = false;
      await job.run((jobId) => host.measureAgain({ jobId, actionId, edition: view.action.edition, today: today() }), () => change({ work: { doing: 'Measuring again', done: 0, total: 0 }, problem: null, question: null, isCancelled: false, measured: null }), {
        done({ actions, isNew, leftOut }) {
          isDone = true;
          change({ actions, work: null, measured: { actionId, isNew, leftOut } });
        },
        failed(error) {
          change({ work: null, problem: describeProblem(error, 'Measuring again') });
          if (codeOf(error) === 'action-changed') showPresent();
        },
      });
      return isDone;
    },
    cancel() {
      if (job.stop()) change({ work: null, isCancelled: true });
    },
    async text(form) {
      try {
        return (await host.actionsText({ form, today: today() })).text;
      } catch (error) {
        change({ problem: describeProblem(error, 'Writing the actions') });
        return null;
      }
    },
    refresh,
    dispose() {
      job.stop();
      stopListening();
    },
  };
}

/** How many actions wait for a measure: those that nobody changed anything for yet, and those whose change was not measured again. */
export function notMeasuredAgain(actions: readonly ActionView[]): number {
  return actions.filter(({ state }) => state === 'open' || state === 'change made').length;
}

function codeOf(error: unknown): unknown {
  return typeof error === 'object' && error !== null ? Reflect.get(error, 'code') : undefined;
}
