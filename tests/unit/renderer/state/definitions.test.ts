import { describe, expect, it, vi } from 'vitest';
import { DEFAULT_PARAMETERS } from '../../../../core/model/parameters.ts';
import type { HostConnection } from '../../../../renderer/host/host-client.ts';
import { sameParameters } from '../../../../core/model/same-parameters.ts';
import { createDefinitions } from '../../../../renderer/state/definitions.ts';
import { buildHostConnection } from '../../../builders/host-connection.ts';
import { parametersWith } from '../../../builders/parameters.ts';

describe('definitions', () => {
  it('starts from what the library uses', async () => {
    const definitions = createDefinitions(buildHostConnection({ getParameters: () => Promise.resolve(parametersWith({ minDurationS: 60 })) }));
    await definitions.load();
    expect([definitions.get().saved?.minDurationS, definitions.get().draft.minDurationS]).toEqual([60, 60]);
  });
  it('keeps a change that was made before the answer came', async () => {
    const definitions = createDefinitions(buildHostConnection());
    await definitions.load();
    definitions.change({ bridgeS: 5 });
    await definitions.load();
    expect(definitions.get().draft.bridgeS).toBe(5);
  });
  it('names a changed set, and calls it default again when it is', () => {
    const definitions = createDefinitions(buildHostConnection());
    definitions.change({ bridgeS: 5 });
    expect(definitions.get().draft.name).toBe('own');
    definitions.change({ bridgeS: DEFAULT_PARAMETERS.bridgeS });
    expect(definitions.get().draft).toEqual(DEFAULT_PARAMETERS);
  });
  it('stores for the library only when asked, and says when that failed', async () => {
    const saveParameters = vi.fn<HostConnection['saveParameters']>(() => Promise.reject(new Error('read-only')));
    const definitions = createDefinitions(buildHostConnection({ saveParameters }));
    await definitions.load();
    definitions.change({ minDurationS: 10 });
    expect(saveParameters).not.toHaveBeenCalled();
    expect(await definitions.saveForLibrary()).toBeNull();
    expect(definitions.get()).toMatchObject({ saved: { minDurationS: 30 }, draft: { minDurationS: 10 }, saving: 'no', problem: { message: 'read-only' } });
  });
  it('compares sets by their numbers, whatever the order of keys and the name', () => {
    const turned = { ...DEFAULT_PARAMETERS, name: 'other', lookBackBolusS: Object.fromEntries(Object.entries(DEFAULT_PARAMETERS.lookBackBolusS).reverse()) };
    expect([sameParameters(DEFAULT_PARAMETERS, turned), sameParameters(DEFAULT_PARAMETERS, parametersWith({ spo2Plausible: [2, 100] }))]).toEqual([true, false]);
  });
});
