import type { Interval } from '../base/interval.ts';
import type { CaseAnalysis } from '../model/analysis.ts';
import type { CaseRecord, SourceFile } from '../model/case.ts';
import type { CaseComparison, ChannelChange } from '../model/case-comparison.ts';
import { alignCases } from './align-cases.ts';
import { changedFacts } from './changed-facts.ts';
import { compareChannels } from './compare-channels.ts';
import { compareDropouts } from './compare-dropouts.ts';
import { comparedDrug, comparedEvent, compareEntries } from './compare-entries.ts';

/** A case as it stands, or would stand, in the library. */
export interface ComparedCase {
  readonly record: CaseRecord;
  readonly analysis: CaseAnalysis | null;
}

/**
 * Returns what would change if `after` took the place of `before`; see `CaseComparison`.
 * Shape    nothing is modified. A case beside itself is the same; exchanging the two exchanges added with removed.
 * Errors   none.
 */
export function compareCases(before: ComparedCase, after: ComparedCase): CaseComparison {
  const was = before.record;
  const is = after.record;
  const { by, shiftMs, movedMs } = alignCases(was, is);
  const channels = compareChannels(was.channels, is.channels, shiftMs);
  const events = compareEntries(was.events.map((event) => comparedEvent(event, 0)), is.events.map((event) => comparedEvent(event, shiftMs)));
  const drugs = compareEntries(was.drugs.map((drug) => comparedDrug(drug, 0)), is.drugs.map((drug) => comparedDrug(drug, shiftMs)));
  const dropouts = compareDropouts(before.analysis, after.analysis, shiftMs);
  const facts = changedFacts({ ...was.attributes, ...clockFacts(was) }, { ...is.attributes, ...clockFacts(is) });
  const entriesDiffer = [events, drugs].some(({ added, removed, changed }) => added + removed + changed > 0);
  return {
    // Dropouts follow from the record and the parameters: they tell what a change means and are none themselves.
    isSame: movedMs === 0 && channels.every((channel) => channel.state === 'same') && !entriesDiffer && facts.length === 0,
    isContained: movedMs === 0 && isContained(was, is, channels, shiftMs),
    alignedBy: by,
    movedMs,
    origin: was.origin,
    span: { before: spanOf(was, 0), after: spanOf(is, shiftMs) },
    channels,
    events,
    drugs,
    dropouts,
    facts,
    clocksKept: [],
    sources: compareSources(was.sources, is.sources),
  };
}

function clockFacts({ origin }: CaseRecord): Readonly<Record<string, string>> {
  return { 'zone of the record': origin.zoneStated ? origin.zone : 'not stated, UTC taken', 'times of the record': origin.epochMs !== null ? 'dated' : origin.clock };
}

/** Whether nothing of `is` is new, and whatever it lacks came from files that it was not read from. */
function isContained(was: CaseRecord, is: CaseRecord, channels: readonly ChannelChange[], shiftMs: number): boolean {
  const known = new Set(was.sources.map(({ sha256 }) => sha256));
  const read = new Set(is.sources.map(({ sha256 }) => sha256));
  if (read.size === 0 || [...read].some((digest) => digest === '' || !known.has(digest))) return false;
  const isRead = (sourceIndex: number): boolean => read.has(was.sources[sourceIndex]?.sha256 ?? '');
  const sourceOf = new Map(was.channels.map((channel) => [channel.channelId, channel.sourceIndex]));
  const channelsFit = channels.every(({ channelId, state }) => state === 'same' || (state === 'removed' && !isRead(sourceOf.get(channelId) ?? -1)));
  if (!channelsFit) return false;
  const fits = (kept: readonly string[], found: readonly string[]): boolean => JSON.stringify([...kept].sort()) === JSON.stringify([...found].sort());
  return (
    fits(was.events.filter(({ source }) => isRead(source.sourceIndex)).map((event) => comparedEvent(event, 0).whole), is.events.map((event) => comparedEvent(event, shiftMs).whole)) &&
    fits(was.drugs.filter(({ source }) => isRead(source.sourceIndex)).map((drug) => comparedDrug(drug, 0).whole), is.drugs.map((drug) => comparedDrug(drug, shiftMs).whole)) &&
    Object.entries(is.attributes).every(([name, value]) => was.attributes[name] === value)
  );
}

/** First to last row of all channels; where there are none, of events and drugs. */
function spanOf(record: CaseRecord, shiftMs: number): Interval | null {
  const times = record.channels.flatMap(({ tMs }) => (tMs.length === 0 ? [] : [tMs[0] ?? 0, tMs.at(-1) ?? 0]));
  const all = times.length > 0 ? times : [...record.events, ...record.drugs].map((entry) => entry.atMs);
  if (all.length === 0) return null;
  return { startMs: all.reduce((low, at) => Math.min(low, at), Infinity) + shiftMs, endMs: all.reduce((high, at) => Math.max(high, at), -Infinity) + shiftMs };
}

function compareSources(was: readonly SourceFile[], is: readonly SourceFile[]): CaseComparison['sources'] {
  const before = new Set(was.map(({ sha256 }) => sha256));
  const after = new Set(is.map(({ sha256 }) => sha256));
  return {
    added: is.filter(({ sha256 }) => !before.has(sha256)).map(({ name }) => name),
    removed: was.filter(({ sha256 }) => !after.has(sha256)).map(({ name }) => name),
    same: [...before].filter((digest) => after.has(digest)).length,
  };
}
