import { randomBytes } from 'node:crypto';
import type { Result } from '../../core/base/result.ts';
import type { AnalysisParameters } from '../../core/model/parameters.ts';
import type { QualityCase } from '../../core/model/quality-case.ts';
import type { QualityChart } from '../../core/model/quality-chart.ts';
import { sameParameters } from '../../core/model/same-parameters.ts';
import { FailureError, toFailure } from '../../core/protocol/failure-error.ts';
import type { HostApi, QualityAnswer } from '../../core/protocol/host-api.ts';
import type { ChartMoment } from '../../core/worker/analysis-service.ts';
import { inTurns } from './in-turns.ts';
import { chartMissing } from './saved-charts.ts';
import type { SiteComparisonParts } from './site-comparisons.ts';

/** Progress is told at most this often. */
const PROGRESS_EVERY_MS = 100;
/** What cases gave is kept for so many sets of parameters: a chart has its own, and the library another. */
const SETS_KEPT = 3;

export interface QualityChartParts extends SiteComparisonParts {
  readonly now: () => Date;
  /** Runs what changes the library one after the other. */
  readonly exclusively: <T>(change: () => Promise<T>) => Promise<T>;
}

/** The calls of the page that concern quality charts and funnels. */
export type QualityCharts = Pick<
  HostApi,
  'listQualityCharts' | 'proposeQualityChart' | 'makeQualityChart' | 'drawQualityChart' | 'editQualityChart' | 'removeQualityChart' | 'unitFunnel' | 'groupingColumns' | 'cancelQualityWork'
>;

interface KeptCases {
  readonly parameters: AnalysisParameters;
  readonly byCase: Map<string, { readonly revision: number | null; readonly one: QualityCase }>;
}

/**
 * Returns the charts of one host: read case by case in the workers under the parameters of each chart, which stay those of the day
 * it was made. What a case gave is kept until the case changes.
 */
export function createQualityCharts({ store, pool, casesAtOnce, closing, tell, now, exclusively }: QualityChartParts): QualityCharts {
  const running = new Map<string, AbortController>();
  let sets: readonly KeptCases[] = [];

  function keptFor(parameters: AnalysisParameters): KeptCases {
    const known = sets.find((set) => sameParameters(set.parameters, parameters)) ?? { parameters, byCase: new Map() };
    sets = [known, ...sets.filter((set) => set !== known)].slice(0, SETS_KEPT);
    return known;
  }

  async function caseOf(caseKey: string, { parameters, byCase }: KeptCases): Promise<QualityCase> {
    const revision = store.revisionOf(caseKey);
    const known = byCase.get(caseKey);
    if (known !== undefined && known.revision === revision) return known.one;
    // The signal of the job is not handed on: a worker that is ended over one case costs more than the case.
    const answer = await pool.qualityCase(await store.readBytes(caseKey), caseKey, parameters, { signal: closing });
    if (!answer.ok) throw new FailureError(answer.failure);
    byCase.set(caseKey, { revision, one: answer.value });
    return answer.value;
  }

  /** Every case of the library under some parameters, and those that cannot be read. */
  async function casesUnder(jobId: string, parameters: AnalysisParameters, signal: AbortSignal): Promise<{ readonly cases: readonly QualityCase[]; readonly leftOut: QualityAnswer<unknown>['leftOut'] }> {
    const kept = keptFor(parameters);
    const lines = store.list();
    const leftOut: { caseKey: string; caseId: string; reason: string }[] = [];
    let done = 0;
    let toldAt = -Infinity;
    const found = await inTurns(lines, casesAtOnce, async ({ caseKey, caseId }): Promise<QualityCase | null> => {
      signal.throwIfAborted();
      try {
        return await caseOf(caseKey, kept);
      } catch (error) {
        signal.throwIfAborted();
        leftOut.push({ caseKey, caseId, reason: toFailure(error).message });
        return null;
      } finally {
        done += 1;
        const at = performance.now();
        if (done === lines.length || at - toldAt >= PROGRESS_EVERY_MS) {
          toldAt = at;
          tell({ kind: 'quality-progress', jobId, done, total: lines.length });
        }
      }
    });
    signal.throwIfAborted();
    return { cases: found.filter((one) => one !== null), leftOut: leftOut.sort((a, b) => (a.caseKey < b.caseKey ? -1 : 1)) };
  }

  /** Runs one job; a second one of the same name is refused. */
  async function job<T>(jobId: string, work: (signal: AbortSignal) => Promise<T>): Promise<T> {
    if (running.has(jobId)) throw new FailureError({ code: 'chart-running', message: 'This chart is already being worked out.', remedy: 'Wait until it is done, or cancel it.' });
    const own = new AbortController();
    running.set(jobId, own);
    const signal = AbortSignal.any([own.signal, closing]);
    try {
      return await work(signal);
    } catch (error) {
      if (signal.aborted) throw new FailureError({ code: 'cancelled', message: 'The chart was cancelled.', remedy: 'Start it again whenever you like.' });
      throw error;
    } finally {
      running.delete(jobId);
    }
  }

  /** This moment. A month is over when it is over in UTC. */
  function moment(): ChartMoment {
    const at = now().toISOString();
    return { now: at, openMonth: at.slice(0, 7), newId: randomBytes(8).toString('hex') };
  }

  async function chartOf(chartId: string): Promise<QualityChart> {
    const chart = (await store.qualityCharts.list()).find((one) => one.chartId === chartId);
    if (chart === undefined) throw chartMissing();
    return chart;
  }

  return {
    listQualityCharts: () => store.qualityCharts.list(),
    proposeQualityChart: ({ jobId, definition }) =>
      job(jobId, async (signal) => {
        const { cases, leftOut } = await casesUnder(jobId, definition.parameters, signal);
        return { answer: valueOf(await pool.proposeChart(definition, cases, moment().openMonth, { signal })), leftOut };
      }),
    makeQualityChart: ({ jobId, request }) =>
      job(jobId, async (signal) => {
        const { cases, leftOut } = await casesUnder(jobId, request.definition.parameters, signal);
        const at = moment();
        const chart = valueOf(await pool.makeChart(request, cases, at, { signal }));
        const view = await pool.drawChart(chart, cases, at.openMonth, { signal });
        signal.throwIfAborted();
        await exclusively(() => store.qualityCharts.keep(chart, null));
        return { answer: view, leftOut };
      }),
    drawQualityChart: ({ jobId, chartId }) =>
      job(jobId, async (signal) => {
        const chart = await chartOf(chartId);
        const { cases, leftOut } = await casesUnder(jobId, chart.definition.parameters, signal);
        return { answer: await pool.drawChart(chart, cases, moment().openMonth, { signal }), leftOut };
      }),
    editQualityChart: ({ jobId, chartId, edit }) =>
      job(jobId, async (signal) => {
        const before = await chartOf(chartId);
        const { cases, leftOut } = await casesUnder(jobId, before.definition.parameters, signal);
        const at = moment();
        const chart = valueOf(await pool.editChart(before, edit, cases, at, { signal }));
        const view = await pool.drawChart(chart, cases, at.openMonth, { signal });
        signal.throwIfAborted();
        await exclusively(() => store.qualityCharts.keep(chart, before));
        return { answer: view, leftOut };
      }),
    removeQualityChart: ({ chartId }) => exclusively(() => store.qualityCharts.remove(chartId)),
    unitFunnel: ({ jobId, request }) =>
      job(jobId, async (signal) => {
        const { cases, leftOut } = await casesUnder(jobId, await store.readParameters(), signal);
        return { answer: valueOf(await pool.unitFunnel(request, cases, { signal })), leftOut };
      }),
    groupingColumns: ({ jobId }) =>
      job(jobId, async (signal) => {
        const { cases, leftOut } = await casesUnder(jobId, await store.readParameters(), signal);
        return { answer: await pool.groupingColumns(cases, { signal }), leftOut };
      }),
    async cancelQualityWork({ jobId }) {
      const own = running.get(jobId);
      own?.abort();
      return { cancelled: own !== undefined };
    },
  };
}

function valueOf<T>(result: Result<T>): T {
  if (!result.ok) throw new FailureError(result.failure);
  return result.value;
}
