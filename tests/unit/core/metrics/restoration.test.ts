import { expect, it } from 'vitest';
import { restoration } from '../../../../core/metrics/restoration.ts';
import { buildDropout } from '../../../builders/stored-case.ts';

const lost = (s: number) => ({ low: s * 1000, mid: s * 1000, high: s * 1000 });
const response = (exposureId: string, afterS: number) => ({ exposureId, leadMs: -afterS * 1000, certainty: 'during' as const });
const EXPOSURES = [{ exposureId: 'moved', kind: 'sensor' as const }, { exposureId: 'warmed', kind: 'warming' as const }, { exposureId: 'bolus', kind: 'vasopressor bolus' as const }];

it('counts how dropouts ended, and censors those that did not end here', () => {
  const found = restoration(
    [
      buildDropout({ lostMs: lost(40), patterns: ['fading', 'cold'], responses: [response('moved', 30), response('moved', 35), response('warmed', 20)] }),
      buildDropout({ lostMs: lost(60), patterns: ['fading'], responses: [] }),
      buildDropout({ lostMs: lost(90), restoredBy: 'other site', restoredSiteKey: 'ear lobe', restoredAfterMs: 85_000, patterns: ['abrupt'], responses: [response('moved', 50)] }),
      buildDropout({ lostMs: lost(300), restoredBy: 'not restored', patterns: [], responses: [] }),
    ],
    EXPOSURES,
  );
  expect(found).toEqual({
    sameSite: 2,
    otherSite: 1,
    notRestored: 1,
    // Two of four restored, at 40 and 60 s: the curve stands at a half from 60 s on, to the last time seen, 300 s.
    medianMs: 180_000,
    medianElsewhereMs: 85_000,
    dropoutsAnswered: 2,
    // First responses after 20 and 50 s.
    medianToResponseMs: 35_000,
    responses: [{ kind: 'sensor', dropouts: 2 }, { kind: 'warming', dropouts: 1 }],
    patterns: [{ pattern: 'fading', dropouts: 2 }, { pattern: 'abrupt', dropouts: 1 }, { pattern: 'cold', dropouts: 1 }],
  });
});

it('has no median where information seldom came back, and nothing without a dropout', () => {
  expect(restoration([buildDropout({ restoredBy: 'not restored', responses: [] })], []).medianMs).toBeNull();
  expect(restoration([], EXPOSURES)).toEqual({ sameSite: 0, otherSite: 0, notRestored: 0, medianMs: null, medianElsewhereMs: null, dropoutsAnswered: 0, medianToResponseMs: null, responses: [], patterns: [] });
});
