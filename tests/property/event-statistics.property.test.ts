import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { totalMs } from '../../core/base/interval.ts';
import { riskWindows, windowParts } from '../../core/metrics/risk-windows.ts';
import { circularShift } from '../../core/stats/circular-shift.ts';
import { conditionalPoisson, conditionalRatio } from '../../core/stats/conditional-poisson.ts';
import { exactStratifiedRatio } from '../../core/stats/exact-rate-ratio.ts';
import { kaplanMeier, survivalAt, survivalQuantile } from '../../core/stats/kaplan-meier.ts';
import { logRank } from '../../core/stats/log-rank.ts';
import { mantelHaenszelRate } from '../../core/stats/rate-ratio.ts';
import type { RateStratum } from '../../core/stats/rate-ratio.ts';
import { restrictedMean, restrictedMeanDifference } from '../../core/stats/restricted-mean.ts';
import { turnbull } from '../../core/stats/turnbull.ts';

const RUNS = { numRuns: 60 };
const times = fc.array(fc.record({ time: fc.integer({ min: 1, max: 40 }), isEvent: fc.boolean() }), { minLength: 1, maxLength: 40 });
const near = (a: number | null, b: number | null, share = 1e-9): void => {
  if (a === null || b === null || !Number.isFinite(a)) expect(a).toBe(b);
  else expect(Math.abs(a - b)).toBeLessThanOrEqual(share * Math.max(1, Math.abs(b)));
};

describe('time to an event', () => {
  it('in another unit of time the curve is the same and its times are that much longer', () => {
    fc.assert(
      fc.property(times, fc.integer({ min: 2, max: 1000 }), (list, factor) => {
        const one = kaplanMeier(list, 0.95);
        const other = kaplanMeier(list.map(({ time, isEvent }) => ({ time: time * factor, isEvent })), 0.95);
        expect(other.survival).toEqual(one.survival);
        expect(other.lower).toEqual(one.lower);
        expect(survivalQuantile(other, 0.5).estimate).toBe(survivalQuantile(one, 0.5).estimate === null ? null : survivalQuantile(one, 0.5).estimate! * factor);
      }),
      RUNS,
    );
  });

  it('influences summed within clusters: the fast sum is the sum written out, and with a cluster for each time it is Greenwood', () => {
    fc.assert(
      fc.property(times, fc.integer({ min: 1, max: 8 }), (list, clusters) => {
        const names = list.map((_, i) => String((i * 7) % clusters));
        const curve = kaplanMeier(list, 0.95, 'log-log', names);
        curve.times.forEach((t, step) => {
          const s = curve.survival[step]!;
          if (s === 0 || curve.clusters < 2) return;
          const sums = new Map<string, number>();
          list.forEach(({ time, isEvent }, i) => {
            let u = 0;
            for (let j = 0; j <= step; j++) {
              const [tj, n, d] = [curve.times[j]!, curve.atRisk[j]!, curve.nEvent[j]!];
              const y = time >= tj ? 1 : 0;
              u += (y - (isEvent && time === tj ? 1 : 0)) / (n - d) - y / n;
            }
            sums.set(names[i]!, (sums.get(names[i]!) ?? 0) + s * u);
          });
          near(curve.se[step]!, Math.sqrt([...sums.values()].reduce((sum, u) => sum + u * u, 0)), 1e-7);
          expect(survivalAt(curve, t).survival).toBe(s);
        });
        const alone = kaplanMeier(list, 0.95, 'log-log', list.map((_, i) => String(i)));
        alone.seGreenwood.forEach((error, step) => error !== null && list.length > 1 && near(alone.se[step]!, error, 1e-7));
      }),
      RUNS,
    );
  });

  it('the restricted mean of uncensored times is their mean cut at the limit, and its clustered error is the written-out one', () => {
    fc.assert(
      fc.property(fc.array(fc.integer({ min: 1, max: 40 }), { minLength: 2, maxLength: 30 }), fc.integer({ min: 1, max: 60 }), (list, limit) => {
        const all = list.map((time) => ({ time, isEvent: true }));
        const cut = list.map((time) => Math.min(time, limit));
        const mean = cut.reduce((sum, time) => sum + time, 0) / list.length;
        const names = list.map((_, i) => String(i % 3));
        near(restrictedMean({ times: all, clusters: null }, limit, 0.95).estimate, mean);
        const sums = [0, 1, 2].map((c) => cut.reduce((sum, time, i) => (i % 3 === c ? sum + (time - mean) / list.length : sum), 0));
        near(restrictedMean({ times: all, clusters: names }, limit, 0.95).se, Math.sqrt(sums.reduce((sum, u) => sum + u * u, 0)));
      }),
      RUNS,
    );
  });

  it('with a cluster for each time the restricted mean has its usual error; against itself it differs by nothing', () => {
    fc.assert(
      fc.property(times, fc.integer({ min: 1, max: 40 }), (list, limit) => {
        if (list.length === 1) return;
        const alone = restrictedMean({ times: list, clusters: list.map((_, i) => String(i)) }, limit, 0.95);
        near(alone.se, restrictedMean({ times: list, clusters: null }, limit, 0.95).se, 1e-7);
        if (alone.reason !== null) return;
        const group = { times: list, clusters: list.map((_, i) => String(i % 4)) };
        const { estimate, se, p } = restrictedMeanDifference(group, group, limit, 0.95);
        near(estimate, 0);
        near(se, 0);
        expect(p).toBeNull();
        // One cluster of four names is not to be taken for a spread.
        expect(restrictedMean({ times: list, clusters: list.map(() => 'one') }, limit, 0.95)).toMatchObject({ se: null, reason: 'one cluster' });
      }),
      RUNS,
    );
  });

  it('log-rank does not hang on the order of rows or the names of groups, and doubling every stratum doubles chi-square', () => {
    fc.assert(
      fc.property(fc.array(fc.record({ time: fc.integer({ min: 1, max: 12 }), isEvent: fc.boolean(), group: fc.constantFrom('a', 'b', 'c'), stratum: fc.constantFrom('1', '2', '3') }), { minLength: 2, maxLength: 40 }), (rows) => {
        const plain = logRank(rows);
        const turned = logRank([...rows].reverse().map((row) => ({ ...row, group: { a: 'z', b: 'y', c: 'x' }[row.group] ?? '' })));
        near(turned.chiSquare, plain.chiSquare, 1e-7);
        expect([turned.df, turned.reason]).toEqual([plain.df, plain.reason]);
        const doubled = logRank([...rows, ...rows.map((row) => ({ ...row, stratum: `${row.stratum} again` }))]);
        near(doubled.chiSquare, plain.chiSquare === null ? null : 2 * plain.chiSquare, 1e-7);
        near(plain.observed.reduce((sum, o) => sum + o, 0), plain.expected.reduce((sum, e) => sum + e, 0), 1e-9);
      }),
      RUNS,
    );
  });

  it('times known exactly, or not restored, give the same steps between limits as with censoring', () => {
    fc.assert(
      fc.property(times, (list) => {
        const curve = kaplanMeier(list, 0.95);
        const between = turnbull(list.map(({ time, isEvent }) => ({ left: time, right: isEvent ? time : Infinity })));
        let left = 1;
        between.mass.forEach((mass, j) => {
          left -= mass;
          if (between.right[j] !== Infinity) near(left, survivalAt(curve, between.right[j]!).survival, 1e-5);
        });
        near(between.mass.reduce((sum, mass) => sum + mass, 0), 1, 1e-5);
      }),
      { numRuns: 30 },
    );
  });
});

const stratum = fc.record({ riskEvents: fc.integer({ min: 0, max: 6 }), riskTime: fc.integer({ min: 0, max: 900 }), controlEvents: fc.integer({ min: 0, max: 9 }), controlTime: fc.integer({ min: 0, max: 9000 }) });
const strata = fc.array(stratum, { minLength: 1, maxLength: 12 });
const all = (list: readonly RateStratum[]) => [mantelHaenszelRate(list, 0.95), conditionalRatio(list, 0.95), exactStratifiedRatio(list, 0.95)];

describe('ratio of rates within cases', () => {
  it('does not hang on the unit of time, nor on the order of the cases', () => {
    fc.assert(
      fc.property(strata, fc.integer({ min: 2, max: 1000 }), (list, factor) => {
        const scaled = [...list].reverse().map((one) => ({ ...one, riskTime: one.riskTime * factor, controlTime: one.controlTime * factor }));
        all(list).forEach((one, i) => {
          const other = all(scaled)[i]!;
          expect(other.reason).toBe(one.reason);
          near(other.lower, one.lower, 1e-6);
          near(other.upper, one.upper, 1e-6);
        });
      }),
      RUNS,
    );
  });

  it('Mantel–Haenszel and conditional are one when the times have one proportion in all cases', () => {
    fc.assert(
      fc.property(strata, fc.integer({ min: 1, max: 20 }), (list, proportion) => {
        const even = list.map((one) => ({ ...one, riskTime: one.riskTime + 1, controlTime: (one.riskTime + 1) * proportion }));
        const mh = mantelHaenszelRate(even, 0.95);
        const conditional = conditionalRatio(even, 0.95);
        near(conditional.rateRatio, mh.rateRatio);
        near(conditional.seLog, mh.seLog);
      }),
      RUNS,
    );
  });

  it('the ratio of two rates is the conditional model with one covariate', () => {
    fc.assert(
      fc.property(strata, (list) => {
        const ratio = conditionalRatio(list, 0.95);
        if (ratio.reason !== null) return;
        const used = list.filter(({ riskTime, controlTime }) => riskTime > 0 && controlTime > 0);
        const model = conditionalPoisson(
          used.flatMap(({ riskEvents, riskTime, controlEvents, controlTime }, i) => [
            { stratum: String(i), time: riskTime, covariates: [1], events: riskEvents },
            { stratum: String(i), time: controlTime, covariates: [0], events: controlEvents },
          ]),
          0.95,
        ).effects![0]!;
        near(ratio.rateRatio, model.rateRatio, 1e-8);
        near(ratio.seLog, model.seLog, 1e-8);
        near(ratio.upper, model.upper, 1e-8);
      }),
      RUNS,
    );
  });

  it('the exact interval holds the conditional estimate, and the exact p is below 0.05 just where the interval leaves out 1', () => {
    fc.assert(
      fc.property(strata, (list) => {
        const { lower, upper, p, reason } = exactStratifiedRatio(list, 0.95);
        if (reason !== null) return;
        const { rateRatio } = conditionalRatio(list, 0.95);
        expect(rateRatio! >= lower! * (1 - 1e-9) && rateRatio! <= upper! * (1 + 1e-9)).toBe(true);
        if (Math.abs(p! - 0.05) > 1e-9) expect(p! < 0.05).toBe(lower! > 1 || upper! < 1);
      }),
      RUNS,
    );
  });
});

describe('windows after exposures', () => {
  const losses = fc.array(fc.record({ startMs: fc.integer({ min: 0, max: 990 }), length: fc.integer({ min: 0, max: 90 }) }), { maxLength: 8 }).map((list) => list.map(({ startMs, length }) => ({ startMs, endMs: startMs + length, onsetMs: startMs })));
  const exposures = fc.array(fc.integer({ min: -200, max: 1100 }), { maxLength: 8 });
  const rule = { fromMs: 0, toMs: 150, preMs: 60 };
  const monitored = [{ startMs: 0, endMs: 400 }, { startMs: 500, endMs: 1000 }];

  it('parts add up to the monitored time, onsets to all, and a window laid twice counts once', () => {
    fc.assert(
      fc.property(losses, exposures, (lost, at) => {
        const parts = windowParts(monitored, at.map((atMs) => ({ atMs, rule })));
        expect(totalMs(parts.risk) + totalMs(parts.pre) + totalMs(parts.control)).toBe(900);
        const tally = riskWindows(parts, lost);
        expect(tally.riskOnsets + tally.preOnsets + tally.controlOnsets + tally.notPlaced).toBe(lost.length);
        expect(tally.notPlaced).toBe(lost.filter(({ onsetMs }) => onsetMs >= 400 && onsetMs < 500).length);
        expect(windowParts(monitored, [...at, ...at].map((atMs) => ({ atMs, rule })))).toEqual(parts);
        // Two windows end to end are one window of their length.
        const halves = at.flatMap((atMs) => [{ atMs, rule: { ...rule, toMs: 70 } }, { atMs, rule: { ...rule, fromMs: 70 } }]);
        expect(windowParts(monitored, halves)).toEqual(parts);
      }),
      RUNS,
    );
  });
});

describe('circular shift', () => {
  const circle = fc.record({ length: fc.integer({ min: 5, max: 40 }), from: fc.nat(39), long: fc.integer({ min: 0, max: 10 }), onsets: fc.array(fc.nat(39), { maxLength: 5 }) }).map(({ length, from, long, onsets }) => ({
    length,
    exposed: [[from % length, Math.min(length, (from % length) + long)] as const],
    onsets: onsets.map((onset) => onset % length),
  }));

  it('counts the turn of nothing among the turns: the tails overlap in it, and neither p is 0', () => {
    fc.assert(
      fc.property(fc.array(circle, { minLength: 1, maxLength: 4 }), (cases) => {
        const { observed, first, chances, pGreater, pLess, expected } = circularShift(cases);
        near(chances.reduce((sum, chance) => sum + chance, 0), 1);
        near(pGreater + pLess, 1 + chances[observed - first]!);
        const identity = cases.reduce((chance, one) => chance / one.length, 1);
        expect(chances[observed - first]!).toBeGreaterThanOrEqual(identity * (1 - 1e-9));
        near(expected, cases.reduce((sum, { length, exposed, onsets }) => sum + exposed.reduce((slots, [from, to]) => slots + to - from, 0) * (onsets.length / length), 0));
        const { chances: other } = circularShift([...cases].reverse());
        other.forEach((chance, i) => near(chance, chances[i]!));
      }),
      RUNS,
    );
  });

  it('finer slots change nothing but what lies between slots', () => {
    fc.assert(
      fc.property(circle, fc.integer({ min: 2, max: 500 }), (one, factor) => {
        const fine = { length: one.length * factor, exposed: one.exposed.map(([from, to]) => [from * factor, to * factor] as const), onsets: one.onsets.map((onset) => onset * factor) };
        const coarse = circularShift([one]);
        circularShift([fine]).chances.forEach((chance, i) => near(chance, coarse.chances[i]!));
      }),
      RUNS,
    );
  });
});
