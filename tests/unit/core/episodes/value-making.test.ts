import { describe, expect, it } from 'vitest';
import type { CaseAnalysis, Dropout } from '../../../../core/model/analysis.ts';
import type { Channel } from '../../../../core/model/channel.ts';
import type { ValueMaking } from '../../../../core/model/mapping.ts';
import type { AnalysisParameters } from '../../../../core/model/parameters.ts';
import { analyzeCase } from '../../../../core/pipeline/analyze-case.ts';
import { applyDefinition } from '../../../../core/robustness/apply-definition.ts';
import { prepareRobustness } from '../../../../core/robustness/prepare-robustness.ts';
import { caseOf } from '../../../builders/case-record.ts';
import { alternating, regularChannel, repeat, type Cell } from '../../../builders/channel.ts';
import { parametersWith } from '../../../builders/parameters.ts';

/* Worked by hand; the derivation stands in docs/methods/value-making.md. Minutes of one value each unless said. */

interface Facts {
  readonly valueMaking?: ValueMaking;
  readonly deviceHoldS?: number;
}

const site = (cells: readonly Cell[], facts: Facts, intervalS = 60, place: 'finger' | 'ear lobe' = 'finger'): Channel => ({ ...regularChannel({ quantity: 'spo2', site: place }, cells, intervalS), ...facts });
const heart = (count: number, intervalS = 60): Channel => regularChannel({ quantity: 'heart-rate' }, alternating(60, count), intervalS);
const analyze = (channels: readonly Channel[], changes: Partial<AnalysisParameters> = {}): CaseAnalysis => analyzeCase(caseOf({ channels }), parametersWith(changes), '0.0.0');
const lostS = (d: Pick<Dropout, 'lostMs'> | undefined): number[] => (d === undefined ? [] : [d.lostMs.low, d.lostMs.mid, d.lostMs.high].map((ms) => ms / 1000));
const atS = (d: Dropout): (number | null)[] => [d.lastGoodMs, d.firstLostMs, d.lastLostMs, d.firstGoodMs].map((ms) => (ms === null ? null : ms / 1000));

/** Ten good minutes that change every time, `lost`, ten good minutes. */
const around = (lost: readonly Cell[]): Cell[] => [...alternating(97, 10), ...lost, ...alternating(96, 10)];
const lostOf = (cells: readonly Cell[], facts: Facts, changes: Partial<AnalysisParameters> = {}): Dropout[] => [...analyze([site(cells, facts), heart(cells.length)], changes).sites[0]!.dropouts];

describe('the bounds of a dropout under a stated making', () => {
  it.each([
    ['nothing stated', {}, [0, 60, 120]],
    ['unknown', { valueMaking: 'unknown' }, [0, 60, 120]],
    ['snapshot', { valueMaking: 'snapshot' }, [0, 60, 120]],
    // One blank minute: all of it was lost, and up to all of the minute on either side.
    ['mean', { valueMaking: 'mean' }, [60, 120, 180]],
    ['median', { valueMaking: 'median' }, [60, 120, 180]],
    ['median and 10 s of device hold', { valueMaking: 'median', deviceHoldS: 10 }, [60, 120, 190]],
    // The value before the last good one was another: the last new one came after it.
    ['hold', { valueMaking: 'hold' }, [0, 60, 180]],
    ['hold of at most 30 s', { valueMaking: 'hold', deviceHoldS: 30 }, [0, 60, 150]],
  ] as const)('one blank minute, %s', (_, facts, wanted) => {
    const [dropout] = lostOf(around([null]), facts);
    expect(lostS(dropout)).toEqual(wanted);
    expect(atS(dropout!)).toEqual([540, 600, 600, 660]);
  });

  it('three blank minutes as a median: between three and five minutes', () => {
    expect(lostOf(around([null, null, null]), { valueMaking: 'median' }).map(lostS)).toEqual([[180, 240, 300]]);
    expect(lostOf(around(['no row', 'no row', 'no row']), { valueMaking: 'median' }).map(lostS)).toEqual([[180, 240, 300]]);
  });

  it('a value that is there and not believed may stand for a minute with values: only the most is wider', () => {
    expect(lostOf(around([{ flagged: 97 }]), { valueMaking: 'median' }).map(lostS)).toEqual([[0, 90, 180]]);
    expect(lostOf(around([null, 0, null]), { valueMaking: 'mean' }).map(lostS)).toEqual([[120, 210, 300]]);
  });

  it('two blank minutes round a single one: that one is lost in part to either, not wholly to both', () => {
    // 2 × 60 certain; at most both blanks, the minutes outside and all of the one between: 5 minutes.
    expect(lostOf(around([null, 97, null]), { valueMaking: 'median' }).map(lostS)).toEqual([[120, 210, 300]]);
  });

  it('a hold reaches back to the sample before the value last changed, and not beyond a loss', () => {
    const cells = [...alternating(97, 5), 95, ...repeat(99, 4), null, ...alternating(96, 10)];
    // Last good at 540 s, its value first stored at 360 s, another at 300 s: 240 s earlier at most.
    expect(lostOf(cells, { valueMaking: 'hold' }).map(lostS)).toEqual([[0, 60, 360]]);
    const twice = [...alternating(97, 5), null, ...repeat(99, 3), null, ...alternating(96, 10)];
    expect(lostOf(twice, { valueMaking: 'hold' }).map(lostS)).toEqual([[0, 60, 180], [0, 60, 240]]);
  });
});

describe('device hold', () => {
  it('of the mapping goes before the parameter, per channel', () => {
    const cells = around([null]);
    const { sites, blind } = analyze([site(cells, { deviceHoldS: 10 }), site(cells, {}, 60, 'ear lobe'), heart(cells.length)], { deviceHoldS: 30 });
    expect(sites.map(({ dropouts }) => lostS(dropouts[0]))).toEqual([[0, 60, 130], [0, 60, 150]]);
    expect(lostS(blind[0])).toEqual([0, 60, 150]);
    expect(lostOf(cells, { deviceHoldS: 0 }, { deviceHoldS: 30 }).map(lostS)).toEqual([[0, 60, 120]]);
  });
});

describe('where the bounds go on to', () => {
  it('a lone sensor and the blind intervals of its case say the same; two are as sure as the less sure one', () => {
    const cells = around([null, null]);
    const one = analyze([site(cells, { valueMaking: 'median' }), heart(cells.length)]);
    expect(lostS(one.blind[0])).toEqual(lostS(one.sites[0]!.dropouts[0]));
    expect(lostS(one.blind[0])).toEqual([120, 180, 240]);
    const two = analyze([site(cells, { valueMaking: 'median' }), site(cells, {}, 60, 'ear lobe'), heart(cells.length)]);
    expect(lostS(two.blind[0])).toEqual([60, 150, 240]);
  });

  it('a dropout that is not restored is no surer at its end', () => {
    const cells = [...alternating(97, 10), ...repeat(null, 10)];
    expect(lostOf(cells, {}).map(lostS)).toEqual([[540, 570, 600]]);
    expect(lostOf(cells, { valueMaking: 'median' }).map(lostS)).toEqual([[540, 600, 660]]);
  });

  it('the curves of robustness have the same bounds', () => {
    const record = caseOf({ channels: [site(around([null, 97, null]), { valueMaking: 'median', deviceHoldS: 10 }), heart(23)] });
    const parameters = parametersWith({});
    const [whole] = analyzeCase(record, parameters, '0').sites;
    const { sites: [defined] } = applyDefinition(prepareRobustness(record, parameters), { minDurationS: parameters.minDurationS, bridgeS: parameters.bridgeS, lookBackFactor: 1, doubtfulLost: false });
    expect(defined!.lostMs).toEqual(whole!.totals.lostMs);
  });

  it('what cannot be excluded: the fall may have begun earlier', () => {
    const cells = around([null]);
    const plain = lostOf(cells, {})[0]!.cannotExclude.pct;
    expect(lostOf(cells, { valueMaking: 'median' })[0]!.cannotExclude.pct).toBeLessThan(plain);
    expect(lostOf(cells, { deviceHoldS: 30 })[0]!.cannotExclude.pct).toBe(lostOf(cells, {}, { deviceHoldS: 30 })[0]!.cannotExclude.pct);
  });

  it('findings say what was stated and what it hides', () => {
    const cells = around([null]);
    const messages = (facts: Facts): string[] => analyze([site(cells, facts), heart(cells.length)]).findings.map(({ message }) => message);
    expect(messages({})).toEqual([]);
    expect(messages({ valueMaking: 'median', deviceHoldS: 10 })).toEqual([
      'SpO2 finger: each stored value is the median of its interval, as the mapping states. A loss of less than 60 s leaves no trace, and one of less than 120 s may leave none.',
      'SpO2 finger: the device went on showing its last value for up to 10 s, as the mapping states; the high estimates are wider by that much.',
    ]);
  });
});
