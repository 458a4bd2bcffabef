import { describe, expect, it } from 'vitest';
import type { LaneChoice } from '../../../../core/model/lane-choice.ts';
import { createLaneChoice } from '../../../../renderer/state/lane-choice.ts';
import { buildHostConnection } from '../../../builders/host-connection.ts';

const ONE: LaneChoice = { lanes: [{ laneName: 'rate', isShown: false, heightPx: null }] };
const TWO: LaneChoice = { lanes: [{ laneName: 'rate', isShown: true, heightPx: 90 }] };

describe('the lanes of the library in a window', () => {
  it('are loaded, shown at once when they change, and kept in the order of the changes', async () => {
    const kept: LaneChoice[] = [];
    const lanes = createLaneChoice(buildHostConnection({ getLanes: async () => ONE, saveLanes: async ({ choice }) => { await Promise.resolve(); kept.push(choice); return choice; } }), () => undefined);
    await lanes.load();
    expect(lanes.get()).toBe(ONE);
    const both = [lanes.change(TWO), lanes.change(ONE)];
    expect(lanes.get()).toBe(ONE);
    await Promise.all(both);
    expect(kept).toEqual([TWO, ONE]);
  });
  it('say what kept them from being read or kept, and stay for this window', async () => {
    const said: string[] = [];
    const lanes = createLaneChoice(buildHostConnection({ getLanes: () => Promise.reject(new Error('torn')), saveLanes: () => Promise.reject(new Error('full')) }), ({ message }) => said.push(message));
    await lanes.load();
    expect(lanes.get()).toEqual({ lanes: [] });
    await lanes.change(TWO);
    expect(lanes.get()).toBe(TWO);
    expect(said).toHaveLength(2);
  });
});
