import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { analyzeCase } from '../../core/pipeline/analyze-case.ts';
import type { CaseAnalysis, Dropout } from '../../core/model/analysis.ts';
import type { CaseRecord } from '../../core/model/case.ts';
import type { Channel } from '../../core/model/channel.ts';
import { caseOf } from '../builders/case-record.ts';
import { channelAt } from '../builders/channel.ts';
import type { Cell } from '../builders/channel.ts';
import { drugOf } from '../builders/drug.ts';
import { eventOf } from '../builders/event.ts';
import { parametersWith } from '../builders/parameters.ts';
import { recorded, running, trulyLostS } from '../builders/true-losses.ts';
import type { RecordingSpec, TrueLoss } from '../builders/true-losses.ts';

const VERSION = '0.0.0';
/** To whole milliseconds, as an export could state it. */
const toMs = (seconds: number) => Math.ceil(seconds * 1000) / 1000;

/** A recording whose losses and the information between them each last at least one interval, so that none is unseen. */
const recording = fc
  .record({
    intervalS: fc.constantFrom(1, 2, 5, 10, 15, 30, 60),
    phase: fc.double({ min: 0, max: 0.999, noNaN: true }),
    lostAs: fc.constantFrom(null, '---', 'no row' as const),
    lengths: fc.array(fc.tuple(fc.double({ min: 1, max: 12, noNaN: true }), fc.double({ min: 1, max: 9, noNaN: true })), { maxLength: 12 }),
  })
  .map(({ intervalS, phase, lostAs, lengths }) => {
    const losses: TrueLoss[] = [];
    let atS = 12 * intervalS;
    for (const [good, lost] of lengths) {
      const fromS = toMs(atS + good * intervalS);
      atS = toMs(fromS + lost * intervalS);
      losses.push({ fromS, toS: atS });
    }
    const rows = Math.ceil(atS / intervalS) + 12;
    const spec: RecordingSpec = { intervalS, phaseS: Math.round(phase * intervalS * 1000) / 1000, rows, lostAs };
    return { spec, losses };
  });

describe('dropouts against known true losses', () => {
  it('low ≤ true ≤ high for every dropout, each dropout is a true loss, and every loss long enough is found', () => {
    fc.assert(
      fc.property(recording, fc.constantFrom(0, 10, 30), ({ spec, losses }, minDurationS) => {
        const record = caseOf({ channels: [recorded(spec, losses), running(spec)] });
        const { sites } = analyzeCase(record, parametersWith({ minDurationS }), VERSION);
        const dropouts = sites[0]!.dropouts;
        for (const d of dropouts) {
          const trueMs = trulyLostS(losses, d.lastGoodMs / 1000, d.firstGoodMs! / 1000) * 1000;
          expect(trueMs).toBeGreaterThan(0);
          expect(d.lostMs.low).toBeLessThanOrEqual(trueMs + 1e-3);
          expect(d.lostMs.high).toBeGreaterThanOrEqual(trueMs - 1e-3);
        }
        for (const loss of losses) {
          // mid is at least the true length less one interval
          if (loss.toS - loss.fromS < minDurationS + spec.intervalS) continue;
          expect(dropouts.some((d) => d.firstLostMs / 1000 < loss.toS && d.lastLostMs! / 1000 >= loss.fromS)).toBe(true);
        }
      }),
      { numRuns: 400 },
    );
  });

  it('a device that holds its last value: the true loss stays within low and the widened high', () => {
    fc.assert(
      fc.property(recording, fc.constantFrom(10, 30), ({ spec, losses }, deviceHoldS) => {
        const known = losses.filter((l) => l.toS - l.fromS >= deviceHoldS + spec.intervalS);
        // What the display showed: the first deviceHoldS of each true loss still bear the old value.
        const shown = known.map((l) => ({ fromS: l.fromS + deviceHoldS, toS: l.toS }));
        const record = caseOf({ channels: [recorded(spec, shown), running(spec)] });
        const { sites } = analyzeCase(record, parametersWith({ minDurationS: 0, deviceHoldS }), VERSION);
        const dropouts = sites[0]!.dropouts;
        expect(dropouts.length > 0).toBe(known.length > 0);
        for (const d of dropouts) {
          const inside = known.filter((_, i) => shown[i]!.toS * 1000 > d.lastGoodMs && shown[i]!.fromS * 1000 < d.firstGoodMs!);
          const trueMs = inside.reduce((sum, l) => sum + l.toS - l.fromS, 0) * 1000;
          expect(d.lostMs.low).toBeLessThanOrEqual(trueMs + 1e-3);
          expect(d.lostMs.high).toBeGreaterThanOrEqual(trueMs - 1e-3);
        }
      }),
      { numRuns: 100 },
    );
  });

  it('a channel on every k-th row of a table is judged by its own interval', () => {
    fc.assert(
      fc.property(recording, fc.integer({ min: 2, max: 6 }), ({ spec, losses }, k) => {
        const own = recorded({ ...spec, lostAs: '---' }, losses);
        const cells: [number, Cell][] = [];
        own.tMs.forEach((ms, i) => {
          const v = own.value[i]!;
          cells.push([ms / 1000, Number.isNaN(v) ? null : v]);
          for (let j = 1; j < k; j++) cells.push([ms / 1000 + (j * spec.intervalS) / k, null]);
        });
        const wide = channelAt({ quantity: 'spo2', site: 'finger' }, cells);
        const every = channelAt({ quantity: 'heart-rate' }, cells.map(([t], i) => [t, 60 + (i % 7)] as const));
        const { sites } = analyzeCase(caseOf({ channels: [wide, every] }), parametersWith({ minDurationS: 0 }), VERSION);
        expect(sites[0]!.intervalMs! / 1000).toBeCloseTo(spec.intervalS, 2);
        for (const d of sites[0]!.dropouts) {
          const trueMs = trulyLostS(losses, d.lastGoodMs / 1000, d.firstGoodMs! / 1000) * 1000;
          expect(trueMs).toBeGreaterThan(0);
          expect(d.lostMs.low).toBeLessThanOrEqual(trueMs + 1e-3);
          expect(d.lostMs.high).toBeGreaterThanOrEqual(trueMs - 1e-3);
        }
      }),
      { numRuns: 150 },
    );
  });

  it('blind time lies between the bounds of the times that both sensors truly lost', () => {
    fc.assert(
      fc.property(recording, recording, (a, b) => {
        const rows = Math.max(a.spec.rows * a.spec.intervalS, b.spec.rows * b.spec.intervalS);
        const specA = { ...a.spec, lostAs: '---' as const, rows: Math.ceil(rows / a.spec.intervalS) };
        const specB = { ...b.spec, lostAs: '---' as const, rows: Math.ceil(rows / b.spec.intervalS), site: 'ear lobe' as const };
        const both: TrueLoss[] = a.losses.flatMap((x) =>
          b.losses.flatMap((y) => {
            const overlap = { fromS: Math.max(x.fromS, y.fromS), toS: Math.min(x.toS, y.toS) };
            return overlap.toS > overlap.fromS ? [overlap] : [];
          }),
        );
        const record = caseOf({ channels: [recorded(specA, a.losses), recorded(specB, b.losses), running(specA)] });
        const { blind, sites, bounds } = analyzeCase(record, parametersWith({ minDurationS: 0, bridgeS: 0 }), VERSION);
        const starts = sites.map((s) => s.monitored!.startMs);
        const ends = sites.map((s) => s.monitored!.endMs);
        for (const x of blind) {
          if (x.lastGoodMs < Math.max(...starts) || x.firstGoodMs === null || x.firstGoodMs > Math.min(...ends)) continue;
          const trueMs = trulyLostS(both, x.lastGoodMs / 1000, x.firstGoodMs / 1000) * 1000;
          expect(x.lostMs.low).toBeLessThanOrEqual(trueMs + 1e-3);
          expect(x.lostMs.high).toBeGreaterThanOrEqual(trueMs - 1e-3);
        }
        expect(bounds.endMs).toBeGreaterThan(bounds.startMs);
      }),
      { numRuns: 150 },
    );
  });

  it('with one sensor the blind intervals are its dropouts', () => {
    fc.assert(
      fc.property(recording, ({ spec, losses }) => {
        const { sites, blind } = analyzeCase(caseOf({ channels: [recorded(spec, losses), running(spec)] }), parametersWith({}), VERSION);
        const instants = (x: Omit<Dropout, never> | (typeof blind)[number]) => [x.lastGoodMs, x.firstLostMs, x.lastLostMs, x.firstGoodMs, x.lostMs.mid];
        expect(blind.map(instants)).toEqual(sites[0]!.dropouts.map((d) => instants(d)));
      }),
      { numRuns: 100 },
    );
  });

  it('with one sensor the second result of blind time is that of its dropouts', () => {
    fc.assert(
      fc.property(recording, fc.array(fc.tuple(fc.nat(200), fc.integer({ min: 1, max: 40 })), { maxLength: 5 }), ({ spec, losses }, weakRuns) => {
        const spo2 = recorded(spec, losses);
        const isWeak = (i: number) => weakRuns.some(([from, count]) => i >= from && i < from + count);
        const index = channelAt({ quantity: 'perfusion-index', site: 'finger' }, Array.from(spo2.tMs, (ms, i) => [ms / 1000, isWeak(i) ? 0.1 : 2] as const));
        const { sites, blindDoubtfulLost, blindTotalsDoubtfulLost } = analyzeCase(caseOf({ channels: [spo2, index, running(spec)] }), parametersWith({}), VERSION);
        const instants = (x: Omit<Dropout, never> | (typeof blindDoubtfulLost)[number]) => [x.lastGoodMs, x.firstLostMs, x.lastLostMs, x.firstGoodMs, x.lostMs.mid];
        expect(blindDoubtfulLost.map(instants)).toEqual(sites[0]!.dropoutsDoubtfulLost.map((d) => instants(d)));
        expect(blindTotalsDoubtfulLost).toEqual(sites[0]!.totalsDoubtfulLost);
      }),
      { numRuns: 100 },
    );
  });
});

/** Channels of any kind and state: numbers, fillers, empty cells, missing rows, flags. */
const anyCell: fc.Arbitrary<Cell> = fc.oneof(
  { weight: 6, arbitrary: fc.integer({ min: 85, max: 100 }) },
  { weight: 1, arbitrary: fc.constantFrom<Cell>(null, '---', 'no row', { flagged: 96 }, 0, 127, -1) },
);
const runOfCells = fc.tuple(anyCell, fc.integer({ min: 1, max: 15 })).map(([cell, n]) => Array.from({ length: n }, () => cell));
const cells = fc.array(runOfCells, { minLength: 1, maxLength: 25 }).map((runs) => runs.flat());
const quantities = ['spo2', 'perfusion-index', 'pulse-rate', 'heart-rate', 'etco2', 'nibp-mean'] as const;
const anyChannel = (quantity: (typeof quantities)[number], sensor: string) =>
  fc.record({ cells, intervalS: fc.constantFrom(1, 5, 10, 60), startS: fc.integer({ min: 0, max: 90 }), layout: fc.constantFrom('wide' as const, 'long' as const) }).map(
    ({ cells: list, intervalS, startS, layout }) => channelAt({ quantity, site: 'finger', sensor, layout }, list.map((cell, i) => [startS + i * intervalS, cell] as const)),
  );
const anyRecord: fc.Arbitrary<CaseRecord> = fc
  .tuple(
    fc.tuple(...quantities.map((q) => anyChannel(q, ''))),
    fc.tuple(...quantities.slice(0, 3).map((q) => anyChannel(q, '2'))),
    fc.array(fc.integer({ min: 0, max: 900 }), { maxLength: 5 }),
    fc.array(fc.tuple(fc.constantFrom('position', 'bypass', 'sensor off', 'sensor moved', 'warming', 'anaesthesia start', 'anaesthesia end' as const), fc.integer({ min: 0, max: 900 })), { maxLength: 4 }),
  )
  .map(([first, second, boluses, events]) =>
    caseOf({
      channels: [...first, ...second],
      drugs: boluses.map((atS, i) => drugOf({ inn: 'phenylephrine', atS, manual: i % 2 === 0, drugId: `d${i}` })),
      events: events.map(([kind, atS], i) => eventOf({ kind: kind as 'position', atS, term: 'prone', phase: i % 2 === 0 ? 'start' : 'end', eventId: `e${i}` })),
    }),
  );

function numbersOf(value: unknown): number[] {
  if (typeof value === 'number') return [value];
  if (Array.isArray(value)) return value.flatMap(numbersOf);
  if (typeof value === 'object' && value !== null) return Object.values(value).flatMap(numbersOf);
  return [];
}

describe('any record', () => {
  it('gives finite numbers, ordered bounds, and disjoint dropouts in time order inside the record', () => {
    fc.assert(
      fc.property(anyRecord, (record) => {
        const a = analyzeCase(record, parametersWith({ minDurationS: 0 }), VERSION);
        expect(numbersOf({ ...a, parameters: null }).filter((x) => !Number.isFinite(x))).toEqual([]);
        for (const site of a.sites) {
          for (const list of [site.dropouts, site.dropoutsDoubtfulLost]) {
            let cursor = a.bounds.startMs;
            list.forEach((d, i) => {
              expect(d.number).toBe(i + 1);
              expect(d.lastGoodMs).toBeGreaterThanOrEqual(cursor);
              expect(d.firstLostMs).toBeGreaterThan(d.lastGoodMs);
              const last = d.lastLostMs ?? d.censoredAtMs!;
              expect(last).toBeGreaterThanOrEqual(d.firstLostMs);
              cursor = d.firstGoodMs ?? d.censoredAtMs!;
              expect(cursor).toBeGreaterThanOrEqual(last);
              expect(cursor).toBeLessThanOrEqual(a.bounds.endMs);
            });
          }
          expect(site.totals.shareMid ?? 0).toBeLessThanOrEqual(1 + 1e-9);
        }
        for (const x of [...a.sites.flatMap((s) => [...s.dropouts, ...s.dropoutsDoubtfulLost]), ...a.blind]) {
          expect(x.lostMs.low).toBeGreaterThanOrEqual(0);
          expect(x.lostMs.low).toBeLessThanOrEqual(x.lostMs.mid);
          expect(x.lostMs.mid).toBeLessThanOrEqual(x.lostMs.high);
        }
      }),
      { numRuns: 300 },
    );
  });

  it('shifted in time by whole seconds gives the same results, shifted', () => {
    fc.assert(
      fc.property(anyRecord, fc.integer({ min: -5000, max: 5000 }), (record, byS) => {
        const by = byS * 1000;
        const shifted: CaseRecord = {
          ...record,
          channels: record.channels.map((c): Channel => ({ ...c, tMs: c.tMs.map((t) => t + by) })),
          events: record.events.map((e) => ({ ...e, atMs: e.atMs + by })),
          drugs: record.drugs.map((d) => ({ ...d, atMs: d.atMs + by })),
        };
        const summary = (a: CaseAnalysis, off: number) =>
          [...a.sites.flatMap((s) => [...s.dropouts]), ...a.blind].map((d) => [d.lastGoodMs - off, d.firstLostMs - off, d.lostMs, 'links' in d ? d.links : null]);
        const plain = analyzeCase(record, parametersWith({ minDurationS: 0 }), VERSION);
        const moved = analyzeCase(shifted, parametersWith({ minDurationS: 0 }), VERSION);
        expect(summary(moved, by)).toEqual(summary(plain, 0));
        expect(moved.sites.map((s) => [s.monitoredMs, s.totals, s.below])).toEqual(plain.sites.map((s) => [s.monitoredMs, s.totals, s.below]));
        expect(moved.recordGaps.map((g) => g.gapMs)).toEqual(plain.recordGaps.map((g) => g.gapMs));
      }),
      { numRuns: 150 },
    );
  });

  it('with an empty channel more gives the same results', () => {
    fc.assert(
      fc.property(anyRecord, fc.constantFrom('other', 'heart-rate', 'temp-core', 'art-mean' as const), (record, quantity) => {
        const like = record.channels[0]!;
        const empty = channelAt({ quantity, channelId: 'empty' }, Array.from(like.tMs, (t) => [t / 1000, null] as const));
        const plain = analyzeCase(record, parametersWith({}), VERSION);
        expect(analyzeCase({ ...record, channels: [...record.channels, empty] }, parametersWith({}), VERSION)).toEqual(plain);
      }),
      { numRuns: 100 },
    );
  });

  it('loses no less when doubtful samples count as lost, and no dropout when the minimum duration falls', () => {
    fc.assert(
      fc.property(anyRecord, (record) => {
        const all = analyzeCase(record, parametersWith({ minDurationS: 0 }), VERSION);
        const long = analyzeCase(record, parametersWith({ minDurationS: 60 }), VERSION);
        all.sites.forEach((site, i) => {
          const ids = new Set(site.dropouts.map((d) => d.dropoutId));
          expect(long.sites[i]!.dropouts.every((d) => ids.has(d.dropoutId))).toBe(true);
        });
      }),
      { numRuns: 100 },
    );
  });
});
