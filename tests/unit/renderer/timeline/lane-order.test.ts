import { describe, expect, it } from 'vitest';
import { DEFAULT_LANES, MOST_LANES } from '../../../../core/model/lane-choice.ts';
import type { LaneChoice } from '../../../../core/model/lane-choice.ts';
import { laneChoiceSchema } from '../../../../core/model/lane-choice-schema.ts';
import { arrangeLanes, choiceOf, movedBefore, movedLane, shownLanes } from '../../../../renderer/timeline/lane-order.ts';
import { furtherLane } from '../../../../renderer/timeline/lanes.ts';
import type { Lane, LaneKey } from '../../../../renderer/timeline/lanes.ts';
import { channelOf } from '../../../builders/channel.ts';

function own(laneKey: LaneKey): Lane {
  return { laneKey, laneId: laneKey, title: laneKey, unit: '', scale: { kind: 'linear', min: 0, max: 1 }, guides: [], note: null, plots: [], cuff: [], entries: [] };
}
const OWN = [own('spo2'), own('perfusion'), own('rate')];
const further = (...labels: readonly string[]) => labels.map((label, i) => channelOf({ channelId: `other ${i}`, quantity: 'other', label }, { tMs: Float64Array.of(0, 1000), value: Float64Array.of(1, 2) }));
const rowsOf = (choice: LaneChoice, channels = further('Paw', 'PEEP')) => arrangeLanes(OWN, channels, choice, furtherLane);
const names = (rows: readonly { readonly laneName: string }[]) => rows.map(({ laneName }) => laneName);

describe('the lanes of a case', () => {
  it('are those of the program, then the other channels, hidden, where nothing was chosen', () => {
    const rows = rowsOf(DEFAULT_LANES);
    expect(names(rows)).toEqual(['spo2', 'perfusion', 'rate', 'channel Paw', 'channel PEEP']);
    expect(names(shownLanes(rows))).toEqual(['spo2', 'perfusion', 'rate']);
  });
  it('stand as chosen; one that is not named follows the one that it follows by default', () => {
    const choice: LaneChoice = { lanes: [{ laneName: 'rate', isShown: true, heightPx: 120 }, { laneName: 'spo2', isShown: true, heightPx: null }, { laneName: 'channel PEEP', isShown: true, heightPx: null }] };
    const rows = rowsOf(choice);
    expect(names(rows)).toEqual(['rate', 'channel Paw', 'spo2', 'perfusion', 'channel PEEP']);
    expect(rows[0]).toMatchObject({ heightPx: 120, isShown: true });
    expect(rows[1]?.isShown).toBe(false);
  });
  it('never are none, and never more than can be drawn', () => {
    const hidden: LaneChoice = { lanes: OWN.map(({ laneKey }) => ({ laneName: laneKey, isShown: false, heightPx: null })) };
    expect(names(shownLanes(rowsOf(hidden)))).toEqual(['spo2']);
    const labels = Array.from({ length: 30 }, (_, i) => `c${i}`);
    const all: LaneChoice = { lanes: labels.map((label) => ({ laneName: `channel ${label}`, isShown: true, heightPx: null })) };
    expect(shownLanes(rowsOf(all, further(...labels)))).toHaveLength(MOST_LANES);
  });
});

describe('a change of lanes', () => {
  it('moves one up, down, and before another, and stops at the ends', () => {
    const rows = rowsOf(DEFAULT_LANES);
    expect(names(movedLane(rows, 'rate', -1))).toEqual(['spo2', 'rate', 'perfusion', 'channel Paw', 'channel PEEP']);
    expect(names(movedLane(rows, 'spo2', -1))).toEqual(names(rows));
    expect(names(movedBefore(rows, 'spo2', 'rate'))).toEqual(['perfusion', 'spo2', 'rate', 'channel Paw', 'channel PEEP']);
    expect(names(movedBefore(rows, 'spo2', null))).toEqual(['perfusion', 'rate', 'channel Paw', 'channel PEEP', 'spo2']);
    expect(names(movedBefore(rows, 'spo2', 'spo2'))).toEqual(names(rows));
  });
  it('comes back as it was chosen', () => {
    const chosen = choiceOf(movedLane(rowsOf(DEFAULT_LANES), 'rate', -2), DEFAULT_LANES);
    expect(laneChoiceSchema.safeParse(chosen).success).toBe(true);
    expect(names(rowsOf(chosen))).toEqual(['rate', 'spo2', 'perfusion', 'channel Paw', 'channel PEEP']);
  });
  it('leaves what was chosen for lanes that only other cases have, behind the lane they stood behind', () => {
    const before: LaneChoice = { lanes: [{ laneName: 'channel X', isShown: true, heightPx: 60 }, { laneName: 'rate', isShown: true, heightPx: null }, { laneName: 'channel Y', isShown: true, heightPx: null }, { laneName: 'spo2', isShown: true, heightPx: null }] };
    const after = choiceOf(movedLane(rowsOf(before), 'spo2', -9), before);
    expect(names(after.lanes)).toEqual(['channel X', 'spo2', 'rate', 'channel Y', 'channel Paw', 'channel PEEP', 'perfusion']);
    expect(after.lanes[0]).toEqual(before.lanes[0]);
  });
  it('takes channels of one name together', () => {
    const rows = rowsOf(DEFAULT_LANES, further('Paw', 'Paw')).map((row) => (row.laneId === 'other other 1' ? { ...row, isShown: true } : row));
    const chosen = choiceOf(rows, DEFAULT_LANES);
    expect(laneChoiceSchema.safeParse(chosen).success).toBe(true);
    expect(names(shownLanes(rowsOf(chosen, further('Paw', 'Paw'))))).toEqual(['spo2', 'perfusion', 'rate', 'channel Paw', 'channel Paw']);
  });
});
