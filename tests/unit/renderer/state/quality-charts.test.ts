import { describe, expect, it } from 'vitest';
import type { QualityChart, QualityChartView } from '../../../../core/model/quality-chart.ts';
import type { QualityAnswer } from '../../../../core/protocol/host-api.ts';
import { FailureError } from '../../../../core/protocol/failure-error.ts';
import { createQualityCharts } from '../../../../renderer/state/quality-charts.ts';
import { buildHostConnection } from '../../../builders/host-connection.ts';
import { deferred } from '../../../builders/stand-in-pool.ts';
import { qualityDefinition } from '../../../builders/quality-case.ts';

function chart(chartId: string, name = chartId): QualityChart {
  return { chartId, name, madeAt: '2031-01-01T00:00:00Z', definition: qualityDefinition(), points: [], phases: [], changes: [], restated: [] };
}
function view(of: QualityChart): QualityAnswer<QualityChartView> {
  return { answer: { chart: of, draws: { conf: 0.95, replicates: 2000, seed: 1 }, points: [], runs: [], effects: [], leftOut: { undated: 0, notUsable: 0, notChosen: 0, beforeFirst: 0 }, choice: { kind: 'line', reason: 'fewer than 10 points', points: 0, sigmaZ: null, meanDenominator: null, expectedPerPoint: null, isRare: false } }, leftOut: [] };
}

function start(over: Parameters<typeof buildHostConnection>[0] = {}) {
  const cancelled: string[] = [];
  let jobs = 0;
  const host = buildHostConnection({
    listQualityCharts: () => Promise.resolve([chart('a'), chart('b')]),
    drawQualityChart: ({ chartId }) => Promise.resolve(view(chart(chartId))),
    cancelQualityWork: ({ jobId }) => {
      cancelled.push(jobId);
      return Promise.resolve({ cancelled: true });
    },
    ...over,
  });
  return { host, cancelled, quality: createQualityCharts(host, () => `job-${(jobs += 1)}`) };
}

describe('the quality charts', () => {
  it('are listed, opened and changed; the list follows the change', async () => {
    const { quality } = start({ editQualityChart: ({ chartId, edit }) => Promise.resolve(view(chart(chartId, edit.kind === 'rename' ? edit.name : chartId))) });
    await quality.showList();
    await quality.open('b');
    expect(quality.get().shown).toMatchObject({ kind: 'chart', chartId: 'b', view: { answer: { chart: { name: 'b' } } } });
    expect(await quality.edit({ kind: 'rename', name: 'new name' })).toBe(true);
    expect(quality.get().charts?.map(({ name }) => name)).toEqual(['a', 'new name']);
  });

  it('tell how far the work is, and why an edit was refused while the chart stays in sight', async () => {
    let refuse: (error: unknown) => void = () => undefined;
    const answer = new Promise<QualityAnswer<QualityChartView>>((_, reject) => {
      refuse = reject;
    });
    const { host, quality } = start({ editQualityChart: () => answer });
    await quality.showList();
    await quality.open('a');
    const editing = quality.edit({ kind: 'keep points' });
    host.send({ kind: 'quality-progress', jobId: 'job-3', done: 2, total: 5 });
    expect(quality.get().work).toEqual({ doing: 'Changing the chart', done: 2, total: 5 });
    refuse(new FailureError({ code: 'nothing-to-keep', message: 'No complete point waits to be kept.', remedy: 'Wait.' }));
    expect(await editing).toBe(false);
    expect(quality.get()).toMatchObject({ work: null, problem: { message: 'No complete point waits to be kept.', remedy: 'Wait.' }, shown: { kind: 'chart', chartId: 'a' } });
  });

  it('keep what is being made when stored cases change, and draw an open chart anew', async () => {
    const drawn: string[] = [];
    const { quality } = start({ drawQualityChart: ({ chartId }) => { drawn.push(chartId); return Promise.resolve(view(chart(chartId))); } });
    await quality.showList();
    await quality.startNew();
    await quality.refresh();
    expect(quality.get().shown.kind).toBe('new');
    await quality.open('a');
    await quality.refresh();
    expect(drawn).toEqual(['a', 'a']);
  });

  it('can be cancelled; what comes back later is not shown', async () => {
    const answer = deferred<QualityAnswer<QualityChartView>>();
    const { quality, cancelled } = start({ drawQualityChart: () => answer.promise });
    const opening = quality.open('a');
    quality.cancel();
    answer.resolve(view(chart('a')));
    await opening;
    expect(cancelled).toEqual(['job-1']);
    expect(quality.get()).toMatchObject({ work: null, problem: { message: 'The work was cancelled.' }, shown: { view: null } });
  });
});
