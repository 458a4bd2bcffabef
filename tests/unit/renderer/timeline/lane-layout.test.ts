import { describe, expect, it } from 'vitest';
import { DEFAULT_PARAMETERS } from '../../../../core/model/parameters.ts';
import { analyzeCase } from '../../../../core/pipeline/analyze-case.ts';
import { ENTRY_PX, ROW_PX, layoutTimeline } from '../../../../renderer/timeline/lane-layout.ts';
import { buildTimelineModel } from '../../../../renderer/timeline/timeline-model.ts';
import { threeHourCase } from '../../../bench/harness/built-cases.ts';

const record = threeHourCase();
const model = buildTimelineModel(record, analyzeCase(record, DEFAULT_PARAMETERS, 'test'));
const layout = (widthPx: number, heightPx: number) => layoutTimeline({ ...model, heights: new Map(), markRowCount: 0 }, widthPx, heightPx);

describe('layoutTimeline', () => {
  it.each([[1280, 694], [1920, 970], [820, 420], [400, 100]])('stacks everything without overlap in %d × %d', (widthPx, heightPx) => {
    const { moments, states, infusions, boluses, blind, lossRows, statusRows, lanes, heightPx: total } = layout(widthPx, heightPx);
    const rows = [...lossRows, ...statusRows].sort((a, b) => a.topPx - b.topPx);
    expect(statusRows.length).toBeGreaterThan(0);
    const boxes = [moments, states, ...infusions, boluses, blind, ...rows, ...lanes].filter((box) => box !== null);
    expect(boxes.length).toBeGreaterThan(10);
    let bottom = 0;
    for (const box of boxes) {
      expect(box.topPx).toBeGreaterThanOrEqual(bottom);
      bottom = box.topPx + box.heightPx;
    }
    expect(bottom).toBeLessThanOrEqual(total);
  });
  it('fills the height it is given and gives the most to SpO2', () => {
    const { lanes, heightPx } = layout(1920, 970);
    expect(heightPx).toBeGreaterThan(960);
    expect(heightPx).toBeLessThanOrEqual(970);
    expect(Math.max(...lanes.map((box) => box.heightPx))).toBe(lanes.find((box) => box.lane.laneKey === 'spo2')?.heightPx);
  });
  it('gives marks one row and lets the stage scroll where there is little height', () => {
    const tight = layout(820, 420);
    expect(tight.boluses?.heightPx).toBe(ROW_PX);
    expect(layout(1920, 970).boluses?.heightPx).toBe(2 * ROW_PX);
    expect(tight.heightPx).toBeGreaterThan(420);
  });
  it('has room in each lane for all its labels', () => {
    for (const { lane, heightPx } of layout(820, 100).lanes) expect(heightPx).toBeGreaterThanOrEqual(lane.entries.length * ENTRY_PX);
  });
});

describe('the lanes of a case', () => {
  it('are only those with a value, SpO2 of every site in one', () => {
    expect(model.lanes.map((lane) => [lane.laneKey, lane.entries.map((entry) => entry.name)])).toEqual([
      ['spo2', ['finger', 'ear lobe']],
      ['perfusion', ['finger', 'ear lobe']],
      ['rate', ['pulse, finger', 'heart (ECG)']],
      ['pressure', ['arterial', 'cuff']],
      ['temperature', ['core']],
    ]);
  });

  it('gives a lane the height that a person chose, and shares the rest among the others', () => {
    const chosen = layoutTimeline({ ...model, heights: new Map([['rate', 200]]), markRowCount: 0 }, 1280, 1200);
    const plain = layout(1280, 1200);
    const heightOf = (of: typeof plain, laneId: string) => of.lanes.find(({ lane }) => lane.laneId === laneId)?.heightPx;
    expect(heightOf(chosen, 'rate')).toBe(200);
    expect(heightOf(plain, 'rate')).not.toBe(200);
    expect(Math.abs(chosen.heightPx - plain.heightPx)).toBeLessThanOrEqual(chosen.lanes.length);
    // Never so low that its labels would not fit.
    const low = layoutTimeline({ ...model, heights: new Map([['rate', 40]]), markRowCount: 0 }, 1280, 1200);
    expect(heightOf(low, 'rate')).toBe(Math.max(40, (model.lanes.find(({ laneId }) => laneId === 'rate')?.entries.length ?? 0) * ENTRY_PX));
  });

  it('is lower where two pictures share a sheet, but no lane lower than its name', () => {
    const own = { ...model, heights: new Map<string, number>(), markRowCount: 0 };
    const alone = layoutTimeline(own, 940, 0, true);
    const shared = layoutTimeline(own, 940, 0, true, 0.65);
    expect(shared.heightPx).toBeLessThan(alone.heightPx);
    for (const [i, { lane, heightPx }] of shared.lanes.entries()) {
      expect(heightPx, lane.laneId).toBeLessThanOrEqual(alone.lanes[i]?.heightPx ?? 0);
      expect(heightPx, lane.laneId).toBeGreaterThanOrEqual(36);
    }
  });
});
