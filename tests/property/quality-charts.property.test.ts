import fc from 'fast-check';
import { expect, test } from 'vitest';
import { chartPatterns } from '../../core/stats/chart-rules.ts';
import { funnelPoint, funnelRatioLimit, funnelShareLimit } from '../../core/stats/funnel.ts';
import { individualsChart } from '../../core/stats/individuals.ts';
import { pPrimeChart, sigmaZOf, uPrimeChart } from '../../core/stats/laney.ts';
import { casesBetweenChart, timeBetweenChart } from '../../core/stats/rare-events.ts';
import { runChart, shifts } from '../../core/stats/run-chart.ts';
import { runsLaw } from '../../core/stats/runs-law.ts';
import { pChart, ratioChart, ratioSigma, uChart } from '../../core/stats/shewhart.ts';
import { seededRandom } from '../simulator/random.ts';

const SIGMAS = { sigmas: 3 };
const points = fc.array(fc.record({ n: fc.integer({ min: 1, max: 400 }), share: fc.double({ min: 0, max: 1, noNaN: true }) }), { minLength: 2, maxLength: 40 });
const split = (drawn: readonly { n: number; share: number }[]) => ({ x: drawn.map((p) => Math.floor(p.n * p.share)), n: drawn.map((p) => p.n) });
const width = (chart: { ucl: readonly (number | null)[]; lcl: readonly (number | null)[] }): number => (chart.ucl[0] ?? NaN) - (chart.lcl[0] ?? NaN);

test('limits of shares and rates come nearer as the denominator grows', () => {
  fc.assert(fc.property(fc.constantFrom('share', 'rate'), fc.double({ min: 0.01, max: 0.99, noNaN: true }), fc.integer({ min: 1, max: 1000 }), fc.integer({ min: 1, max: 1000 }), (kind, centre, n, more) => {
    const at = (d: number): number => width(ratioChart(kind, [0], [d], { centre, sigmaZ: null }, 3));
    expect(at(n + more)).toBeLessThanOrEqual(at(n) + 1e-12);
    expect(ratioSigma(kind, centre, n + more) ?? NaN).toBeLessThan(ratioSigma(kind, centre, n) ?? NaN);
  }));
});

test('limits enclose the centre, and shares stay within 0 and 1', () => {
  fc.assert(fc.property(points, (drawn) => {
    const { x, n } = split(drawn);
    for (const chart of [pChart(x, n, SIGMAS), uChart(x, n, SIGMAS), pPrimeChart(x, n, SIGMAS), uPrimeChart(x, n, SIGMAS)]) {
      chart.ucl.forEach((high, i) => {
        expect(high).toBeGreaterThanOrEqual((chart.centre ?? NaN) - 1e-12);
        expect(chart.lcl[i]).toBeLessThanOrEqual((chart.centre ?? NaN) + 1e-12);
        expect(chart.lcl[i]).toBeGreaterThanOrEqual(0);
      });
    }
    expect(pPrimeChart(x, n, SIGMAS).ucl.every((v) => v !== null && v <= 1)).toBe(true);
  }));
});

test('p′ with sigmaZ = 1 is p, u′ is u; otherwise u′ is as much wider as sigmaZ says', () => {
  fc.assert(fc.property(points, (drawn) => {
    const { x, n } = split(drawn);
    const { centre } = pChart(x, n, SIGMAS);
    expect(ratioChart('share', x, n, { centre, sigmaZ: 1 }, 3)).toEqual({ ...pChart(x, n, SIGMAS), sigmaZ: 1 });
    const rate = uChart(x, n, SIGMAS);
    expect(ratioChart('rate', x, n, { centre: rate.centre, sigmaZ: 1 }, 3)).toEqual({ ...rate, sigmaZ: 1 });
    const sigmaZ = centre === null ? null : sigmaZOf('share', x, n, centre, SIGMAS);
    expect(pPrimeChart(x, n, SIGMAS).sigmaZ).toBe(sigmaZ);
    // Upper limits of rates are cut nowhere; without sigmaZ they stay those of chance.
    const wide = uPrimeChart(x, n, SIGMAS);
    const mean = rate.centre ?? NaN;
    wide.ucl.forEach((high, i) => expect(Math.abs((high ?? NaN) - mean - (wide.sigmaZ ?? 1) * ((rate.ucl[i] ?? NaN) - mean))).toBeLessThan(1e-9));
  }));
});

test('sigmaZ of counts that chance alone makes is near 1, and above it when months differ', () => {
  for (let seed = 1; seed <= 5; seed++) {
    const random = seededRandom(seed);
    const n = Array.from({ length: 200 }, () => random.int(100, 300));
    const drawn = (share: () => number): number => {
      const x = n.map((cases) => {
        const p = share();
        return Array.from({ length: cases }, () => random.chance(p)).filter(Boolean).length;
      });
      return sigmaZOf('share', x, n, pChart(x, n, SIGMAS).centre ?? NaN, SIGMAS) ?? NaN;
    };
    // The standard error of a mean of 199 moving ranges is about 0.06 of it.
    expect(Math.abs(drawn(() => 0.2) - 1)).toBeLessThan(0.2);
    expect(drawn(() => random.between(0.1, 0.3))).toBeGreaterThan(1.5);
  }
});

test('limits of a baseline do not move when points are added after it', () => {
  fc.assert(fc.property(points, points, (before, after) => {
    const options = { sigmas: 3, baselinePoints: before.length };
    const old = split(before);
    const all = split([...before, ...after]);
    const short = pPrimeChart(old.x, old.n, options);
    const long = pPrimeChart(all.x, all.n, options);
    expect([long.centre, long.sigmaZ, long.ucl.slice(0, before.length), long.lcl.slice(0, before.length)]).toEqual([short.centre, short.sigmaZ, short.ucl, short.lcl]);
    const one = individualsChart(old.x, options);
    const two = individualsChart(all.x, options);
    expect([two.ucl, two.lcl, two.mrUcl]).toEqual([one.ucl, one.lcl, one.mrUcl]);
  }));
});

test('single values follow a change of scale and of origin', () => {
  fc.assert(fc.property(fc.array(fc.integer({ min: -1000, max: 1000 }), { minLength: 2, maxLength: 40 }), fc.integer({ min: 1, max: 50 }), fc.integer({ min: -100, max: 100 }), (x, scale, shift) => {
    const plain = individualsChart(x, SIGMAS);
    const moved = individualsChart(x.map((v) => v * scale + shift), SIGMAS);
    expect(moved.ucl).toBeCloseTo((plain.ucl ?? NaN) * scale + shift, 6);
    expect(moved.lcl).toBeCloseTo((plain.lcl ?? NaN) * scale + shift, 6);
  }));
});

test('rare events: limits enclose the centre; equal times and equal counts signal nothing', () => {
  fc.assert(fc.property(fc.array(fc.integer({ min: 1, max: 500 }), { minLength: 2, maxLength: 40 }), (list) => {
    const t = timeBetweenChart(list, SIGMAS);
    expect(t.ucl).toBeGreaterThanOrEqual((t.centre ?? NaN) - 1e-9);
    expect(t.lcl).toBeLessThanOrEqual((t.centre ?? NaN) + 1e-9);
    const g = casesBetweenChart(list, SIGMAS);
    expect(g.ucl).toBeGreaterThan(g.mean ?? NaN);
    const same = list.map(() => list[0] ?? NaN);
    expect([timeBetweenChart(same, SIGMAS).beyond, casesBetweenChart(same, SIGMAS).beyond]).toEqual([[], []]);
  }));
});

test('the law of runs sums to 1 and is the same for the two kinds', () => {
  fc.assert(fc.property(fc.integer({ min: 0, max: 60 }), fc.integer({ min: 1, max: 60 }), (a, b) => {
    const law = runsLaw(a, b);
    expect(law.reduce((sum, p) => sum + p, 0)).toBeCloseTo(1, 10);
    const other = runsLaw(b, a);
    law.forEach((p, r) => expect(p).toBeCloseTo(other[r] ?? NaN, 12));
  }));
});

test('a run chart upside down has the same runs, and reversed in time too', () => {
  fc.assert(fc.property(fc.array(fc.option(fc.integer({ min: 0, max: 9 }), { nil: null }), { minLength: 1, maxLength: 40 }), (y) => {
    const seen = ({ useful, longestRun, crossings, signal }: ReturnType<typeof runChart>) => ({ useful, longestRun, crossings, signal });
    const plain = runChart(y, null);
    expect(seen(runChart(y.map((v) => (v === null ? null : -v)), null))).toEqual(seen(plain));
    expect(seen(runChart([...y].reverse(), null))).toEqual(seen(plain));
    expect(plain.longestRunAt.length).toBe(plain.longestRun);
    // The longest run is as long as the longest shift that is found.
    if (plain.centre !== null) expect([shifts(y, plain.centre, plain.longestRun).length > 0, shifts(y, plain.centre, plain.longestRun + 1)]).toEqual([plain.longestRun > 0 || y.some((v) => v !== null && v !== plain.centre), []]);
  }));
});

test('patterns of a chart upside down are the same, and a later point changes no earlier one', () => {
  const rules = [1, 2, 3, 4, 5, 6, 7, 8] as const;
  fc.assert(fc.property(fc.array(fc.double({ min: -4, max: 4, noNaN: true }), { maxLength: 40 }), fc.double({ min: -4, max: 4, noNaN: true }), (z, next) => {
    const found = chartPatterns(z, rules);
    expect(chartPatterns(z.map((v) => -v), rules)).toEqual(found);
    const longer = chartPatterns([...z, next], rules);
    for (const rule of rules) expect(longer[rule]?.filter((i) => i < z.length)).toEqual(found[rule]);
  }));
});

test('funnel limits lie in order around the target, and a unit is beyond exactly where its tail is', () => {
  fc.assert(fc.property(fc.integer({ min: 5, max: 300 }), fc.double({ min: 0.02, max: 0.98, noNaN: true }), fc.double({ min: 0, max: 1, noNaN: true }), (n, target, share) => {
    const limits = [0.001, 0.025, 0.975, 0.999].map((tail) => funnelShareLimit(n, target, tail));
    expect([...limits].sort((a, b) => a - b)).toEqual(limits);
    const ratio = [0.001, 0.025, 0.975, 0.999].map((tail) => funnelRatioLimit(n * target, tail));
    expect([...ratio].sort((a, b) => a - b)).toEqual(ratio);
    const x = Math.floor(n * share);
    const point = funnelPoint(x, n, target);
    expect((point.pUpper ?? NaN) + (point.pLower ?? NaN)).toBeGreaterThanOrEqual(1 - 1e-9);
    expect(point.beyond95).toBe(Math.min(point.pUpper ?? NaN, point.pLower ?? NaN) < 0.025);
    // Wider for a larger spread: nothing that is inside becomes outside.
    const wide = funnelPoint(x, n, target, 2);
    expect(wide.beyond95 && !point.beyond95).toBe(false);
    expect(wide.beyond998 && !point.beyond998).toBe(false);
  }));
});
