import { describe, expect, it } from 'vitest';
import { beforeLoss } from '../../../../core/cohort/before-loss.ts';
import { doseResponse } from '../../../../core/cohort/dose-response.ts';
import type { BeforeLossOptions } from '../../../../core/cohort/before-loss.ts';
import type { CohortCase } from '../../../../core/model/cohort-case.ts';
import type { RateVariant } from '../../../../core/model/cohort-before-loss.ts';
import { DEFAULT_RATE_WINDOWS } from '../../../../core/model/cohort-before-loss.ts';
import { beforeLossSchema } from '../../../../core/model/cohort-before-loss-schema.ts';
import { cohortCase, cohortExposure } from '../../../builders/cohort-case.ts';
import { goldenCases } from '../../../reference/stats/golden-cases.ts';

const GOLDEN = [...goldenCases('d-rate-ratio.json'), ...goldenCases('d-windows.json')];
const golden = (id: string) => GOLDEN.find((one) => one.id === id)!;
const OPTIONS: BeforeLossOptions = { conf: 0.95, windows: { ...DEFAULT_RATE_WINDOWS, preS: 0 }, isMainOnly: false };
const worked = (cases: readonly CohortCase[], options = OPTIONS) => beforeLossSchema.parse(beforeLoss(cases, options));
const ALL = (cases: readonly CohortCase[], options = OPTIONS) => worked(cases, options).rates.find(({ label, siteKey }) => label === null && siteKey === null)!;
const variantOf = (cases: readonly CohortCase[], variant: RateVariant, options = OPTIONS) => ALL(cases, options).variants.find((one) => one.variant === variant)!;

/** Onsets that take no time, so that the times of a stratum are what they are said to be. */
const at = (seconds: readonly number[]) => seconds.map((s): [number, number] => [s, s]);

/** A case with boluses every 300 s from the start so that `riskS` is at risk, and onsets of the numbers given. */
function stratum(id: string, riskS: number, riskEvents: number, controlS: number, controlEvents: number): CohortCase {
  const boluses = riskS === 0 ? [] : [...Array.from({ length: Math.floor(riskS / 300) }, (_, i) => 300 * i), ...(riskS % 300 === 0 ? [] : [riskS - 300])];
  const onsets = [...Array.from({ length: riskEvents }, (_, i) => 10 * i), ...Array.from({ length: controlEvents }, (_, i) => riskS + 10 * i)];
  return cohortCase(id, [{ monitored: [[0, riskS + controlS]], losses: at(onsets) }], { exposures: boluses.map((s) => cohortExposure(s)) });
}

describe('rate of loss after exposures', () => {
  it('is the known ratio over cases; cases without exposure or control time are left out and counted (R gnm, epiR)', () => {
    const { data, expect: wanted } = golden('d-mh-edge-mix');
    const rate = ALL(data.cases.map((one: any) => stratum(`c${one.caseId}`, one.riskTime, one.riskEvents, one.controlTime, one.controlEvents)));
    expect(rate).toMatchObject({ kind: 'vasopressor bolus', casesUsed: wanted.casesUsed, casesInformative: wanted.casesInformative, riskOnsets: 5, controlOnsets: 5, casesWithoutExposure: 1, casesWithoutControl: 1, isSparse: false });
    expect(rate.figure).toMatchObject({ method: 'Mantel-Haenszel', isUnbounded: false, reason: null });
    for (const [figure, name] of [[rate.mantelHaenszel, 'mh'], [rate.conditional, 'cml']] as const) {
      expect(figure.ratio).toBeCloseTo(wanted[`${name}RateRatio`], 6);
      expect(figure.lower).toBeCloseTo(wanted[`${name}Lower`], 6);
      expect(figure.upper).toBeCloseTo(wanted[`${name}Upper`], 5);
    }
    expect([rate.exact.lower, rate.exact.upper, rate.exact.p].map((v) => v!.toFixed(4))).toEqual([wanted.exactLower, wanted.exactUpper, wanted.exactPCentral].map((v) => v.toFixed(4)));
    expect(rate.attributable).toMatchObject({ reason: null });
    expect(rate.attributable.fraction).toBeCloseTo(1 - 1 / wanted.mhRateRatio, 6);
    expect(rate.cautions).toEqual(['association is not cause', 'fewer than 10 units']);
  });

  it('by case and phase (R gnm): few onsets, so the conditional estimate with exact limits', () => {
    const windows = { ...DEFAULT_RATE_WINDOWS, bolusS: [0, 100] as const, preS: 0 };
    const boluses = (seconds: readonly number[]) => seconds.map((s) => cohortExposure(s));
    const cases = [
      cohortCase('1', [{ monitored: [[0, 5900]], losses: at([50, 60, 300, 310, 320, 650, 2000, 2010]) }], { surgery: { startMs: 600_000, endMs: null }, exposures: boluses([0, 100, 600, 700, 800]) }),
      cohortCase('2', [{ monitored: [[0, 4720]], losses: at([50, 300, 310, 2000]) }], { surgery: { startMs: 620_000, endMs: null }, exposures: boluses([0, 20, 620]) }),
      cohortCase('3', [{ monitored: [[0, 5000]], losses: at([50]) }], { exposures: boluses([0]) }),
    ];
    const { expect: wanted } = golden('d-mh-case-by-phase');
    const { figure, casesUsed, casesWithoutPhases, riskOnsets, controlOnsets } = variantOf(cases, 'case by phase', { ...OPTIONS, windows });
    expect({ casesUsed, casesWithoutPhases, riskOnsets, controlOnsets }).toEqual({ casesUsed: 2, casesWithoutPhases: 1, riskOnsets: wanted.riskEvents, controlOnsets: wanted.controlEvents });
    expect(figure).toMatchObject({ method: 'exact conditional', reason: null });
    expect([figure.ratio, figure.lower, figure.upper, figure.p].map((v) => v!.toFixed(4))).toEqual([wanted.cmlRateRatio, wanted.exactLower, wanted.exactUpper, wanted.exactPCentral].map((v: number) => v.toFixed(4)));
  });

  it('circular shift to the millisecond: 0.3 in one case, 0.25 in the other, 0.075 together (numpy); gaps are cut out', () => {
    const windows = { ...DEFAULT_RATE_WINDOWS, bolusS: [0, 3] as const, preS: 0 };
    // The first circle is parted by a gap of 90 s after its seventh second.
    const first = cohortCase('1', [{ monitored: [[0, 7], [97, 100]], losses: at([3]) }], { exposures: [cohortExposure(2)] });
    const second = cohortCase('2', [{ monitored: [[0, 8]], losses: at([1]) }], { exposures: [cohortExposure(-1)] });
    const { shift } = ALL([first, second], { ...OPTIONS, windows });
    const { expect: wanted } = golden('d-shift-03-two-cases');
    expect(shift).toMatchObject({ observed: wanted.observed, cases: 2 });
    expect(shift!.expected).toBeCloseTo(wanted.expected, 9);
    expect([shift!.pGreater, shift!.p].map((v) => v.toFixed(9))).toEqual([wanted.pGreater, wanted.pTwoSided].map((v: number) => v.toFixed(9)));
  });

  it('two kinds make four exclusive categories (hand): 200 s, 300 s, 100 s against 400 s in no window', () => {
    const windows = { bolusS: [0, 300] as const, positionS: [0, 200] as const, preS: 0, washOutS: 60 };
    const one = cohortCase('1', [{ monitored: [[0, 1000]], losses: at([150, 350, 850, 700]) }], { exposures: [cohortExposure(100), cohortExposure(300, { kind: 'position', label: 'prone' }), cohortExposure(800, { kind: 'position', label: 'supine' })] });
    const { categories } = worked([one], { ...OPTIONS, windows });
    const { expect: wanted } = golden('d-windows-12-two-kinds');
    expect(categories.map(({ category, riskMs, controlMs, riskOnsets, controlOnsets }) => ({ category, riskMs, controlMs, riskOnsets, controlOnsets }))).toEqual([
      { category: 'bolus only', riskMs: wanted.bolusOnly * 1000, controlMs: wanted.neither * 1000, riskOnsets: 1, controlOnsets: 1 },
      { category: 'position only', riskMs: wanted.positioningOnly * 1000, controlMs: wanted.neither * 1000, riskOnsets: 1, controlOnsets: 1 },
      { category: 'both', riskMs: wanted.both * 1000, controlMs: wanted.neither * 1000, riskOnsets: 1, controlOnsets: 1 },
    ]);
  });

  it('an onset between two samples is tried in the middle and at both ends', () => {
    const one = cohortCase('1', [{ monitored: [[0, 2000]], losses: [[0, 0]] }], { exposures: [cohortExposure(500)] });
    const [site] = one.sites;
    const [loss] = site!.any.dropouts;
    // Last good 480, first lost 540: in the middle it is 10 s after the bolus.
    const dropout = { ...loss!, lastGoodMs: 480_000, firstLostMs: 540_000, lastLostMs: 600_000, firstGoodMs: 620_000 };
    const cases = [{ ...one, sites: [{ ...site!, any: { ...site!.any, dropouts: [dropout] } }] }];
    expect(ALL(cases)).toMatchObject({ riskOnsets: 1, controlOnsets: 0, riskMs: 10_000 + 190_000 });
    expect(variantOf(cases, 'onset at its earliest')).toMatchObject({ riskOnsets: 0, controlOnsets: 1, controlMs: 480_000 + 1_200_000 });
    expect(variantOf(cases, 'onset at its latest')).toMatchObject({ riskOnsets: 1, riskMs: 40_000 + 190_000 });
  });

  it('after the first onset a window ends, and a loss soon after another is one with it', () => {
    const one = cohortCase('1', [{ monitored: [[0, 2000]], losses: [[550, 560], [600, 610], [1000, 1010], [1200, 1210]] }], { exposures: [cohortExposure(500)] });
    expect(ALL([one])).toMatchObject({ riskOnsets: 2, riskMs: 280_000, controlOnsets: 2 });
    expect(variantOf([one], 'first onset after each exposure')).toMatchObject({ riskOnsets: 1, riskMs: 50_000, controlOnsets: 2 });
    // 600 is 40 s after 560 and joins; what lies between is no time at risk.
    expect(variantOf([one], 'losses shortly after another joined')).toMatchObject({ riskOnsets: 1, riskMs: 300_000 - 60_000, controlOnsets: 2 });
    expect(variantOf([one], 'look-back windows of the parameters')).toMatchObject({ riskOnsets: 3, controlOnsets: 1 });
  });

  it('for one drug the windows of the others are no control time; pre-exposure time is neither', () => {
    const exposures = [cohortExposure(500), cohortExposure(1500, { label: 'ephedrine', manual: true })];
    const one = cohortCase('1', [{ monitored: [[0, 3000]], losses: at([470, 600, 1600, 2500]) }], { exposures });
    const { rates } = worked([one], { ...OPTIONS, windows: DEFAULT_RATE_WINDOWS });
    const of = (label: string | null) => rates.find((rate) => rate.label === label)!;
    expect(of(null)).toMatchObject({ exposures: 2, riskMs: 600_000, preMs: 120_000, controlMs: 2_280_000, riskOnsets: 2, preOnsets: 1, controlOnsets: 1 });
    expect(of('phenylephrine')).toMatchObject({ exposures: 1, riskMs: 300_000, preMs: 60_000, controlMs: 2_280_000, riskOnsets: 1, controlOnsets: 1 });
    expect(of('ephedrine').cautions).toContain('times typed by hand');
    expect(of('phenylephrine').cautions).not.toContain('times typed by hand');
  });

  it('sensors of a case add up, and each is shown by itself; onsets in a record gap are placed nowhere', () => {
    const one = cohortCase('1', [{ monitored: [[0, 900], [1000, 2000]], losses: at([550, 950]) }, { site: 'ear lobe', monitored: [[0, 2000]], losses: at([560, 1500]) }], { exposures: [cohortExposure(500)] });
    const { rates } = worked([one]);
    expect(rates.map(({ siteKey, label, riskMs, riskOnsets, controlOnsets, onsetsNotPlaced }) => ({ siteKey, label, riskMs, riskOnsets, controlOnsets, onsetsNotPlaced }))).toEqual([
      { siteKey: null, label: null, riskMs: 600_000, riskOnsets: 2, controlOnsets: 1, onsetsNotPlaced: 1 },
      { siteKey: 'ear lobe', label: null, riskMs: 300_000, riskOnsets: 1, controlOnsets: 1, onsetsNotPlaced: 0 },
      { siteKey: 'finger', label: null, riskMs: 300_000, riskOnsets: 1, controlOnsets: 0, onsetsNotPlaced: 1 },
      { siteKey: null, label: 'phenylephrine', riskMs: 600_000, riskOnsets: 2, controlOnsets: 1, onsetsNotPlaced: 1 },
    ]);
  });

  it('no onset on one side: the exact limit that there is, and no number beyond any', () => {
    const { figure, attributable } = ALL([stratum('1', 300, 3, 5000, 0)]);
    expect(figure).toMatchObject({ method: 'exact conditional', ratio: null, upper: null, isUnbounded: true, reason: 'no event in control time' });
    // R: poisson.test(c(3, 0), c(300, 5000)).
    expect(figure.lower).toBeCloseTo(golden('d-exact-no-control-events').expect.lower, 5);
    expect(attributable).toEqual({ fraction: null, onsets: null, reason: 'no finite ratio' });
    expect(ALL([stratum('1', 300, 0, 5000, 0)]).figure).toMatchObject({ ratio: null, lower: null, upper: null, p: null, reason: 'no event' });
    expect(ALL([stratum('1', 300, 0, 5000, 6)]).figure).toMatchObject({ ratio: 0, lower: 0, isUnbounded: false, reason: 'no event at risk' });
    expect(ALL([stratum('1', 600, 7, 600, 6)]).attributable.reason).toBe('interval holds 1');
  });

  it('ratio per doubling of the dose: with the same times in every case it is the ratio of the rates (hand)', () => {
    // Each case: 300 s after 50, 300 s after 100, 600 s of control; onsets after the larger dose twice as often.
    const cases = Array.from({ length: 12 }, (_, i) =>
      cohortCase(`c${i}`, [{ monitored: [[0, 1200]], losses: at([...(i < 10 ? [10] : []), ...(i < 10 ? [310, 320] : []), 700]) }], { exposures: [cohortExposure(0, { dose: 50 }), cohortExposure(300, { dose: 100 })] }),
    );
    const dose = worked(cases).rates.find(({ label }) => label === 'phenylephrine')!.dose!;
    expect(dose).toMatchObject({ unit: 'ug', boluses: 24, bolusesNotUsed: 0, onsets: 30, casesWithOnset: 10, reason: null });
    expect(dose.perDoubling!.ratio).toBeCloseTo(2, 9);
    // ln RR has the variance 1/20 + 1/10 (two Poisson counts).
    expect(Math.log(dose.perDoubling!.upper! / dose.perDoubling!.ratio!)).toBeCloseTo(1.959963985 * Math.sqrt(1 / 20 + 1 / 10), 8);
    expect(dose.bands.map(({ from, to, boluses, riskOnsets, controlOnsets }) => ({ from, to, boluses, riskOnsets, controlOnsets }))).toEqual([
      { from: 50, to: 50, boluses: 12, riskOnsets: 10, controlOnsets: 12 },
      { from: 100, to: 100, boluses: 12, riskOnsets: 20, controlOnsets: 12 },
    ]);
    const few = worked(cases.slice(0, 4)).rates.find(({ label }) => label === 'phenylephrine')!.dose!;
    expect(few).toMatchObject({ onsets: 12, perDoubling: null, bands: [], reason: 'too few onsets' });
    expect(worked([cohortCase('x', [{}], { exposures: [cohortExposure(0, { dose: null })] })]).rates.at(-1)!.dose).toBeNull();
  });

  it('does not hang on the order of the cases, and the main ratios alone are the same', () => {
    const cases = [stratum('a', 300, 2, 3300, 1), stratum('b', 600, 3, 4200, 2), stratum('c', 300, 0, 3000, 2)];
    expect(worked([...cases].reverse())).toEqual(worked(cases));
    // The cases behind a rate add up to its onsets, and are those that say anything.
    const { onsetCases, riskOnsets, controlOnsets, casesInformative } = ALL(cases);
    expect([onsetCases.reduce((sum, one) => sum + one.riskOnsets, 0), onsetCases.reduce((sum, one) => sum + one.controlOnsets, 0), onsetCases.length]).toEqual([riskOnsets, controlOnsets, casesInformative]);
    const main = worked(cases, { ...OPTIONS, isMainOnly: true });
    expect(main.rates).toEqual([{ ...ALL(cases), onsetCases: [], shift: null, variants: [] }]);
    expect(worked([])).toMatchObject({ rates: [], categories: [{ casesUsed: 0 }, { casesUsed: 0 }, { casesUsed: 0 }] });
  });
});

describe('loss after doses', () => {
  // Worked by hand: 100 ug at 0 s, an unstated dose at 60 s, windows of 300 s, a loss at 100 s: whose dose it followed is not known.
  it('a window after a bolus without a dose is neither at risk nor control', () => {
    const rule = { fromMs: 0, toMs: 300_000, preMs: 60_000 };
    const bolus = (atS: number, dose: number | null) => ({ atMs: atS * 1000, rule, exposure: cohortExposure(atS, { dose, unit: dose === null ? '' : 'ug' }) });
    const sensors = [{ siteKey: 'finger', spans: [{ startMs: 0, endMs: 3_600_000 }], losses: [], onsets: [{ startMs: 100_000, onsetMs: 100_000, endMs: 130_000 }] }];
    expect(doseResponse([{ sensors, own: [bolus(0, 100)], others: [] }], 0.95)?.onsets).toBe(1);
    expect(doseResponse([{ sensors, own: [bolus(0, 100), bolus(60, null)], others: [] }], 0.95)).toMatchObject({ onsets: 0, bolusesNotUsed: 1 });
  });
});
