import { describe, expect, it } from 'vitest';
import { drawChart } from '../../../../../core/cohort/draw-chart.ts';
import { editChart, makeChart } from '../../../../../core/cohort/make-chart.ts';
import type { QualityCase } from '../../../../../core/model/quality-case.ts';
import type { ChartEdit, QualityChart } from '../../../../../core/model/quality-chart.ts';
import { qualityChart } from '../../../../../renderer/charts/quality-chart.ts';
import { toggledSite } from '../../../../../renderer/panels/cohort/quality/make-screen.tsx';
import { changeMarks, drawnPoints, qualityTable } from '../../../../../renderer/panels/cohort/quality/quality-points.ts';
import { choiceText, definitionPhrases, effectTexts, leftOutPhrases, measureName, measureValueText, pointFigureText, signalText, verdictText } from '../../../../../renderer/panels/cohort/quality/quality-words.ts';
import { qualityCase, qualityDefinition } from '../../../../builders/quality-case.ts';

const DRAW = { openMonth: '2025-12', digestOf: (text: string) => text, conf: 0.95, replicates: 200, seed: 1 };
const MAKE = { ...DRAW, now: '2026-11-01T00:00:00Z', newId: 'chart-1', isPersonColumn: () => false };

const monthOf = (i: number): string => `${2024 + Math.floor(i / 12)}-${String((i % 12) + 1).padStart(2, '0')}`;
/** Months of 20 cases, so many of them with a long dropout. */
function months(withLoss: readonly number[]): QualityCase[] {
  return withLoss.flatMap((x, m) => Array.from({ length: 20 }, (_, i) => qualityCase(`${m}-${i}`, `${monthOf(m)}-${String(i + 1).padStart(2, '0')}`, i < x ? [90] : [])));
}
// 20 months in control, then two with far more, then one that is not over.
const CASES = months([4, 6, 3, 5, 7, 4, 2, 5, 6, 4, 3, 5, 4, 6, 5, 3, 4, 5, 6, 2, 18, 4, 3, 5]);

function value<T>(result: { readonly ok: true; readonly value: T } | { readonly ok: false; readonly failure: { readonly message: string } }): T {
  if (!result.ok) throw new Error(result.failure.message);
  return result.value;
}
const CHART: QualityChart = value(makeChart({ name: 'Cardiac', definition: qualityDefinition(), phase: { fromPoint: 0, kind: null, firstPoint: 0, lastPoint: 19, excluded: [3], rules: [], reason: 'before the new sensors' } }, CASES.slice(0, 440), MAKE));
const edited = (chart: QualityChart, edit: ChartEdit): QualityChart => value(editChart(chart, edit, CASES, { ...MAKE, newId: 'id' }));

describe('a quality chart on the screen', () => {
  const view = drawChart(CHART, CASES, DRAW);

  it('draws kept, new, open and left-out points as such, and the one beyond the limits as a signal', () => {
    const points = drawnPoints(view);
    expect(points.map((point) => point.kind).filter((kind) => kind !== 'counted')).toEqual(['excluded', 'open']);
    expect(points[20]).toMatchObject({ label: 'Sep 2025', signal: expect.stringContaining('beyond the limits'), value: 0.9 });
    expect(points[22]!.figure).toContain('complete and not yet kept');
    expect(points.filter((point) => point.isBaseline)).toHaveLength(20);
    const { points: pressed } = qualityChart(points, { yLabel: '', tickText: String, centreName: 'centre', changes: [] }, 900);
    expect(pressed[20]!.label).toBe('Sep 2025: 90.0 % (18 of 20 cases); signal: beyond the limits');
  });

  it('answers with a signal and what it is, or with none and what that does not prove', () => {
    expect(verdictText(view)).toMatch(/^Signal: 1 point lies beyond the limits/);
    const quiet = drawChart(value(makeChart({ name: 'x', definition: qualityDefinition(), phase: { fromPoint: 0, kind: null, firstPoint: 0, lastPoint: 19, excluded: [], rules: [], reason: 'r' } }, CASES.slice(0, 400), MAKE)), CASES.slice(0, 400), DRAW);
    expect(verdictText(quiet)).toBe('No signal: 20 points vary as chance alone would make them. That is no proof that nothing changed.');
    const few = drawChart(value(makeChart({ name: 'x', definition: qualityDefinition(), phase: { fromPoint: 0, kind: null, firstPoint: 0, lastPoint: 2, excluded: [], rules: [], reason: 'r' } }, CASES.slice(0, 60), MAKE)), CASES.slice(0, 60), DRAW);
    expect(verdictText(few)).toMatch(/^Neither signal nor noise can be told yet: 3 points/);
  });

  it('tells what the cases of today would give instead of what was kept', () => {
    const later = drawChart(CHART, [...CASES, qualityCase('late', '2024-02-25', [90])], DRAW);
    expect(later.points[1]!.value).toBe(6 / 20);
    expect(drawnPoints(later)[1]!.figure).toBe('30.0 % (6 of 20 cases); the cases of today would give 33.3 % (7 of 21 cases)');
    const row = qualityTable(later.points, 'cases with a long loss').rows[1]!;
    expect(row.cells.map((cell) => cell.text)).toEqual(['Feb 2024', '2024-02-01', '2024-02-29', '20', '30.0 %', expect.any(String), expect.any(String), expect.any(String), '1', '', 'kept', '33.3 %']);
  });

  it('marks a change before the point in which it lies, and sets before and after side by side', () => {
    const changed = drawChart(edited(CHART, { kind: 'mark change', date: '2025-06-10', text: 'second sensor' }), CASES, DRAW);
    expect(changeMarks(changed)).toEqual([{ beforeIndex: 17, label: 'second sensor' }]);
    const words = effectTexts(changed.effects[0]!, 0.95);
    expect(words.before).toMatch(/^[\d.]+ % \([\d.]+ to [\d.]+ %\), \d+ cases$/);
    expect(words.effect).toMatch(/^after ÷ before \d\.\d\d \(95 % interval \d\.\d\d to \d\.\d\d\)$/);
    const first = drawChart(edited(CHART, { kind: 'mark change', date: '2020-01-01', text: 'long ago' }), CASES, DRAW);
    expect(effectTexts(first.effects[0]!, 0.95).effect).toMatch(/^not defined: /);
  });
});

describe('words of quality charts', () => {
  it('name measures with their limit, and values in their own units', () => {
    expect(measureName('cases with a long loss', 'blind intervals', 90)).toBe('Share of cases with a blind interval longer than 1 min 30 s');
    expect([measureValueText('median duration')(75), measureValueText('losses per hour')(0.5), measureValueText('days between long losses')(12.5)]).toEqual(['1 min 15 s', '0.50/h', '12.5']);
    expect(pointFigureText({ cases: 0, numerator: 0, denominator: 0, value: null, digest: '' }, 'share of time lost')).toBe('no case');
  });

  it('say why a chart is of its kind, and that rare events want another measure', () => {
    const text = choiceText({ kind: 'p prime', reason: 'shares that scatter more than chance', points: 24, sigmaZ: 1.4, meanDenominator: 20, expectedPerPoint: 0.4, isRare: true });
    expect(text).toBe('p′ chart (Laney), because the shares scatter more than chance alone would make them (24 points with a value; σz 1.40; 0.4 events to expect in a point). Fewer than one event is to be expected in a point: cases or days between events would tell more.');
  });

  it('state the whole definition, and every case that no point holds', () => {
    expect(definitionPhrases(qualityDefinition({ sites: ['finger'], choice: [{ column: 'Room', values: ['1', '2'] }] }))).toEqual(expect.arrayContaining(['sensors at: finger', 'only cases with Room: 1, 2', 'by calendar month']));
    expect(leftOutPhrases({ undated: 2, notUsable: 0, notChosen: 1, beforeFirst: 0 })).toEqual(['2 cases without a date', '1 case not of the chosen values']);
    expect(signalText([])).toBeNull();
    expect(signalText(['in a long run', 'pattern 5'])).toBe('in a long run on one side, two of three far out');
  });

  it('keep one site at least, and all of them as "every site"', () => {
    const without = toggledSite(null, 'finger');
    expect(without).not.toContain('finger');
    expect(toggledSite(without, 'finger')).toBeNull();
    expect(toggledSite(['toe'], 'toe')).toBeNull();
  });
});
