/* Times to restored information, rates after exposures and courses around boluses over the simulator's cases: what must add up, and what must not matter. */
import { beforeAll, describe, expect, it } from 'vitest';
import { beforeLoss } from '../../core/cohort/before-loss.ts';
import { cohortCaseOf } from '../../core/cohort/cohort-case-of.ts';
import { cohortEventAligned } from '../../core/cohort/event-aligned.ts';
import { DEFAULT_RESTORATION_OPTIONS, restorationTimes } from '../../core/cohort/restoration-times.ts';
import { eventAlignedSchema } from '../../core/model/cohort-aligned-schema.ts';
import { DEFAULT_RATE_WINDOWS } from '../../core/model/cohort-before-loss.ts';
import { beforeLossSchema } from '../../core/model/cohort-before-loss-schema.ts';
import type { CohortCase, CohortLosses } from '../../core/model/cohort-case.ts';
import { restorationTimesSchema } from '../../core/model/cohort-restoration-schema.ts';
import { DEFAULT_PARAMETERS } from '../../core/model/parameters.ts';
import type { Site } from '../../core/model/site.ts';
import { analyzeCase } from '../../core/pipeline/analyze-case.ts';
import { seededRandom } from '../simulator/random.ts';
import { makeTrueCase } from '../simulator/true-case.ts';
import { recordOf } from '../simulator/true-record.ts';

const SITES: readonly (readonly Site[])[] = [['finger'], ['finger', 'ear lobe'], ['finger', 'nasal ala']];
const ALIGNED = { draws: 200, seed: 1, conf: 0.95 };
const RATES = { conf: 0.95, windows: DEFAULT_RATE_WINDOWS, isMainOnly: false };
let cases: CohortCase[] = [];

beforeAll(() => {
  cases = Array.from({ length: 40 }, (_, i) => {
    const random = seededRandom(500 + i);
    const record = recordOf(random, makeTrueCase(random, `seed ${500 + i}`, { sites: SITES, intervalChange: true, rowsMayBeAbsent: false }), null);
    return cohortCaseOf(`key ${i}`, record, analyzeCase(record, DEFAULT_PARAMETERS, 'test'), null);
  });
});

/** The same case with every instant later by `ms`. */
function later(one: CohortCase, ms: number): CohortCase {
  const to = <T extends number | null>(at: T): T => (at === null ? at : at + ms) as T; // a number stays a number
  const losses = (own: CohortLosses): CohortLosses => ({
    ...own,
    monitoredSpans: own.monitoredSpans.map(to),
    dropouts: own.dropouts.map((d) => ({
      ...d, lastGoodMs: to(d.lastGoodMs), firstLostMs: to(d.firstLostMs), lastLostMs: to(d.lastLostMs), firstGoodMs: to(d.firstGoodMs), censoredAtMs: to(d.censoredAtMs),
      responses: d.responses.map(({ kind, atMs }) => ({ kind, atMs: to(atMs) })),
    })),
  });
  return {
    ...one,
    surgery: { startMs: to(one.surgery.startMs), endMs: to(one.surgery.endMs) },
    exposures: one.exposures.map((exposure) => ({ ...exposure, atMs: to(exposure.atMs), endMs: to(exposure.endMs) })),
    sites: one.sites.map((site) => ({ ...site, any: losses(site.any), doubtfulLost: losses(site.doubtfulLost) })),
  };
}

describe('over simulated cases', () => {
  it('every dropout is in one curve of its site; longer bounds restore later', () => {
    const { groups } = restorationTimesSchema.parse(restorationTimes(cases, DEFAULT_RESTORATION_OPTIONS));
    const dropouts = cases.flatMap(({ sites }) => sites.flatMap(({ any }) => any.dropouts));
    expect(dropouts.length).toBeGreaterThan(100);
    const all = groups.find(({ kind }) => kind === 'all')!;
    expect([all.losses, all.restored]).toEqual([dropouts.length, dropouts.filter(({ restoredBy }) => restoredBy === 'same site').length]);
    expect(groups.filter(({ kind }) => kind === 'site').reduce((sum, { losses }) => sum + losses, 0)).toBe(dropouts.length);
    expect(groups.find(({ kind }) => kind === 'nothing on record')?.losses ?? 0).toBe(dropouts.filter(({ responses }) => responses.length === 0).length);
    for (const { curves } of groups) {
      const [low, mid, high] = curves.map(({ median }) => median.estimateMs);
      if (typeof low === 'number' && typeof mid === 'number' && typeof high === 'number') expect(low <= mid && mid <= high).toBe(true);
      for (const { steps } of curves) steps.forEach(({ share, lower, upper }) => share > 0 && expect(lower! <= share && share <= upper!).toBe(true));
    }
  });

  it('time at risk, control time, the minute before and what was lost are the monitored time; onsets are all placed or counted', () => {
    const { rates } = beforeLossSchema.parse(beforeLoss(cases, RATES));
    expect(rates.length).toBeGreaterThan(3);
    const whole = rates.find(({ kind, label, siteKey }) => kind === 'vasopressor bolus' && label === null && siteKey === null)!;
    expect(whole.riskOnsets).toBeGreaterThan(5);
    const used = cases.filter((one) => beforeLoss([one], { ...RATES, isMainOnly: true }).rates.some(({ kind, casesUsed }) => kind === 'vasopressor bolus' && casesUsed === 1));
    expect(whole.casesUsed).toBe(used.length);
    const sensors = used.flatMap(({ sites }) => sites.map(({ any }) => any));
    expect(whole.riskOnsets + whole.controlOnsets + whole.preOnsets + whole.onsetsNotPlaced).toBe(sensors.reduce((sum, { dropouts }) => sum + dropouts.length, 0));
    const monitored = sensors.reduce((sum, { monitoredMs }) => sum + monitoredMs, 0);
    const atRisk = whole.riskMs + whole.controlMs + whole.preMs;
    expect(atRisk).toBeLessThan(monitored);
    // Lost is at least what is lost for certain, and at most what lies between last good and first good.
    const lost = monitored - atRisk;
    expect(lost).toBeLessThanOrEqual(sensors.reduce((sum, { dropouts }) => sum + dropouts.reduce((own, d) => own + ((d.firstGoodMs ?? d.censoredAtMs ?? 0) - d.lastGoodMs), 0), 0));
    expect(lost).toBeGreaterThanOrEqual(sensors.reduce((sum, { lostMs }) => sum + lostMs.low, 0));
  });

  it('neither the order of the cases nor where their clocks begin matters', () => {
    const moved = [...cases].reverse().map((one, i) => later(one, 1000 * i));
    expect(restorationTimes(moved, DEFAULT_RESTORATION_OPTIONS)).toEqual(restorationTimes(cases, DEFAULT_RESTORATION_OPTIONS));
    expect(beforeLoss(moved, RATES)).toEqual(beforeLoss(cases, RATES));
    const courses = eventAlignedSchema.parse(cohortEventAligned(cases, ALIGNED));
    expect(courses.courses.length).toBeGreaterThan(2);
    expect(cohortEventAligned(moved, ALIGNED)).toEqual(courses);
  });
});
