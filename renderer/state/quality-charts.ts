import type { ChartEdit, ChartRequest, QualityChart, QualityChartView, QualityDefinition, QualityProposal } from '../../core/model/quality-chart.ts';
import type { FunnelRequest, GroupingColumn, UnitFunnel } from '../../core/model/unit-funnel.ts';
import type { QualityAnswer } from '../../core/protocol/host-api.ts';
import type { HostConnection } from '../host/host-client.ts';
import { createOneJob } from './one-job.ts';
import { describeProblem, type Problem } from './problem.ts';
import { createStore, type ReadableStore } from './store.ts';

/** Work of the host that is waited for. */
export interface QualityWork {
  readonly doing: string;
  readonly done: number;
  readonly total: number;
}

/** What of the quality charts is shown. */
export type QualityShown =
  | { readonly kind: 'list' }
  | { readonly kind: 'chart'; readonly chartId: string; readonly view: QualityAnswer<QualityChartView> | null }
  | { readonly kind: 'new'; readonly definition: QualityDefinition | null; readonly proposal: QualityAnswer<QualityProposal> | null }
  | { readonly kind: 'funnel'; readonly request: FunnelRequest | null; readonly funnel: QualityAnswer<UnitFunnel> | null };

export interface QualityState {
  /** null: not read yet. */
  readonly charts: readonly QualityChart[] | null;
  /** Columns that cases may be chosen and grouped by; null: not asked yet. */
  readonly columns: readonly GroupingColumn[] | null;
  readonly shown: QualityShown;
  readonly work: QualityWork | null;
  readonly problem: Problem | null;
}

/** The quality charts of the library. */
export interface QualityCharts extends ReadableStore<QualityState> {
  showList(): Promise<void>;
  open(chartId: string): Promise<void>;
  /** Changes the open chart. Returns whether it was changed; why not stands in `problem`. */
  edit(edit: ChartEdit): Promise<boolean>;
  remove(chartId: string): Promise<void>;
  startNew(): Promise<void>;
  propose(definition: QualityDefinition): Promise<void>;
  make(request: ChartRequest): Promise<void>;
  startFunnel(): Promise<void>;
  drawFunnel(request: FunnelRequest): Promise<void>;
  cancel(): void;
  /** Says that stored cases changed: what is shown of kept charts is read anew; a chart that is being made stays as it is. */
  refresh(): Promise<void>;
  dispose(): void;
}

const AT_FIRST: QualityState = { charts: null, columns: null, shown: { kind: 'list' }, work: null, problem: null };

/** Returns the quality charts, with nothing read yet. */
export function createQualityCharts(host: HostConnection, newJobId: () => string): QualityCharts {
  const store = createStore<QualityState>(AT_FIRST);
  const change = (part: Partial<QualityState>): void => store.set({ ...store.get(), ...part });
  const job = createOneJob(newJobId, (jobId) => host.cancelQualityWork({ jobId }));
  const stopListening = host.onEvent((event) => {
    const { work } = store.get();
    if (event.kind === 'quality-progress' && work !== null && job.isCurrent(event.jobId)) change({ work: { ...work, done: event.done, total: event.total } });
  });

  /** Does one piece of work, the newest only. Returns its value, or null when it failed or was overtaken. */
  async function run<T>(doing: string, work: (jobId: string) => Promise<T>): Promise<{ readonly value: T } | null> {
    let found: { readonly value: T } | null = null;
    await job.run(work, () => change({ work: { doing, done: 0, total: 0 }, problem: null }), {
      done(value) {
        change({ work: null });
        found = { value };
      },
      failed: (error) => change({ work: null, problem: describeProblem(error, doing) }),
    });
    return found;
  }

  const chartsWith = (chart: QualityChart): readonly QualityChart[] => {
    const charts = store.get().charts ?? [];
    return charts.some((one) => one.chartId === chart.chartId) ? charts.map((one) => (one.chartId === chart.chartId ? chart : one)) : [...charts, chart];
  };
  const show = (view: QualityAnswer<QualityChartView>): void => {
    const { chart } = view.answer;
    change({ charts: chartsWith(chart), shown: { kind: 'chart', chartId: chart.chartId, view } });
  };
  const columnsOnce = async (): Promise<void> => {
    if (store.get().columns !== null) return;
    const found = await run('Looking for columns of case lists', (jobId) => host.groupingColumns({ jobId }));
    if (found !== null) change({ columns: found.value.answer });
  };

  async function showList(): Promise<void> {
    change({ shown: { kind: 'list' }, problem: null });
    const found = await run('Reading the charts', () => host.listQualityCharts());
    if (found !== null) change({ charts: found.value });
  }

  async function open(chartId: string): Promise<void> {
    const { shown } = store.get();
    // The same chart drawn anew stays in sight meanwhile.
    if (shown.kind !== 'chart' || shown.chartId !== chartId) change({ shown: { kind: 'chart', chartId, view: null } });
    const found = await run('Drawing the chart', (jobId) => host.drawQualityChart({ jobId, chartId }));
    if (found !== null) show(found.value);
  }

  return {
    get: store.get,
    subscribe: store.subscribe,
    showList,
    open,
    async edit(edit) {
      const { shown } = store.get();
      if (shown.kind !== 'chart') return false;
      const found = await run('Changing the chart', (jobId) => host.editQualityChart({ jobId, chartId: shown.chartId, edit }));
      if (found !== null) show(found.value);
      return found !== null;
    },
    async remove(chartId) {
      const found = await run('Removing the chart', () => host.removeQualityChart({ chartId }));
      if (found !== null) change({ charts: found.value, shown: { kind: 'list' } });
    },
    async startNew() {
      change({ shown: { kind: 'new', definition: null, proposal: null }, problem: null });
      await columnsOnce();
    },
    async propose(definition) {
      change({ shown: { kind: 'new', definition, proposal: null } });
      const found = await run('Trying the chart', (jobId) => host.proposeQualityChart({ jobId, definition }));
      if (found !== null) change({ shown: { kind: 'new', definition, proposal: found.value } });
    },
    async make(request) {
      const found = await run('Making the chart', (jobId) => host.makeQualityChart({ jobId, request }));
      if (found !== null) show(found.value);
    },
    async startFunnel() {
      change({ shown: { kind: 'funnel', request: null, funnel: null }, problem: null });
      await columnsOnce();
    },
    async drawFunnel(request) {
      change({ shown: { kind: 'funnel', request, funnel: null } });
      const found = await run('Comparing the units', (jobId) => host.unitFunnel({ jobId, request }));
      if (found !== null) change({ shown: { kind: 'funnel', request, funnel: found.value } });
    },
    cancel() {
      job.stop();
      change({ work: null, problem: { message: 'The work was cancelled.', remedy: null } });
    },
    async refresh() {
      const { charts, shown } = store.get();
      if (charts === null) return;
      if (shown.kind === 'list' || shown.kind === 'chart') change({ columns: null });
      else if (!job.isRunning()) {
        // These are on the screen; work that is under way is not cut off for them.
        change({ columns: null });
        await columnsOnce();
      }
      if (shown.kind === 'list') await showList();
      if (shown.kind === 'chart') await open(shown.chartId);
    },
    dispose() {
      job.stop();
      stopListening();
    },
  };
}
