import { randomBytes } from 'node:crypto';
import type { Result } from '../../core/base/result.ts';
import type { QualityChart } from '../../core/model/quality-chart.ts';
import { FailureError } from '../../core/protocol/failure-error.ts';
import type { HostApi } from '../../core/protocol/host-api.ts';
import type { ChartMoment } from '../../core/worker/analysis-service.ts';
import type { CaseWorkParts } from './case-work-parts.ts';
import { createNamedJobs } from './named-jobs.ts';
import type { QualityCases } from './quality-cases.ts';
import { chartMissing } from './saved-charts.ts';

export interface QualityChartParts extends CaseWorkParts {
  readonly now: () => Date;
  readonly qualityCases: QualityCases;
  /** Runs what changes the library one after the other. */
  readonly exclusively: <T>(change: () => Promise<T>) => Promise<T>;
}

/** The calls of the page that concern quality charts and funnels. */
export type QualityCharts = Pick<
  HostApi,
  'listQualityCharts' | 'proposeQualityChart' | 'makeQualityChart' | 'drawQualityChart' | 'editQualityChart' | 'removeQualityChart' | 'unitFunnel' | 'groupingColumns' | 'cancelQualityWork'
>;

/**
 * Returns the charts of one host: read case by case in the workers under the parameters of each chart, which stay those of the day
 * it was made. What a case gave is kept until the case changes.
 */
export function createQualityCharts({ store, pool, closing, now, exclusively, qualityCases }: QualityChartParts): QualityCharts {
  const jobs = createNamedJobs({
    closing,
    running: { code: 'chart-running', message: 'This chart is already being worked out.', remedy: 'Wait until it is done, or cancel it.' },
    cancelled: 'The chart was cancelled.',
  });

  const casesUnder = qualityCases.under;

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
      jobs.run(jobId, async (signal) => {
        const { cases, leftOut } = await casesUnder(jobId, definition.parameters, signal);
        return { answer: valueOf(await pool.proposeChart(definition, cases, moment().openMonth, { signal })), leftOut };
      }),
    makeQualityChart: ({ jobId, request }) =>
      jobs.run(jobId, async (signal) => {
        const { cases, leftOut } = await casesUnder(jobId, request.definition.parameters, signal);
        const at = moment();
        const chart = valueOf(await pool.makeChart(request, cases, at, { signal }));
        const view = await pool.drawChart(chart, cases, at.openMonth, { signal });
        signal.throwIfAborted();
        await exclusively(() => store.qualityCharts.keep(chart, null));
        return { answer: view, leftOut };
      }),
    drawQualityChart: ({ jobId, chartId }) =>
      jobs.run(jobId, async (signal) => {
        const chart = await chartOf(chartId);
        const { cases, leftOut } = await casesUnder(jobId, chart.definition.parameters, signal);
        return { answer: await pool.drawChart(chart, cases, moment().openMonth, { signal }), leftOut };
      }),
    editQualityChart: ({ jobId, chartId, edit }) =>
      jobs.run(jobId, async (signal) => {
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
      jobs.run(jobId, async (signal) => {
        const { cases, leftOut } = await casesUnder(jobId, await store.settings.readParameters(), signal);
        return { answer: valueOf(await pool.unitFunnel(request, cases, { signal })), leftOut };
      }),
    groupingColumns: ({ jobId }) =>
      jobs.run(jobId, async (signal) => {
        const { cases, leftOut } = await casesUnder(jobId, await store.settings.readParameters(), signal);
        return { answer: await pool.groupingColumns(cases, { signal }), leftOut };
      }),
    async cancelQualityWork({ jobId }) {
      return { cancelled: jobs.cancel(jobId) };
    },
  };
}

function valueOf<T>(result: Result<T>): T {
  if (!result.ok) throw new FailureError(result.failure);
  return result.value;
}
