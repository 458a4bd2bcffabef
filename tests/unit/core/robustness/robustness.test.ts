import Papa from 'papaparse';
import { describe, expect, it } from 'vitest';
import type { CaseRecord } from '../../../../core/model/case.ts';
import { DEFAULT_PARAMETERS } from '../../../../core/model/parameters.ts';
import { analyzeCase } from '../../../../core/pipeline/analyze-case.ts';
import { reportTexts } from '../../../builders/report-texts.ts';
import type { DropoutDefinition } from '../../../../core/robustness/apply-definition.ts';
import { applyDefinition, blindCurve, durationCurve } from '../../../../core/robustness/apply-definition.ts';
import { prepareRobustness } from '../../../../core/robustness/prepare-robustness.ts';
import { caseOf } from '../../../builders/case-record.ts';
import type { Cell } from '../../../builders/channel.ts';
import { regularChannel, repeat } from '../../../builders/channel.ts';
import { drugOf } from '../../../builders/drug.ts';

const AS_RUN: DropoutDefinition = { minDurationS: 30, bridgeS: 10, lookBackFactor: 1, doubtfulLost: false };

/** Losses of 10, 40 and 100 s, 20 s of information between the first two; a bolus 400 s before the last. */
function threeLosses(): CaseRecord {
  const cells: Cell[] = [...repeat(97, 60), null, 97, 97, ...repeat(null, 4), ...repeat(97, 60), ...repeat(null, 10), ...repeat(97, 60)];
  return caseOf({ channels: [regularChannel({ quantity: 'spo2', site: 'finger' }, cells, 10), regularChannel({ quantity: 'heart-rate' }, cells.map((_, i) => 60 + (i % 5)), 10)], drugs: [drugOf({ inn: 'norepinephrine', atS: 870 })] });
}

describe('a definition', () => {
  const prepared = prepareRobustness(threeLosses(), DEFAULT_PARAMETERS);
  const brief = (over: Partial<DropoutDefinition>) => applyDefinition(prepared, { ...AS_RUN, ...over }).sites[0]!.dropouts.map((d) => d.lostMs.mid / 1000);

  it('keeps by the shortest loss and joins by the information between', () => {
    expect(brief({})).toEqual([40, 100]);
    expect(brief({ minDurationS: 5 })).toEqual([10, 40, 100]);
    expect(brief({ minDurationS: 41 })).toEqual([100]);
    expect(brief({ bridgeS: 21 })).toEqual([50, 100]);
    expect(brief({ minDurationS: 101 })).toEqual([]);
  });

  it('links by the look-back', () => {
    const linked = (lookBackFactor: number) => applyDefinition(prepared, { ...AS_RUN, lookBackFactor }).sites[0]!.linked!.any;
    // Norepinephrine looks back 300 s; the bolus is 400 s before the onset.
    expect([1, 1.3, 2].map(linked)).toEqual([0, 0, 1]);
  });

  it('gives the curve of count and time lost against the minimum duration', () => {
    const curve = durationCurve(prepared, prepared.sites[0]!, AS_RUN, [5, 10, 30, 60, 600]);
    expect(curve.map((p) => [p.minDurationS, p.count, p.lostMs.mid / 1000])).toEqual([[5, 3, 150], [10, 3, 150], [30, 2, 140], [60, 1, 100], [600, 0, 0]]);
  });
});

describe('blind intervals under a definition', () => {
  // Finger lost 100 to 300 s, ear lobe 200 to 250 and 262 to 400 s, 1 Hz: no site from 200 to 250 and from 262 to 300 s, 12 s of the ear lobe between.
  const times = Array.from({ length: 600 }, (_, s) => s);
  const lostIn = (...spans: readonly (readonly [number, number])[]) => times.map((s): Cell => (spans.some(([from, to]) => s >= from && s < to) ? null : 96 + (s % 2)));
  const record = caseOf({
    channels: [
      regularChannel({ quantity: 'spo2', site: 'finger' }, lostIn([100, 300]), 1),
      regularChannel({ quantity: 'spo2', site: 'ear lobe' }, lostIn([200, 250], [262, 400]), 1),
      regularChannel({ quantity: 'heart-rate' }, times.map((s) => 60 + (s % 5)), 1),
    ],
  });
  const prepared = prepareRobustness(record, DEFAULT_PARAMETERS);
  const brief = (over: Partial<DropoutDefinition>) => applyDefinition(prepared, { ...AS_RUN, ...over }).blind.dropouts.map((d) => [d.firstLostMs / 1000, d.lostMs.mid / 1000]);

  it('are joined and kept like dropouts, and linked to nothing', () => {
    expect(brief({})).toEqual([[200, 50], [262, 38]]);
    expect(brief({ bridgeS: 13 })).toEqual([[200, 88]]);
    expect(brief({ minDurationS: 40 })).toEqual([[200, 50]]);
    expect(applyDefinition(prepared, AS_RUN).blind).toMatchObject({ siteKey: 'case', count: 2, shareMid: 88 / 599, linked: null });
  });

  it('have a curve of count and time lost', () => {
    expect(blindCurve(prepared, AS_RUN, [5, 40, 60]).map((p) => [p.minDurationS, p.count, p.lostMs.mid / 1000, p.linked])).toEqual([[5, 2, 88, null], [40, 1, 50, null], [60, 0, 0, null]]);
  });
});

it('is plain data that can be sent to another thread', () => {
  const prepared = prepareRobustness(threeLosses(), DEFAULT_PARAMETERS);
  expect(applyDefinition(structuredClone(prepared), AS_RUN)).toEqual(applyDefinition(prepared, AS_RUN));
});

it('robustness.csv is written on request only, and holds the definition of the run once a sensor and once a case with the figures of cases.csv', () => {
  const record = threeLosses();
  const analysis = analyzeCase(record, { ...DEFAULT_PARAMETERS, minDurationS: 37 }, '0.0.0');
  const settings = { productVersion: '0.0.0', parameters: analysis.parameters, zone: null, mapping: null, keepIdentifiers: false, pseudonyms: 'key from the input' as const, relativeTime: false, written: [] };
  const files = (withRobustness: boolean) => reportTexts({ settings, files: [], rejectedRows: [], cases: [{ record, analysis }], unanalyzed: [], withRobustness });
  expect(files(false)).not.toHaveProperty(['robustness.csv']);
  const text = files(true)['robustness.csv']!;
  const rows = Papa.parse<Record<string, string>>(text, { header: true, skipEmptyLines: true }).data;
  // The sensor and the case, doubtful as lost or not, six bridges, twelve durations and that of the run.
  expect(rows).toHaveLength(2 * 2 * 6 * 13);
  const own = rows.filter((row) => row['of_this_run'] === 'yes');
  const { totals } = analysis.sites[0]!;
  expect(own.map((row) => [row['site'], row['min_duration_s'], row['bridge_s'], row['dropouts'], row['lost_mid_s'], row['linked_any']])).toEqual([
    ['finger', '37', '10', String(totals.count), String(totals.lostMs.mid / 1000), '0'],
    ['case', '37', '10', String(analysis.blindTotals.count), String(analysis.blindTotals.lostMs.mid / 1000), ''],
  ]);
  expect(own[1]!['lost_mid_s']).toBe('140');
});
