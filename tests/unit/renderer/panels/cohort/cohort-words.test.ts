import { describe, expect, it } from 'vitest';
import type { FacetValues } from '../../../../../core/model/cohort-flow.ts';
import { DEFAULT_COHORT_OPTIONS } from '../../../../../core/model/cohort-options.ts';
import type { RatioFigure } from '../../../../../core/model/cohort-before-loss.ts';
import { ratioFigureText } from '../../../../../renderer/panels/cohort/before-part.tsx';
import { cautionTexts } from '../../../../../renderer/panels/cohort/caution-words.ts';
import { facetsToChoose, narrowings, patientColumns, toggledValue, valuesTaken, withValues } from '../../../../../renderer/panels/cohort/choice-edit.ts';
import { choiceText } from '../../../../../renderer/panels/cohort/choice-part.tsx';
import { facetValueText, figureText, intervalNameText, limitsOfText, monthText, probabilityText, ratioText } from '../../../../../renderer/panels/cohort/cohort-words.ts';
import { courseLags, minutesText } from '../../../../../renderer/panels/cohort/aligned-part.tsx';
import { definitionSeries, movedText } from '../../../../../renderer/panels/cohort/definition-curve.tsx';
import { drawnRows } from '../../../../../renderer/panels/cohort/paired-part.tsx';
import { shareText } from '../../../../../renderer/format/number-text.ts';

const interval = { method: 'cluster-robust t', lower: 0.022, upper: 0.044, n: 214, reason: null } as const;

describe('a figure with its interval', () => {
  it('names limits, method and number', () => {
    expect(figureText(0.031, interval, shareText)).toBe('3.1 % (2.2 to 4.4 %)');
    expect(intervalNameText(interval, 0.95, 'case')).toBe('95 % interval: cluster-robust t, 214 cases.');
    expect(intervalNameText({ ...interval, n: 7 }, 0.95, 'patient')).toBe('95 % interval: cluster-robust t, 7 patients. Fewer than 10: do not lean on it.');
  });

  it('says why there is none, and never 0 or NaN in its place', () => {
    const none = { method: null, lower: null, upper: null, n: 1, reason: 'one unit only' } as const;
    expect(figureText(0.031, none, shareText)).toBe('3.1 % (no interval: one unit only)');
    expect(figureText(null, none, shareText)).toBe('not defined: one unit only');
    expect(intervalNameText(none, 0.95, 'case')).toBe('No interval: one unit only (1 case).');
    expect([limitsOfText({ lower: 0.4, upper: Infinity }, ratioText), ratioText(Infinity), probabilityText(0.00001), probabilityText(null)]).toEqual(['0.40 to no limit', 'no limit', 'under 0.001', '–']);
  });

  it('tells a ratio without an upper limit from one that is not defined', () => {
    const figure: RatioFigure = { method: 'exact conditional', ratio: null, lower: 1.4, upper: null, p: 0.03, isUnbounded: true, reason: 'no event in control time' };
    expect(ratioFigureText(figure)).toBe('larger than any number (from 1.40): no onset in control time');
    expect(ratioFigureText({ ...figure, isUnbounded: false, lower: null, reason: 'no event' })).toBe('not defined: no event');
    expect(ratioFigureText({ ...figure, isUnbounded: false, ratio: 2, lower: 1, upper: 4, reason: null })).toBe('2.00 (1.00 to 4.00)');
  });
});

it('of very many patients an even part is drawn, of few all', () => {
  expect(drawnRows(3, 10)).toEqual([0, 1, 2]);
  expect(drawnRows(25, 10)).toEqual([0, 3, 6, 9, 12, 15, 18, 21, 24]);
});

describe('words', () => {
  it('of values say what is not stated and what is undated', () => {
    expect([facetValueText({ kind: 'asa class' }, '3'), facetValueText({ kind: 'service' }, ''), facetValueText({ kind: 'month' }, ''), facetValueText({ kind: 'month' }, '2031-03'), facetValueText(null, null)]).toEqual(['ASA 3', 'not stated', 'undated', 'Mar 2031', 'all cases']);
    expect([monthText('2031-13'), monthText('12 to 14 May')]).toEqual(['2031-13', '12 to 14 May']);
  });

  it('of cautions put the one on cause first, once', () => {
    expect(cautionTexts(['pointwise band', 'association is not cause', 'pointwise band']).map((text) => text.split(/[:.]/)[0])).toEqual(['Association is not cause', 'The band holds at each lag by itself, not as a whole']);
  });

  it('of lags carry a sign', () => {
    expect([-120, 0, 90].map(minutesText)).toEqual(['\u22122', '0', '+1.5']);
    const course = { quantity: 'spo2', siteKey: 'finger', drug: null, scale: 'difference', boluses: 1, bolusesLeftOut: 0, units: 1, bolusCases: [], unitsAtLag: [1, 0], mean: [0.5, null], lower: [null, null], upper: [null, null], band: 't over cases', cautions: [] } as const;
    expect(courseLags({ lagsS: [0, 10] }, course).map((lag) => lag.figure)).toEqual(['+0.5 points, 1 case', 'nothing recorded']);
  });
});

describe('the choice of cases', () => {
  const rooms: FacetValues = { facet: { kind: 'column', column: 'Room' }, values: [{ value: '1', cases: 4 }, { value: '2', cases: 3 }, { value: '', cases: 1 }] };
  const { choice } = DEFAULT_COHORT_OPTIONS;

  it('names a property only while not all of its values are taken', () => {
    expect(valuesTaken(choice, rooms)).toEqual(['1', '2', '']);
    const without = toggledValue(choice, rooms, '2');
    expect(without.facets).toEqual([{ facet: rooms.facet, values: ['1', ''] }]);
    expect(choiceText(without)).toBe('“Room”: 1, not stated');
    expect(toggledValue(without, rooms, '2').facets).toEqual([]);
    expect(withValues(choice, rooms, []).facets).toEqual([{ facet: rooms.facet, values: [] }]);
    expect(choiceText(choice)).toBe('every usable case');
    expect(narrowings({ choice: { ...without, from: '2031-01-01' } })).toBe(2);
  });

  it('offers as names of patients the columns whose values stand in few cases, some in several', () => {
    const column = (name: string, counts: readonly number[]): FacetValues => ({ facet: { kind: 'column', column: name }, values: counts.map((cases, i) => ({ value: `${name} ${i}`, cases })) });
    const facets = [column('theatre', [40, 38]), column('patient', [1, 2, 1, 1, 3, 1]), column('number', [1, 1, 1, 1])];
    expect(patientColumns(facets, null)).toEqual(['patient']);
    expect(patientColumns(facets, 'number')).toEqual(['patient', 'number']);
  });

  it('offers what tells cases apart, and what is named though one value is left', () => {
    const one: FacetValues = { facet: { kind: 'service' }, values: [{ value: 'cardiac', cases: 8 }] };
    const months: FacetValues = { facet: { kind: 'month' }, values: [{ value: '2031-01', cases: 4 }, { value: '2031-02', cases: 4 }] };
    expect(facetsToChoose([rooms, one, months], choice)).toEqual([rooms]);
    const column: FacetValues = { facet: { kind: 'column', column: 'Service' }, values: rooms.values };
    expect(facetsToChoose([{ ...rooms, facet: { kind: 'service' } }, column], choice).map(({ facet }) => facet.kind)).toEqual(['service']);
    expect(facetsToChoose([one], withValues(choice, one, []))).toEqual([one]);
  });
});

describe('figures against the definition', () => {
  const definition = { minDurationS: 30, bridgeS: 10, lookBackFactor: 1, doubtfulLost: false };
  const figure = (estimate: number | null) => ({ result: 'share lost' as const, of: 'finger', method: null, estimate, lower: null, upper: null, n: 3, reason: estimate === null ? 'nothing was monitored' : 'one unit only' });
  const points = [
    { moved: null, definition, figures: [figure(0.02)] },
    { moved: 'minDurationS' as const, definition: { ...definition, minDurationS: 5 }, figures: [figure(0.03)] },
    { moved: 'minDurationS' as const, definition: { ...definition, minDurationS: 60 }, figures: [figure(null)] },
    { moved: 'doubtfulLost' as const, definition: { ...definition, doubtfulLost: true }, figures: [figure(0.05)] },
  ];

  it('run along the shortest loss with the definition in force among them; the rest is told in words', () => {
    expect(definitionSeries(points, 'share lost')[0]!.points.map((point) => [point.at, point.value])).toEqual([[5, 0.03], [30, 0.02], [60, null]]);
    expect(points.map(movedText)).toEqual(['as it is', 'shortest loss that counts 5 s', 'shortest loss that counts 1 min', 'doubtful values as lost']);
  });
});

