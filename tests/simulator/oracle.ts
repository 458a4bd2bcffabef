/*
 * What the rows of a simulated case can show, worked out from the truth and the row times alone, and how far an
 * analysis agrees with it. Written from analysis-spec sections 4, 5 and 7 as stated in docs/testing.md; it shares no
 * code with the product.
 */
import type { CaseAnalysis, Dropout, SiteAnalysis } from '../../core/model/analysis.ts';
import type { Span, TrueBolus, TrueCase, TrueSite } from './true-case.ts';

/** Look-back of each vasopressor, in seconds (handbook section 5, proposals of the trade). */
const LOOK_BACK_S: Readonly<Record<string, number>> = { norepinephrine: 300, phenylephrine: 600, epinephrine: 600, ephedrine: 900, metaraminol: 1200, vasopressin: 1200 };
const MIN_MID_MS = 30_000;
const BRIDGE_MS = 10_000;
const AFTER_LAST_GOOD_MS = 300_000;
/** A link from a time typed by hand is never certain when it hangs on less than this. */
const HAND_TIME_MS = 120_000;

/** A run of lost rows between two rows with information, and the true loss behind it. */
export interface Run {
  readonly lastGoodMs: number;
  readonly firstLostMs: number;
  /** null: no information came back. */
  readonly lastLostMs: number | null;
  readonly firstGoodMs: number | null;
  readonly trueMs: number;
  readonly midMs: number;
}

const near = (a: number, b: number): boolean => Math.abs(a - b) < 1;
const isIn = (spans: readonly Span[], t: number): boolean => spans.some((s) => t >= s.startMs && t < s.endMs);

/** Returns the runs that the rows show at one site, in time order. A stretch of information in which no row falls cannot be seen and does not part two losses. */
export function runsShown(truth: TrueCase, site: TrueSite): Run[] {
  const rows = truth.rowMs.filter((t) => t >= site.onMs && !isIn(truth.recordGaps, t));
  const endMs = truth.rowMs[truth.rowMs.length - 1] as number;
  const out: Run[] = [];
  let k = 0;
  while (k < rows.length) {
    if (!isIn(site.losses, rows[k] as number)) {
      k++;
      continue;
    }
    const first = k;
    while (k < rows.length && isIn(site.losses, rows[k] as number)) k++;
    if (first === 0) continue;
    const lastGoodMs = rows[first - 1] as number;
    const firstLostMs = rows[first] as number;
    const startMs = (site.losses.find((l) => l.startMs <= firstLostMs && l.endMs > firstLostMs) as Span).startMs;
    if (k === rows.length) {
      out.push({ lastGoodMs, firstLostMs, lastLostMs: null, firstGoodMs: null, trueMs: endMs - startMs, midMs: endMs - (lastGoodMs + firstLostMs) / 2 });
      continue;
    }
    const lastLostMs = rows[k - 1] as number;
    const firstGoodMs = rows[k] as number;
    const lossEndMs = (site.losses.find((l) => l.startMs <= lastLostMs && l.endMs > lastLostMs) as Span).endMs;
    out.push({ lastGoodMs, firstLostMs, lastLostMs, firstGoodMs, trueMs: lossEndMs - startMs, midMs: (lastLostMs - firstLostMs + firstGoodMs - lastGoodMs) / 2 });
  }
  return out;
}

/** Whether two runs must be one dropout, must be two, or may be either (the information between lasts about as long as the bridge). */
function parting(truth: TrueCase, a: Run, b: Run): 'one' | 'two' | 'either' {
  const good = truth.rowMs.filter((t) => t >= (a.firstGoodMs as number) && t <= b.lastGoodMs && !isIn(truth.recordGaps, t));
  if (good.length === 1) return 'one';
  const leastMs = b.lastGoodMs - (a.firstGoodMs as number);
  const mostMs = b.firstLostMs - (a.lastLostMs as number);
  return leastMs >= BRIDGE_MS ? 'two' : mostMs < BRIDGE_MS ? 'one' : 'either';
}

/** Returns what is wrong with the analysis of one case; an empty list when it is as the truth demands. */
export function complaints(truth: TrueCase, analysis: CaseAnalysis): string[] {
  const out: string[] = [];
  for (const site of truth.sites) {
    const found = analysis.sites.find((s) => s.site === site.site);
    if (found === undefined) {
      out.push(`${site.site}: no such site in the analysis`);
      continue;
    }
    out.push(...siteComplaints(truth, site, found).map((text) => `${site.site}: ${text}`));
    for (const dropout of found.dropouts) out.push(...linkComplaints(truth, dropout, analysis).map((text) => `${site.site}: ${text}`));
  }
  for (const extra of analysis.sites) {
    if (!truth.sites.some((s) => s.site === extra.site) && extra.dropouts.length > 0) out.push(`${extra.siteKey}: dropouts at a site that was never worn`);
  }
  out.push(...recordGapComplaints(truth, analysis), ...blindComplaints(truth, analysis));
  return out;
}

function siteComplaints(truth: TrueCase, site: TrueSite, found: SiteAnalysis): string[] {
  const out: string[] = [];
  const runs = runsShown(truth, site);
  const endMs = truth.rowMs[truth.rowMs.length - 1] as number;
  const covered = new Set<Run>();
  for (const d of found.dropouts) {
    const at = `dropout ${d.number} from ${d.firstLostMs / 1000} s`;
    const inside = runs.filter((r) => r.firstLostMs >= d.firstLostMs - 1 && r.lastGoodMs >= d.lastGoodMs - 1 && (d.firstGoodMs === null || (r.firstGoodMs !== null && r.firstGoodMs <= d.firstGoodMs + 1)));
    const [first] = inside;
    const last = inside[inside.length - 1];
    if (first === undefined || last === undefined) {
      out.push(`${at} was invented`);
      continue;
    }
    for (const run of inside) covered.add(run);
    if (!near(first.firstLostMs, d.firstLostMs) || !near(first.lastGoodMs, d.lastGoodMs)) out.push(`${at}: onset should lie between ${first.lastGoodMs / 1000} and ${first.firstLostMs / 1000} s, found ${d.lastGoodMs / 1000} and ${d.firstLostMs / 1000} s`);
    if (last.firstGoodMs === null) {
      if (d.firstGoodMs !== null) out.push(`${at} never ended, found an end at ${d.firstGoodMs / 1000} s`);
      if (d.restoredBy === 'same site') out.push(`${at} never ended, found it restored at the same site`);
    } else {
      if (d.firstGoodMs === null || !near(d.firstGoodMs, last.firstGoodMs)) out.push(`${at}: first good should be ${last.firstGoodMs / 1000} s, found ${d.firstGoodMs === null ? 'none' : d.firstGoodMs / 1000}`);
      if (d.lastLostMs === null || !near(d.lastLostMs, last.lastLostMs as number)) out.push(`${at}: last lost should be ${(last.lastLostMs as number) / 1000} s, found ${d.lastLostMs === null ? 'none' : d.lastLostMs / 1000}`);
    }
    const isCensoredElsewhere = d.restoredBy === 'other site';
    const trueMs = inside.reduce((sum, r) => sum + r.trueMs, 0);
    if (!isCensoredElsewhere && (d.lostMs.low > trueMs + 1 || d.lostMs.high < trueMs - 1)) out.push(`${at}: true length ${trueMs / 1000} s outside [${d.lostMs.low / 1000}, ${d.lostMs.high / 1000}] s`);
    if (d.lostMs.low > d.lostMs.mid || d.lostMs.mid > d.lostMs.high) out.push(`${at}: low, mid, high not in order`);
    if (d.lostMs.mid < MIN_MID_MS - 1) out.push(`${at}: kept though its mid is ${d.lostMs.mid / 1000} s`);
    for (let i = 1; i < inside.length; i++) if (parting(truth, inside[i - 1] as Run, inside[i] as Run) === 'two') out.push(`${at} joins losses that information parts at ${((inside[i] as Run).lastGoodMs) / 1000} s`);
  }
  runs.forEach((run, i) => {
    if (covered.has(run)) return;
    if (run.lastLostMs === null && endMs - run.lastGoodMs < AFTER_LAST_GOOD_MS + 2 * (run.firstLostMs - run.lastGoodMs)) return;
    if (run.lastLostMs === null && !truth.hasHeartRate && truth.sites.length === 1) return;
    if (run.lastLostMs === null && soonElsewhere(truth, site, run)) return;
    if (run.midMs >= MIN_MID_MS) out.push(`loss from ${run.firstLostMs / 1000} to ${run.lastLostMs === null ? 'the end' : run.lastLostMs / 1000} s (true length ${run.trueMs / 1000} s) was not found`);
    const previous = runs[i - 1];
    if (previous !== undefined && covered.has(previous) && parting(truth, previous, run) === 'one') out.push(`loss from ${run.firstLostMs / 1000} s should have been bridged with the one before`);
  });
  const missing = found.totals;
  const sum = found.dropouts.reduce((total, d) => total + d.lostMs.mid, 0);
  if (missing.count !== found.dropouts.length || !near(missing.lostMs.mid, sum)) out.push('totals differ from the sum of the dropouts');
  return out;
}

/** Whether another site that was silent at the onset informed so soon afterwards that the count of this loss ended below the minimum. */
function soonElsewhere(truth: TrueCase, site: TrueSite, run: Run): boolean {
  const informs = (other: TrueSite, t: number): boolean => t >= other.onMs && !isIn(other.losses, t);
  return truth.sites.some((other) => other !== site && !informs(other, run.lastGoodMs) && truth.rowMs.some((t) => t > run.lastGoodMs && t - run.lastGoodMs < MIN_MID_MS + (run.firstLostMs - run.lastGoodMs) && informs(other, t)));
}

/** Every vasopressor bolus whose look-back reaches the onset is linked, as certain or possible, and no other is. */
function linkComplaints(truth: TrueCase, dropout: Dropout, analysis: CaseAnalysis): string[] {
  const out: string[] = [];
  const expected = new Map<string, string>();
  const doubtful = new Set<string>();
  const key = (inn: string, atMs: number): string => `${inn} at ${atMs / 1000} s`;
  for (const bolus of truth.boluses) {
    const verdict = certainty(bolus, dropout);
    if (verdict === 'on the edge') doubtful.add(key(bolus.inn, bolus.atMs));
    else if (verdict !== null) expected.set(key(bolus.inn, bolus.atMs), verdict);
  }
  const found = new Map<string, string>();
  const byHand = new Set<string>();
  for (const link of dropout.links) {
    const exposure = analysis.exposures.find((e) => e.exposureId === link.exposureId);
    if (exposure === undefined) {
      out.push(`link to ${link.exposureId}, which is no exposure`);
      continue;
    }
    const leadMs = (dropout.lastGoodMs + dropout.firstLostMs) / 2 - exposure.atMs;
    if (!near(leadMs, link.leadMs)) out.push(`lead of ${exposure.label} should be ${leadMs / 1000} s, found ${link.leadMs / 1000} s`);
    found.set(key(exposure.label, exposure.atMs), link.certainty);
    if (exposure.manual) byHand.add(key(exposure.label, exposure.atMs));
  }
  for (const bolus of truth.boluses) {
    const name = key(bolus.inn, bolus.atMs);
    const hangsOnMs = Math.min(dropout.lastGoodMs - bolus.atMs, bolus.atMs + (LOOK_BACK_S[bolus.inn] as number) * 1000 - dropout.firstLostMs);
    if (byHand.has(name) && expected.get(name) === 'certain' && hangsOnMs < HAND_TIME_MS) expected.set(name, 'possible');
  }
  for (const [name, verdict] of expected) if (found.get(name) !== verdict && !doubtful.has(name)) out.push(`dropout from ${dropout.firstLostMs / 1000} s: link to ${name} should be ${verdict}, found ${found.get(name) ?? 'none'}`);
  for (const name of found.keys()) if (!expected.has(name) && !doubtful.has(name)) out.push(`dropout from ${dropout.firstLostMs / 1000} s: link to ${name} is out of its look-back`);
  return out;
}

function certainty(bolus: TrueBolus, dropout: Dropout): 'certain' | 'possible' | 'on the edge' | null {
  const fromMs = bolus.atMs;
  const toMs = bolus.atMs + (LOOK_BACK_S[bolus.inn] as number) * 1000;
  const { lastGoodMs, firstLostMs } = dropout;
  if ([fromMs, toMs].some((edge) => near(edge, lastGoodMs) || near(edge, firstLostMs))) return 'on the edge';
  if (fromMs < lastGoodMs && firstLostMs < toMs) return 'certain';
  return fromMs < firstLostMs && lastGoodMs < toMs ? 'possible' : null;
}

function recordGapComplaints(truth: TrueCase, analysis: CaseAnalysis): string[] {
  const out: string[] = [];
  for (const gap of truth.recordGaps) {
    const found = analysis.recordGaps.filter((g) => g.lastRowMs < gap.endMs && g.firstRowMs > gap.startMs);
    if (found.length !== 1) out.push(`record gap from ${gap.startMs / 1000} s found ${found.length} times`);
    for (const g of found) {
      const trueMs = gap.endMs - gap.startMs;
      if (g.gapMs.low > trueMs + 1 || g.gapMs.high < trueMs - 1) out.push(`record gap of ${trueMs / 1000} s outside [${g.gapMs.low / 1000}, ${g.gapMs.high / 1000}] s`);
    }
  }
  if (analysis.recordGaps.length > truth.recordGaps.length) out.push(`${analysis.recordGaps.length} record gaps found, ${truth.recordGaps.length} true`);
  return out;
}

function blindComplaints(truth: TrueCase, analysis: CaseAnalysis): string[] {
  const out: string[] = [];
  if (truth.sites.length < 2) return out;
  const shown = truth.sites.map((site) => runsShown(truth, site).filter((r) => r.firstGoodMs !== null));
  const [first = [], second = []] = shown;
  const both = first.flatMap((a) => second.map((b) => ({ a, b })));
  for (const { a, b } of both) {
    const certainMs = Math.min(a.lastLostMs as number, b.lastLostMs as number) - Math.max(a.firstLostMs, b.firstLostMs);
    if (certainMs < MIN_MID_MS || a.midMs < MIN_MID_MS || b.midMs < MIN_MID_MS) continue;
    const found = analysis.blind.find((x) => x.lastGoodMs < Math.min(a.firstGoodMs as number, b.firstGoodMs as number) && (x.firstGoodMs === null || x.firstGoodMs > Math.max(a.lastGoodMs, b.lastGoodMs)));
    if (found === undefined) out.push(`blind for at least ${certainMs / 1000} s from ${Math.max(a.firstLostMs, b.firstLostMs) / 1000} s, not found`);
  }
  for (const blind of analysis.blind) {
    const toMs = blind.firstGoodMs ?? (truth.rowMs[truth.rowMs.length - 1] as number);
    const trueMs = blindTruthMs(truth, blind.lastGoodMs, toMs);
    if (blind.lostMs.high < trueMs - 1 || blind.lostMs.low > trueMs + 1) out.push(`blind interval from ${blind.firstLostMs / 1000} s: true length ${trueMs / 1000} s outside [${blind.lostMs.low / 1000}, ${blind.lostMs.high / 1000}] s`);
  }
  return out;
}

/** Returns the losses of a site, those that no row parts taken as one. */
function seenLosses(truth: TrueCase, site: TrueSite): Span[] {
  const out: Span[] = [];
  for (const loss of site.losses) {
    const last = out[out.length - 1];
    if (last !== undefined && !truth.rowMs.some((t) => t >= last.endMs && t < loss.startMs)) out[out.length - 1] = { startMs: last.startMs, endMs: loss.endMs };
    else out.push(loss);
  }
  return out;
}

/** Returns how long no site informed between two instants. */
function blindTruthMs(truth: TrueCase, fromMs: number, toMs: number): number {
  const sites = truth.sites.map((s) => ({ onMs: s.onMs, losses: seenLosses(truth, s) }));
  const edges = [fromMs, toMs, ...sites.flatMap((s) => [s.onMs, ...s.losses.flatMap((l) => [l.startMs, l.endMs])])].filter((t) => t >= fromMs && t <= toMs).sort((x, y) => x - y);
  let total = 0;
  for (let i = 1; i < edges.length; i++) {
    const mid = ((edges[i - 1] as number) + (edges[i] as number)) / 2;
    if (sites.every((s) => mid < s.onMs || isIn(s.losses, mid))) total += (edges[i] as number) - (edges[i - 1] as number);
  }
  return total;
}
