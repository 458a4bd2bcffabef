import { describe, expect, it } from 'vitest';
import { selectedInterval } from '../../../../renderer/state/open-case.ts';
import { allDropouts, keepSelection, neighbourDropout, NOTHING_SELECTED } from '../../../../renderer/state/selection.ts';
import { buildCaseAnalysis, buildDropout } from '../../../builders/stored-case.ts';

const early = buildDropout({ dropoutId: 'early', firstLostMs: 1000 });
const late = buildDropout({ dropoutId: 'late', siteKey: 'toe', firstLostMs: 9000 });
const middle = buildDropout({ dropoutId: 'middle', firstLostMs: 5000 });
const base = buildCaseAnalysis([early, middle]);
const analysis = { ...base, sites: [...base.sites, { ...base.sites[0]!, siteKey: 'toe', dropouts: [late] }], recordGaps: [{ lastRowMs: 10, firstMissingMs: 20, lastMissingMs: 30, firstRowMs: 40, gapMs: { low: 10, mid: 20, high: 30 } }] };

describe('walking the dropouts', () => {
  const order = allDropouts(analysis);
  it('goes through all sites together in time order', () => {
    expect(order.map((dropout) => dropout.dropoutId)).toEqual(['early', 'middle', 'late']);
  });
  it('starts at the first or the last, and stops at either end', () => {
    expect([neighbourDropout(order, null, 1), neighbourDropout(order, null, -1), neighbourDropout(order, 'late', 1), neighbourDropout(order, 'early', -1)].map((dropout) => dropout?.dropoutId ?? null))
      .toEqual(['early', 'late', null, null]);
    expect(neighbourDropout(order, 'early', 1)?.dropoutId).toBe('middle');
    expect(neighbourDropout([], null, 1)).toBeNull();
  });
});

describe('the selection after a new analysis', () => {
  it('stays where the chosen thing still exists, and goes where it does not', () => {
    expect(keepSelection({ kind: 'dropout', dropoutId: 'late' }, analysis)).toEqual({ kind: 'dropout', dropoutId: 'late' });
    expect(keepSelection({ kind: 'dropout', dropoutId: 'gone' }, analysis)).toBe(NOTHING_SELECTED);
    expect(keepSelection({ kind: 'blind', number: 1 }, analysis)).toBe(NOTHING_SELECTED);
    expect(keepSelection({ kind: 'record gap', index: 0 }, analysis)).toEqual({ kind: 'record gap', index: 0 });
    expect(keepSelection({ kind: 'record gap', index: 1 }, analysis)).toBe(NOTHING_SELECTED);
    expect(keepSelection({ kind: 'exposure', exposureId: 'x1' }, analysis)).toEqual({ kind: 'exposure', exposureId: 'x1' });
  });
});

describe('selectedInterval', () => {
  it('reaches from last good to first good, and to the censoring where nothing came back', () => {
    const open = buildDropout({ dropoutId: 'open', lastGoodMs: 1000, firstLostMs: 2000, lastLostMs: null, firstGoodMs: null, censoredAtMs: 90_000 });
    expect(selectedInterval({ kind: 'dropout', dropoutId: 'early' }, analysis)).toEqual({ startMs: 1000, endMs: 32_000 });
    expect(selectedInterval({ kind: 'dropout', dropoutId: 'open' }, buildCaseAnalysis([open]))).toEqual({ startMs: 1000, endMs: 90_000 });
  });
  it('knows record gaps and the look-back of exposures', () => {
    expect(selectedInterval({ kind: 'record gap', index: 0 }, analysis)).toEqual({ startMs: 10, endMs: 40 });
    expect(selectedInterval({ kind: 'exposure', exposureId: 'x1' }, analysis)).toEqual({ startMs: 500, endMs: 600_500 });
    expect(selectedInterval(NOTHING_SELECTED, analysis)).toBeNull();
  });
});
