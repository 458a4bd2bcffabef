import { mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { DEFAULT_PARAMETERS } from '../../../../core/model/parameters.ts';
import type { ChartRequest, QualityChart } from '../../../../core/model/quality-chart.ts';
import type { FunnelRequest } from '../../../../core/model/unit-funnel.ts';
import { analyzeCase } from '../../../../core/pipeline/analyze-case.ts';
import { isPersonColumn } from '../../../../core/pipeline/quality-case.ts';
import { HOST_METHODS } from '../../../../core/protocol/host-api-schema.ts';
import type { HostEvent } from '../../../../core/protocol/host-api.ts';
import type { CaseStore } from '../../../../electron/host/case-store.ts';
import { openFolderStore } from '../../../../electron/host/folder-case-store.ts';
import { createHost, type Host } from '../../../../electron/host/host.ts';
import { buildFolderShelf } from '../../../../electron/host/folder-shelf.ts';
import { buildSavedCharts } from '../../../../electron/host/saved-charts.ts';
import { qualityDefinition } from '../../../builders/quality-case.ts';
import { buildStandInPool, deferred, type StandInPool } from '../../../builders/stand-in-pool.ts';
import { buildCaseRecord, buildChannel } from '../../../builders/stored-case.ts';

let folder = '';
let store: CaseStore;
let pool: StandInPool;
let host: Host;
let events: HostEvent[] = [];
let gate: Promise<void> = Promise.resolve();
const JOB = 'ab'.repeat(8);

/** Twenty minutes of a finger sensor, a sample every ten seconds, so many of them lost from the third minute on. */
const record = (caseId: string, month: number, lost: number, attributes: Record<string, string> = {}) =>
  buildCaseRecord({
    caseId,
    origin: { epochMs: Date.UTC(2030, month, 3, 8), clock: 'absolute', originOffsetMs: 0, zone: 'UTC', zoneStated: true },
    channels: [buildChannel(Array.from({ length: 121 }, (_, i) => (i >= 20 && i < 20 + lost ? NaN : 97)), { tMs: Float64Array.from({ length: 121 }, (_, i) => i * 10_000) })],
    events: [],
    drugs: [],
    attributes: { room: caseId.startsWith('A') ? '1' : '2', surgeon: 'S1', ...attributes },
  });

beforeEach(async () => {
  folder = await mkdtemp(join(tmpdir(), 'lacuna-charts-'));
  store = await openFolderStore(join(folder, 'library'));
  // Twelve months of two cases, the first with a loss of 90 s every other month.
  for (let month = 0; month < 12; month++) {
    await store.save(record(`A-${month}`, month, month % 2 === 0 ? 9 : 0), null);
    await store.save(record(`B-${month}`, month, 0), null);
  }
  events = [];
  gate = Promise.resolve();
  pool = buildStandInPool({ analyze: (one, parameters) => Promise.resolve(analyzeCase(one, parameters, 'test')), beforeFigures: () => gate });
  host = createHost({ store, productVersion: '1.2.3', door: 'browser', casesAtOnce: 2, samplesFolder: folder, startPool: () => pool, now: () => new Date(Date.UTC(2030, 11, 24)) });
  host.onEvent((event) => events.push(event));
});
afterEach(async () => {
  await host.close();
  await rm(folder, { recursive: true, force: true });
});

const request = (changes: Partial<ChartRequest> = {}): ChartRequest => ({
  name: 'Long dropouts', definition: qualityDefinition(), phase: { fromPoint: 0, kind: null, firstPoint: 0, lastPoint: 10, excluded: [], rules: [], reason: 'first look' }, ...changes,
});
const made = async () => HOST_METHODS.makeQualityChart.reply.parse(await host.makeQualityChart({ jobId: JOB, request: request() })).answer;
const onDisk = async (): Promise<QualityChart[]> => JSON.parse(await readFile(join(folder, 'library', 'quality-charts.json'), 'utf8')).charts;

describe('quality charts of a library', () => {
  it('are proposed from every case, with progress, and the month of today is open', async () => {
    const { answer, leftOut } = HOST_METHODS.proposeQualityChart.reply.parse(await host.proposeQualityChart({ jobId: JOB, definition: qualityDefinition() }));
    expect([leftOut, answer.points.map(({ label, value, isOpen }) => [label.slice(5), value, isOpen])]).toEqual([[], Array.from({ length: 12 }, (_, i) => [String(i + 1).padStart(2, '0'), i % 2 === 0 ? 0.5 : 0, i === 11])]);
    expect(answer.choice).toMatchObject({ kind: 'run', reason: '10 to 19 points', points: 11 });
    expect(events.filter(({ kind }) => kind === 'quality-progress').at(-1)).toEqual({ kind: 'quality-progress', jobId: JOB, done: 24, total: 24 });
    expect(await host.listQualityCharts()).toEqual([]);
  });

  it('are kept with their points and digests, and are there for the next program', async () => {
    const view = await made();
    expect(view.points.map(({ state }) => state)).toEqual([...Array<string>(11).fill('kept'), 'open']);
    expect(view.chart.points.every(({ digest }) => /^[0-9a-f]{64}$/.test(digest))).toBe(true);
    expect(await onDisk()).toEqual([view.chart]);
    expect(await buildSavedCharts(buildFolderShelf(join(folder, 'library')).document('quality-charts')).list()).toEqual([view.chart]);
    expect(pool.figured).toHaveLength(24);
    expect((await host.drawQualityChart({ jobId: JOB, chartId: view.chart.chartId })).answer).toEqual(view);
    expect(pool.figured).toHaveLength(24);
  });

  it('tell what differs when a case of an old month changes, and leave the file alone', async () => {
    const view = await made();
    await store.save(record('B-3', 3, 12), null);
    const { answer } = await host.drawQualityChart({ jobId: JOB, chartId: view.chart.chartId });
    expect(answer.points.filter(({ now }) => now !== null).map(({ label, value, now }) => [label, value, now?.value])).toEqual([['2030-04', 0, 0.5]]);
    expect(await onDisk()).toEqual([view.chart]);
    const restated = await host.editQualityChart({ jobId: JOB, chartId: view.chart.chartId, edit: { kind: 'restate point', point: 3, reason: 'read again' } });
    expect(HOST_METHODS.editQualityChart.reply.parse(restated).answer.points[3]).toMatchObject({ value: 0.5, now: null });
    expect((await onDisk())[0]?.restated).toMatchObject([{ point: 3, before: { value: 0 } }]);
  });

  it('stay on the parameters of the day they were made', async () => {
    const { chart } = await made();
    await host.saveParameters({ parameters: { ...DEFAULT_PARAMETERS, minDurationS: 300 } });
    const { answer } = await host.drawQualityChart({ jobId: JOB, chartId: chart.chartId });
    expect(answer.points.every(({ now }) => now === null)).toBe(true);
    const own = await host.proposeQualityChart({ jobId: JOB, definition: qualityDefinition({ parameters: { ...DEFAULT_PARAMETERS, minDurationS: 300 } }) });
    expect(own.answer.points.every(({ value }) => value === 0)).toBe(true);
  });

  it('name a case that cannot be read', async () => {
    const { chart } = await made();
    const key = store.keyOf('A-0');
    await writeFile(join(folder, 'library', 'cases', `${key}.case`), 'gone');
    await store.refresh(key);
    const { answer, leftOut } = await host.drawQualityChart({ jobId: JOB, chartId: chart.chartId });
    expect([leftOut.map(({ caseKey }) => caseKey), answer.points[0]?.now?.cases]).toEqual([[key], 1]);
  });

  it('are refused with a remedy: an unknown chart, a short baseline, persons; nothing is written', async () => {
    await expect(host.drawQualityChart({ jobId: JOB, chartId: '0'.repeat(16) })).rejects.toMatchObject({ code: 'chart-missing' });
    await expect(host.removeQualityChart({ chartId: '0'.repeat(16) })).rejects.toMatchObject({ code: 'chart-missing' });
    await expect(host.makeQualityChart({ jobId: JOB, request: request({ phase: { ...request().phase, kind: 'p' } }) })).rejects.toMatchObject({ code: 'baseline-short', remedy: expect.any(String) as string });
    await expect(host.makeQualityChart({ jobId: JOB, request: request({ definition: qualityDefinition({ choice: [{ column: 'Surgeon', values: ['S1'] }] }) }) })).rejects.toMatchObject({ code: 'person-column' });
    await expect(onDisk()).rejects.toMatchObject({ code: 'ENOENT' });
  });

  it('can be cancelled, and are removed whole', async () => {
    const { chart } = await made();
    await store.save(record('A-0', 0, 0), null);
    const held = deferred<void>();
    gate = held.promise;
    const drawing = host.drawQualityChart({ jobId: JOB, chartId: chart.chartId });
    const outcome = expect(drawing).rejects.toMatchObject({ code: 'cancelled' });
    while (pool.figured.length < 25) await new Promise((resolve) => setImmediate(resolve));
    await expect(host.drawQualityChart({ jobId: JOB, chartId: chart.chartId })).rejects.toMatchObject({ code: 'chart-running' });
    expect(await host.cancelQualityWork({ jobId: JOB })).toEqual({ cancelled: true });
    held.resolve(undefined);
    await outcome;
    expect(await host.cancelQualityWork({ jobId: JOB })).toEqual({ cancelled: false });
    expect(await host.removeQualityChart({ chartId: chart.chartId })).toEqual([]);
  });
});

describe('units of a library', () => {
  const funnel: FunnelRequest = { by: { kind: 'column', column: 'room' }, lossOf: 'dropouts', longerThanS: 60, doubtfulLost: false, firstDate: null, lastDate: null, choice: [] };

  it('are compared with the parameters of the library, never by persons', async () => {
    const { answer } = HOST_METHODS.unitFunnel.reply.parse(await host.unitFunnel({ jobId: JOB, request: funnel }));
    expect(answer.units.map(({ name, cases, withLongLoss }) => [name, cases, withLongLoss])).toEqual([['1', 12, 6], ['2', 12, 0]]);
    await expect(host.unitFunnel({ jobId: JOB, request: { ...funnel, by: { kind: 'column', column: 'surgeon' } } })).rejects.toMatchObject({ code: 'person-column' });
    expect((await host.groupingColumns({ jobId: JOB })).answer).toEqual([
      { column: 'room', values: 2, commonest: [{ value: '1', cases: 12 }, { value: '2', cases: 12 }], refusedBecause: null },
      { column: 'surgeon', values: 1, commonest: [], refusedBecause: 'names persons' },
    ]);
  });

  it('know a column of persons by its heading', () => {
    expect(['surgeon', 'Anaesthetist', 'anesthesia provider ID', 'MRN', 'entered by'].map(isPersonColumn)).toEqual([true, true, true, true, true]);
    expect(['room', 'service', 'age', 'procedure', 'ASA class'].map(isPersonColumn)).toEqual([false, false, false, false, false]);
  });
});

describe('shared definitions of charts', () => {
  it('go out without points, limits and changes, and make a chart of the cases of another library, if they are enough', async () => {
    await made();
    const { text } = await host.shareDefinitions();
    expect(JSON.parse(text)).toMatchObject({ charts: [{ name: 'Long dropouts', definition: qualityDefinition(), rules: [] }] });
    expect(text).not.toMatch(/"(?:points|phases|changes|restated|numerator|digest|baseline)"/);
    await host.removeQualityChart({ chartId: (await host.listQualityCharts())[0]!.chartId });
    expect((await host.takeDefinitions({ text })).charts).toMatchObject({ added: [], leftOut: [{ name: 'Long dropouts', why: expect.stringContaining('too few complete points') as string }] });
    await store.save(record('C', 12, 0), null);
    expect((await hostOfNextYear().takeDefinitions({ text })).charts).toEqual({ added: ['Long dropouts'], alreadyThere: [], leftOut: [] });
    const [chart] = await host.listQualityCharts();
    expect(chart).toMatchObject({ definition: qualityDefinition(), points: { length: 13 }, phases: [{ baseline: { firstPoint: 0, isProvisional: true } }] });
    expect((await host.takeDefinitions({ text })).charts.alreadyThere).toEqual(['Long dropouts']);
  });

  /** A second host over the same store: every month of the record is over by then. */
  function hostOfNextYear(): Host {
    return createHost({ store, productVersion: '1.2.3', door: 'browser', casesAtOnce: 2, samplesFolder: folder, startPool: () => pool, now: () => new Date(Date.UTC(2031, 5, 24)) });
  }
});

describe('the file of the charts', () => {
  const path = (): string => join(folder, 'quality-charts.json');

  it('that is damaged is said to be, and is not overwritten', async () => {
    await writeFile(path(), '{"schema":"lacuna-quality-charts/1","charts":[{"definition":{"parameters":{}},"points":"many"}]}');
    const charts = buildSavedCharts(buildFolderShelf(folder).document('quality-charts'));
    const { chart } = await made();
    await expect(charts.list()).rejects.toMatchObject({ code: 'charts-damaged' });
    await expect(charts.keep(chart, null)).rejects.toMatchObject({ code: 'charts-damaged' });
    expect(await readFile(path(), 'utf8')).toContain('many');
  });

  it('takes a change only of the chart that it holds', async () => {
    const charts = buildSavedCharts(buildFolderShelf(folder).document('quality-charts'));
    const { chart } = await made();
    await charts.keep(chart, null);
    const renamed = { ...chart, name: 'other' };
    await charts.keep(renamed, chart);
    await expect(charts.keep({ ...chart, name: 'third' }, chart)).rejects.toMatchObject({ code: 'chart-changed' });
    await expect(charts.keep(chart, { ...chart, chartId: '1'.repeat(16) })).rejects.toMatchObject({ code: 'chart-missing' });
    expect(await charts.list()).toEqual([renamed]);
  });

  it('takes the default for a parameter that an earlier version did not know', async () => {
    const { chart } = await made();
    const { lagMaxS: _unknownThen, ...old } = chart.definition.parameters;
    await writeFile(path(), JSON.stringify({ schema: 'lacuna-quality-charts/1', charts: [{ ...chart, definition: { ...chart.definition, parameters: old } }] }));
    expect(await buildSavedCharts(buildFolderShelf(folder).document('quality-charts')).list()).toEqual([chart]);
  });
});
