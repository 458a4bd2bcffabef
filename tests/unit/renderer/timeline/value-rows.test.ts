import { describe, expect, it } from 'vitest';
import { DEFAULT_PARAMETERS } from '../../../../core/model/parameters.ts';
import { analyzeCase } from '../../../../core/pipeline/analyze-case.ts';
import { createCaseClock } from '../../../../renderer/format/time-text.ts';
import { buildTimelineModel } from '../../../../renderer/timeline/timeline-model.ts';
import { MAX_VALUE_ROWS, chosenInstants, dropoutTable, happeningTable, valueTable } from '../../../../renderer/timeline/value-rows.ts';
import { threeHourCase } from '../../../bench/harness/built-cases.ts';

const record = threeHourCase();
const analysis = analyzeCase(record, DEFAULT_PARAMETERS, 'test');
const model = buildTimelineModel(record, analysis);
const clock = createCaseClock(record.origin);
const ALL = { startMs: 0, endMs: 10_800_000 };

describe('chosenInstants', () => {
  const grid = Float64Array.from({ length: 1000 }, (_, i) => i * 1000);
  it('takes every row while they fit, then every k-th, always recorded ones', () => {
    expect(chosenInstants(grid, { startMs: 10_500, endMs: 15_000 }, 60)).toEqual({ atMs: [11_000, 12_000, 13_000, 14_000, 15_000], every: 1 });
    const all = chosenInstants(grid, { startMs: 0, endMs: 1e9 }, 60);
    expect(all.every).toBe(17);
    expect(all.atMs.length).toBeLessThanOrEqual(60);
    expect(all.atMs.every((ms) => grid.includes(ms))).toBe(true);
  });
  it('is empty where nothing was recorded', () => {
    expect(chosenInstants(grid, { startMs: 2e9, endMs: 3e9 }, 60)).toEqual({ atMs: [], every: 1 });
  });
});

describe('the tables of a window', () => {
  it('list the dropouts that reach into it and no others', () => {
    expect(dropoutTable(analysis, model.caseEndMs, ALL, clock).rows).toHaveLength(8);
    expect(dropoutTable(analysis, model.caseEndMs, { startMs: 1_550_000, endMs: 1_560_000 }, clock).rows.map((row) => row.cells.slice(0, 6))).toEqual([
      ['finger', '1', '09:36:55', '09:37:00', '09:38:40', '09:38:45'],
    ]);
  });
  it('list doses with their amounts, states with both ends, and record gaps', () => {
    const cells = happeningTable(record, analysis, model.happenings, ALL, clock).rows.map((row) => row.cells.join('|'));
    expect(cells).toContain('09:34:20||bolus|phenylephrine 100 µg');
    expect(cells).toContain('10:35:20||infusion start|norepinephrine 0.05 µg/kg/min');
    expect(cells.some((line) => line.startsWith('09:43:40|11:42:00|state|head down'))).toBe(true);
    expect(cells.some((line) => line.includes('record stopped'))).toBe(true);
  });
  it('give values of every drawn channel in at most sixty rows, and say how the rows were chosen', () => {
    const table = valueTable(model.lanes, model.traces, record, analysis, ALL, clock);
    expect(table.rows.length).toBeLessThanOrEqual(MAX_VALUE_ROWS);
    expect(table.headings).toHaveLength(1 + model.lanes.reduce((sum, lane) => sum + lane.entries.length, 0));
    expect(table.caption).toMatch(/one recorded row in \d+; values as recorded, not averages/);
  });
});
