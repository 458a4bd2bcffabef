import { expect, test } from 'vitest';
import { presentedCase } from '../../core/model/presented-case.ts';
import type { KnownTerms } from '../../core/model/known-terms.ts';
import { buildCaseAnalysis, buildCaseRecord, buildChannel, buildDropout } from '../builders/stored-case.ts';

const TERMS: KnownTerms = { drugs: [{ inn: 'phenylephrine', isVasopressor: true }], events: [{ kind: 'position', term: 'arms tucked' }] };

/** A case with something in every list that a record and an analysis have. */
function fullCase() {
  const dropout = buildDropout({ evidence: { perfusion: null, cuff: null, unsteady: { shortLosses: 0, doubtfulRuns: 0 }, temperature: { celsius: 35, atMs: 0 }, plannedBy: ['e1'] }, patterns: ['abrupt'], restoredBy: 'other site', restoredSiteKey: 'toe', responses: [{ exposureId: 'x1', leadMs: -5, certainty: 'during' }] });
  const record = buildCaseRecord({
    channels: [
      buildChannel([98, 97, Number.NaN, 96], { valueMaking: 'median' as never }),
      buildChannel([98, 97, 96, 96], { channelId: 'spo2@toe left', site: 'toe', sensor: 'left' }),
      buildChannel([1, 2, 3, 4], { channelId: 'other 1', quantity: 'other', site: null, label: 'Bed 4', unit: 'V' }),
      buildChannel([70, 71, 72, 73], { channelId: 'heart-rate', quantity: 'heart-rate', site: null, label: 'HR bay 7', unit: 'bpm' }),
    ],
    events: [
      ...buildCaseRecord().events,
      { eventId: 'e2', kind: 'note', term: '', phase: 'moment', text: 'Mrs K asked for', atMs: 2000, endMs: null, manual: true, site: 'finger', source: { sourceIndex: 0, line: 4 } },
      { eventId: 'e3', kind: 'sensor moved', term: '', phase: 'moment', text: 'by Dr J', atMs: 3000, endMs: null, manual: true, site: 'toe', source: { sourceIndex: 0, line: 5 } },
    ],
    parts: [],
  });
  const analysis = buildCaseAnalysis([dropout], {
    findings: [{ code: 'x', severity: 'note', message: 'theatre 3', count: 1 }],
    blind: [{ number: 1, lastGoodMs: 0, firstLostMs: 1000, lastLostMs: 2000, firstGoodMs: 3000, lostMs: { low: 1000, mid: 2000, high: 3000 }, restoredBy: 'other site', restoredSiteKey: 'toe' }],
    recordGaps: [{ lastRowMs: 0, firstMissingMs: 1, lastMissingMs: 2, firstRowMs: 3, gapMs: { low: 1, mid: 2, high: 3 } }],
  });
  return { record, analysis };
}

/** Small and repeatable: which words come does not matter, that they are found again does. */
function wordsFrom(seed: number): () => string {
  let state = seed;
  return () => {
    state = (Math.imul(state, 1_664_525) + 1_013_904_223) >>> 0;
    return `Zq${state.toString(36)}x`;
  };
}

/** Returns a copy in which the texts that `choose` picks are replaced, and the keys of free lists of names too; what was put in is collected. */
function plant<T>(value: T, next: () => string, choose: () => boolean, planted: string[], path = ''): T {
  const fresh = (): string => {
    const word = next();
    planted.push(word);
    return word;
  };
  const copy = (part: unknown, at: string): unknown => {
    if (typeof part === 'string') return choose() ? fresh() : part;
    if (typeof part !== 'object' || part === null || ArrayBuffer.isView(part)) return part;
    if (Array.isArray(part)) return part.map((inner) => copy(inner, at));
    const isNamed = /attributes|lookBackBolusS|lookBackPositionS|lostSamples/.test(at);
    return Object.fromEntries(Object.entries(part).map(([key, inner]) => [isNamed && choose() ? fresh() : key, copy(inner, `${at}.${key}`)]));
  };
  return copy(value, path) as T;
}

function chooserFrom(seed: number, share: number): () => boolean {
  let state = seed;
  return () => {
    state = (Math.imul(state, 22_695_477) + 1) >>> 0;
    return state / 2 ** 32 < share;
  };
}

test('no word that is put into any text of a record or an analysis, kinds and keys included, comes out in what is presented', () => {
  let plantedInAll = 0;
  for (let seed = 1; seed <= 300; seed++) {
    // Every text at once, then one half, then a few: so that no text hides behind another that was dropped with its owner.
    const share = [1, 0.5, 0.1][seed % 3] ?? 1;
    const planted: string[] = [];
    const { record, analysis } = fullCase();
    const next = wordsFrom(seed);
    const choose = chooserFrom(seed * 7919, share);
    const shown = presentedCase(plant(record, next, choose, planted), plant(analysis, next, choose, planted), 'Case A', TERMS);
    const text = JSON.stringify([shown.record, shown.analysis, shown.hidden]);
    expect(planted.filter((word) => text.includes(word)), `seed ${seed}`).toEqual([]);
    plantedInAll += planted.length;
  }
  expect(plantedInAll).toBeGreaterThan(5000);
});

test('what is allowed stays: values, times from the first row, recognised drugs, positions, sensors and dropouts', () => {
  const { record, analysis } = fullCase();
  const shown = presentedCase(record, analysis, 'Case B', TERMS);
  expect(shown.record).toMatchObject({ caseId: 'Case B', origin: { epochMs: null, clock: 'elapsed', originOffsetMs: 0 }, attributes: {}, findings: [] });
  expect(shown.record.channels.map(({ label, site, sensor, unit }) => [label, site, sensor, unit])).toEqual([['SpO2', 'finger', '', '%'], ['SpO2', 'toe', 'left', '%'], ['Heart rate (ECG)', null, '', '/min']]);
  expect(shown.record.channels[0]!.value).toBe(record.channels[0]!.value);
  expect(shown.record.drugs).toMatchObject([{ inn: 'phenylephrine', amount: 100, unit: 'ug', text: 'phenylephrine', atMs: 500 }]);
  expect(shown.record.events.map(({ kind, text }) => [kind, text])).toEqual([['position', 'arms tucked'], ['sensor moved', 'sensor moved']]);
  const dropout = shown.analysis.sites[0]!.dropouts[0]!;
  expect(dropout).toMatchObject({ dropoutId: 'dropout 1', siteKey: 'finger', lostMs: { low: 25_000, mid: 30_000, high: 35_000 }, patterns: ['abrupt'], links: [{ exposureId: 'exposure 1', certainty: 'certain' }] });
  expect(shown.analysis.exposures).toMatchObject([{ exposureId: 'exposure 1', kind: 'vasopressor bolus', label: 'phenylephrine', sourceText: '' }]);
  expect(shown.dropoutIds.get('finger-2000')).toBe('dropout 1');
  expect(shown.hidden).toContainEqual({ what: 'notes, and events that the dictionary does not know', count: 1 });
  expect(shown.hidden).toContainEqual({ what: 'channels that no rule recognised', count: 1 });
});

test('sensors that the file names itself get numbers that keep them apart', () => {
  const { record, analysis } = fullCase();
  const named = { ...record, channels: ['Smith ward', 'bay 2', '3'].map((sensor, i) => buildChannel([98, 97, 96, 95], { channelId: `spo2@finger ${sensor}`, sensor, label: `c${i}` })) };
  expect(presentedCase(named, { ...analysis, sites: [] }, 'Case A', TERMS).record.channels.map(({ site, sensor }) => [site, sensor])).toEqual([['finger', '1'], ['finger', '2'], ['finger', '3']]);
});
