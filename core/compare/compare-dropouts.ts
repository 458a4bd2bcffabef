import type { CaseAnalysis, FourInstants, RestoredBy } from '../model/analysis.ts';
import { MAX_LISTED_CHANGES, type DropoutChange, type DropoutState, type ListedChanges } from '../model/case-comparison.ts';
import type { Range3 } from '../base/interval.ts';

interface Episode extends FourInstants {
  readonly siteKey: string;
  readonly lostMs: Range3;
  readonly restoredBy: RestoredBy;
}

/**
 * Returns which dropouts and blind intervals appeared, vanished or changed. Two of one sensor are the same one when their
 * losses overlap; where several do, those that begin nearest to each other are paired.
 * Units    times in ms of the earlier case, `shiftMs` brings the later one's there.
 * Missing  null when one of the two was not analysed.
 */
export function compareDropouts(before: CaseAnalysis | null, after: CaseAnalysis | null, shiftMs: number): ListedChanges<DropoutChange> | null {
  if (before === null || after === null) return null;
  const was = episodesOf(before, 0);
  const is = episodesOf(after, shiftMs);
  const changes: DropoutChange[] = [];
  const pairs = pairsOf(was, is);
  const taken = new Set(pairs.flat());
  for (const [old, now] of pairs) {
    if (!isAlike(old, now)) changes.push({ siteKey: old.siteKey, state: 'changed', before: stateOf(old), after: stateOf(now) });
  }
  const changed = changes.length;
  const gone = was.filter((episode) => !taken.has(episode));
  const come = is.filter((episode) => !taken.has(episode));
  for (const episode of gone) changes.push({ siteKey: episode.siteKey, state: 'removed', before: stateOf(episode), after: null });
  for (const episode of come) changes.push({ siteKey: episode.siteKey, state: 'added', before: null, after: stateOf(episode) });
  const at = (change: DropoutChange): number => change.before?.firstLostMs ?? change.after?.firstLostMs ?? 0;
  changes.sort((a, b) => at(a) - at(b) || (a.siteKey < b.siteKey ? -1 : 1));
  return { before: was.length, after: is.length, added: come.length, removed: gone.length, changed, list: changes.slice(0, MAX_LISTED_CHANGES) };
}

function episodesOf(analysis: CaseAnalysis, shiftMs: number): Episode[] {
  const moved = ({ lastGoodMs, firstLostMs, lastLostMs, firstGoodMs }: FourInstants): FourInstants => ({
    lastGoodMs: lastGoodMs + shiftMs,
    firstLostMs: firstLostMs + shiftMs,
    lastLostMs: lastLostMs === null ? null : lastLostMs + shiftMs,
    firstGoodMs: firstGoodMs === null ? null : firstGoodMs + shiftMs,
  });
  const bySite = analysis.sites.flatMap((site) => site.dropouts.map((dropout) => ({ ...moved(dropout), siteKey: site.siteKey, lostMs: dropout.lostMs, restoredBy: dropout.restoredBy })));
  const ofCase = analysis.blind.map((blind) => ({ ...moved(blind), siteKey: 'case', lostMs: blind.lostMs, restoredBy: blind.restoredBy }));
  return [...bySite, ...ofCase];
}

function pairsOf(was: readonly Episode[], is: readonly Episode[]): [Episode, Episode][] {
  const candidates = was.flatMap((old) => is.filter((now) => now.siteKey === old.siteKey && overlaps(old, now)).map((now): [Episode, Episode] => [old, now]));
  const gap = ([old, now]: [Episode, Episode]): number => Math.abs(old.firstLostMs - now.firstLostMs);
  const first = ([old, now]: [Episode, Episode]): number => Math.min(old.firstLostMs, now.firstLostMs);
  candidates.sort((a, b) => gap(a) - gap(b) || first(a) - first(b));
  const taken = new Set<Episode>();
  return candidates.filter((pair) => {
    if (pair.some((episode) => taken.has(episode))) return false;
    pair.forEach((episode) => taken.add(episode));
    return true;
  });
}

/** A loss reaches from its first lost instant to the next good one; one that was not restored has no end. */
function overlaps(a: Episode, b: Episode): boolean {
  return a.firstLostMs < (b.firstGoodMs ?? Infinity) && b.firstLostMs < (a.firstGoodMs ?? Infinity);
}

function isAlike(a: Episode, b: Episode): boolean {
  return (
    a.lastGoodMs === b.lastGoodMs && a.firstLostMs === b.firstLostMs && a.lastLostMs === b.lastLostMs && a.firstGoodMs === b.firstGoodMs &&
    a.lostMs.low === b.lostMs.low && a.lostMs.mid === b.lostMs.mid && a.lostMs.high === b.lostMs.high && a.restoredBy === b.restoredBy
  );
}

function stateOf({ firstLostMs, firstGoodMs, lostMs, restoredBy }: Episode): DropoutState {
  return { firstLostMs, firstGoodMs, lostMs, restoredBy };
}
