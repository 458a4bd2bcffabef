import Papa from 'papaparse';
import { describe, expect, it } from 'vitest';
import type { CaseRecord } from '../../../../core/model/case.ts';
import { DEFAULT_PARAMETERS } from '../../../../core/model/parameters.ts';
import { analyzeCase } from '../../../../core/pipeline/analyze-case.ts';
import { reportTexts } from '../../../builders/report-texts.ts';
import type { DropoutDefinition } from '../../../../core/robustness/apply-definition.ts';
import { applyDefinition, durationCurve } from '../../../../core/robustness/apply-definition.ts';
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
  const brief = (over: Partial<DropoutDefinition>) => applyDefinition(prepared, { ...AS_RUN, ...over })[0]!.dropouts.map((d) => d.lostMs.mid / 1000);

  it('keeps by the shortest loss and joins by the information between', () => {
    expect(brief({})).toEqual([40, 100]);
    expect(brief({ minDurationS: 5 })).toEqual([10, 40, 100]);
    expect(brief({ minDurationS: 41 })).toEqual([100]);
    expect(brief({ bridgeS: 21 })).toEqual([50, 100]);
    expect(brief({ minDurationS: 101 })).toEqual([]);
  });

  it('links by the look-back', () => {
    const linked = (lookBackFactor: number) => applyDefinition(prepared, { ...AS_RUN, lookBackFactor })[0]!.linkedAny;
    // Norepinephrine looks back 300 s; the bolus is 400 s before the onset.
    expect([1, 1.3, 2].map(linked)).toEqual([0, 0, 1]);
  });

  it('gives the curve of count and time lost against the minimum duration', () => {
    const curve = durationCurve(prepared, prepared.sites[0]!, AS_RUN, [5, 10, 30, 60, 600]);
    expect(curve.map((p) => [p.minDurationS, p.count, p.lostMs.mid / 1000])).toEqual([[5, 3, 150], [10, 3, 150], [30, 2, 140], [60, 1, 100], [600, 0, 0]]);
  });
});

it('is plain data that can be sent to another thread', () => {
  const prepared = prepareRobustness(threeLosses(), DEFAULT_PARAMETERS);
  expect(applyDefinition(structuredClone(prepared), AS_RUN)).toEqual(applyDefinition(prepared, AS_RUN));
});

it('robustness.csv is written on request only, and holds the definition of the run once a sensor with the figures of cases.csv', () => {
  const record = threeLosses();
  const analysis = analyzeCase(record, { ...DEFAULT_PARAMETERS, minDurationS: 37 }, '0.0.0');
  const settings = { productVersion: '0.0.0', parameters: analysis.parameters, zone: null, mapping: null, keepIdentifiers: false, pseudonyms: 'key from the input' as const, relativeTime: false };
  const files = (withRobustness: boolean) => reportTexts({ settings, files: [], rejectedRows: [], cases: [{ record, analysis }], unanalyzed: [], withRobustness });
  expect(files(false)).not.toHaveProperty(['robustness.csv']);
  const text = files(true)['robustness.csv']!;
  const rows = Papa.parse<Record<string, string>>(text, { header: true, skipEmptyLines: true }).data;
  expect(rows).toHaveLength(2 * 6 * 13);
  const own = rows.filter((row) => row['of_this_run'] === 'yes');
  expect(own.map((row) => [row['min_duration_s'], row['bridge_s'], row['dropouts'], row['lost_mid_s']])).toEqual([['37', '10', String(analysis.sites[0]!.totals.count), String(analysis.sites[0]!.totals.lostMs.mid / 1000)]]);
});
