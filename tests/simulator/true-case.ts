import type { Site } from '../../core/model/site.ts';
import type { Random } from './random.ts';

/** A stretch of continuous time, [start, end), in ms from the first row. */
export interface Span {
  readonly startMs: number;
  readonly endMs: number;
}

export interface TrueSite {
  readonly site: Site;
  /** Information from here on … */
  readonly onMs: number;
  /** … except within these, which are in time order and do not touch. The last may reach beyond the record. */
  readonly losses: readonly Span[];
}

export interface TrueBolus {
  readonly atMs: number;
  readonly inn: string;
  readonly amount: number;
  readonly unit: 'mg' | 'mcg' | 'units';
}

/** One simulated case: what happened, before anybody wrote it down. */
export interface TrueCase {
  readonly caseId: string;
  /** Instants at which the recorder looked, record gaps included. */
  readonly rowMs: readonly number[];
  readonly sites: readonly TrueSite[];
  /** The recorder itself stood still. */
  readonly recordGaps: readonly Span[];
  readonly boluses: readonly TrueBolus[];
  readonly hasHeartRate: boolean;
  readonly hasPerfusion: boolean;
}

export const INTERVALS_S = [1, 2, 5, 10, 15, 30, 60] as const;
/** Shorter true losses would fall between the rows of a fast record, where nobody can count them. */
const SHORTEST_LOSS_MS = 5_500;
/** Fewer equal steps than this beside a change of the interval could as well be every second value lost. */
const CLEAR_STEPS = 10;
const DOSES: readonly Omit<TrueBolus, 'atMs'>[] = [
  { inn: 'phenylephrine', amount: 100, unit: 'mcg' },
  { inn: 'norepinephrine', amount: 8, unit: 'mcg' },
  { inn: 'ephedrine', amount: 6, unit: 'mg' },
  { inn: 'epinephrine', amount: 10, unit: 'mcg' },
  { inn: 'metaraminol', amount: 0.5, unit: 'mg' },
  { inn: 'vasopressin', amount: 1, unit: 'units' },
];

/** Returns a random case. `allowed` says what the way of writing it down can carry. */
export function makeTrueCase(random: Random, caseId: string, allowed: { readonly sites: readonly (readonly Site[])[]; readonly intervalChange: boolean; readonly rowsMayBeAbsent: boolean }): TrueCase {
  const { rowMs, changeMs } = makeRows(random, allowed.intervalChange);
  const endMs = rowMs[rowMs.length - 1] as number;
  const intervalMs = Math.max(...rowMs.slice(1).map((t, i) => t - (rowMs[i] as number)));
  const hasHeartRate = random.chance(0.85);

  const kept: Span[] = changeMs === null ? [] : [{ startMs: changeMs - CLEAR_STEPS * intervalMs, endMs: changeMs + CLEAR_STEPS * intervalMs }];
  const recordGaps: Span[] = [];
  if (hasHeartRate && changeMs === null && random.chance(0.35)) {
    const lengthMs = random.between(6, 40) * intervalMs;
    const startMs = random.between(0.3, 0.6) * endMs;
    recordGaps.push({ startMs, endMs: startMs + lengthMs });
    kept.push({ startMs: startMs - 12 * intervalMs - 30_000, endMs: startMs + lengthMs + 12 * intervalMs + 30_000 });
  }

  const sites = random.pick(allowed.sites).map((site): TrueSite => {
    // Without another channel and without rows for lost values, the record would only begin with the sensor.
    const onMs = random.chance(0.6) || (allowed.rowsMayBeAbsent && !hasHeartRate) ? 0 : random.between(0, 8) * intervalMs;
    return { site, onMs, losses: makeLosses(random, { firstMs: onMs + 4 * intervalMs, endMs, intervalMs, keepClear: kept, mayStayLost: hasHeartRate }) };
  });
  const boluses = Array.from({ length: random.int(0, 6) }, (): TrueBolus => ({ ...random.pick(DOSES), atMs: random.int(-300, Math.floor(endMs / 1000)) * 1000 })).sort((a, b) => a.atMs - b.atMs);
  return { caseId, rowMs, sites, recordGaps, boluses, hasHeartRate, hasPerfusion: random.chance(0.8) };
}

function makeRows(random: Random, mayChange: boolean): { rowMs: number[]; changeMs: number | null } {
  const stepS = random.pick(INTERVALS_S);
  const count = Math.min(random.int(250, 900), Math.ceil(20_000 / stepS));
  const rowMs = Array.from({ length: count }, (_, k) => k * stepS * 1000);
  if (!mayChange || !random.chance(0.2)) return { rowMs, changeMs: null };
  const nextS = random.pick(INTERVALS_S.filter((s) => s !== stepS));
  const changeMs = rowMs[count - 1] as number;
  for (let k = 1; k <= count / 2; k++) rowMs.push(changeMs + k * nextS * 1000);
  return { rowMs, changeMs };
}

function makeLosses(
  random: Random,
  where: { readonly firstMs: number; readonly endMs: number; readonly intervalMs: number; readonly keepClear: readonly Span[]; readonly mayStayLost: boolean },
): Span[] {
  const out: Span[] = [];
  const isClear = (span: Span): boolean => where.keepClear.every((k) => span.endMs <= k.startMs || span.startMs >= k.endMs);
  let atMs = where.firstMs;
  const wanted = random.int(0, 7);
  for (let i = 0; i < wanted; i++) {
    // Now and then the next loss follows at once, so that bridging has something to do.
    atMs += random.chance(0.3) ? random.between(2_000, 3 * where.intervalMs + 12_000) : random.between(1, 12) * random.between(20_000, 60_000 + where.intervalMs * 4);
    const lengthMs = Math.max(SHORTEST_LOSS_MS, 5_500 * Math.exp(random.next() * Math.log(160)));
    const span = { startMs: Math.round(atMs) + 0.5, endMs: Math.round(atMs + lengthMs) + 0.5 };
    if (span.endMs > where.endMs - 4 * where.intervalMs) break;
    if (isClear(span)) out.push(span);
    atMs = span.endMs;
  }
  const last = out[out.length - 1];
  const fromMs = Math.max(last === undefined ? where.firstMs : last.endMs + 8 * where.intervalMs + 20_000, where.endMs - random.between(100_000, 1_500_000));
  const forGood = { startMs: Math.round(fromMs) + 0.5, endMs: Number.POSITIVE_INFINITY };
  if (where.mayStayLost && random.chance(0.25) && fromMs < where.endMs - 2 * where.intervalMs && isClear(forGood)) out.push(forGood);
  return out;
}
