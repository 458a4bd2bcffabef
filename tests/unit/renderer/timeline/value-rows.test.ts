import { describe, expect, it } from 'vitest';
import { DEFAULT_PARAMETERS } from '../../../../core/model/parameters.ts';
import { analyzeCase } from '../../../../core/pipeline/analyze-case.ts';
import { createCaseClock } from '../../../../renderer/format/time-text.ts';
import { buildTimelineModel } from '../../../../renderer/timeline/timeline-model.ts';
import { MAX_VALUE_ROWS, chosenInstants, dropoutTable, happeningTable, statusTable, valueTable } from '../../../../renderer/timeline/value-rows.ts';
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
    expect(dropoutTable(analysis, model.caseEndMs, ALL, clock, false).rows).toHaveLength(8);
    expect(dropoutTable(analysis, model.caseEndMs, { startMs: 1_550_000, endMs: 1_560_000 }, clock, false).rows.map((row) => row.cells.slice(0, 6))).toEqual([
      ['finger', '1', '09:36:55', '09:37:00', '09:38:40', '09:38:45'],
    ]);
  });
  it('name the lowest SpO2 that cannot be excluded only where it was asked for, rounded down', () => {
    const table = dropoutTable(analysis, model.caseEndMs, ALL, clock, true);
    expect(table.headings.at(-1)).toBe('Cannot be excluded, down to');
    expect(dropoutTable(analysis, model.caseEndMs, ALL, clock, false).headings).not.toContain('Cannot be excluded, down to');
    const first = analysis.sites.flatMap((site) => site.dropouts).find((dropout) => dropout.dropoutId === table.rows[0]?.rowKey);
    expect(table.rows[0]?.cells.at(-1)).toBe(`${Math.floor(first?.cannotExclude.pct ?? NaN)} %`);
  });
  it('list runs of doubtful values, and say when not all are listed', () => {
    const table = statusTable(analysis, ALL, clock);
    expect(table.rows.some((row) => row.cells[0] === 'ear lobe' && row.cells[4] === 'weak')).toBe(true);
    const site = analysis.sites[0];
    if (site === undefined) throw new Error('the case has a site');
    const many = { ...analysis, sites: [{ ...site, statusRuns: { ...site.statusRuns, weak: Array.from({ length: 400 }, (_, i) => i * 10_000), disputed: [] } }] };
    expect(statusTable(many, { startMs: 0, endMs: 3_000_000 }, clock)).toMatchObject({ caption: expect.stringContaining('the first 60 of'), rows: { length: 60 } });
    expect(statusTable(many, { startMs: 25_000, endMs: 26_000 }, clock).rows.map((row) => row.cells.slice(1, 3))).toEqual([['09:12:20', '09:12:30']]);
  });
  it('list doses with their amounts, states with both ends, and record gaps', () => {
    const cells = happeningTable(record, analysis, model.happenings, [], ALL, clock).rows.map((row) => row.cells.join('|'));
    expect(cells).toContain('09:34:20||bolus|phenylephrine 100 µg');
    expect(cells).toContain('10:35:20||infusion start|norepinephrine 0.05 µg/kg/min');
    expect(cells.some((line) => line.startsWith('09:43:40|11:42:00|state|head down'))).toBe(true);
    expect(cells.some((line) => line.includes('record stopped'))).toBe(true);
  });
  it('give values of every drawn channel in at most sixty rows, and say how the rows were chosen', () => {
    const table = valueTable(model.lanes, model.traces, analysis, ALL, clock, false);
    expect(table.rows.length).toBeLessThanOrEqual(MAX_VALUE_ROWS);
    expect(table.headings).toHaveLength(1 + model.lanes.reduce((sum, lane) => sum + lane.entries.length, 0));
    expect(table.caption).toMatch(/one recorded row in \d+; values as recorded, not averages/);
  });
});
