import type { Interval } from '../../core/base/interval.ts';
import { upperBound } from '../../core/base/search.ts';
import type { CaseAnalysis } from '../../core/model/analysis.ts';
import { countText, numberText } from '../format/number-text.ts';
import { durationText } from '../format/time-text.ts';
import { cursorValue, readoutText, sampleAt } from './cursor-values.ts';
import type { Lane, ReadoutEntry } from './lanes.ts';
import type { Trace } from './plot-adapter.ts';

/** What is measured: from the first instant chosen to the second; `toMs` null while the cursor stands for it. */
export interface Measured {
  readonly fromMs: number;
  readonly toMs: number | null;
}

/** One drawn value at two instants. */
export interface MeasuredRow {
  readonly entryKey: string;
  readonly name: string;
  readonly from: string;
  readonly to: string;
  /** "−6", "−12/−8 (−10)"; null where one of the two is not there, or both are one reading. */
  readonly change: string | null;
  /** Why there is no change, and what was lost in between. */
  readonly note: string;
}

/**
 * Returns every drawn value at two instants and its change, second less first.
 * Missing  a value is taken only where a sample stands for the instant (`sampleAt`), as under the cursor: nothing is filled in over a lost
 *          stretch, and where either is missing or was refused there is no change. What was lost in between is said beside.
 */
export function measuredRows(lanes: readonly Lane[], traces: ReadonlyMap<string, Trace>, analysis: CaseAnalysis, fromMs: number, toMs: number): MeasuredRow[] {
  return lanes.flatMap((lane) =>
    lane.entries.map((entry): MeasuredRow => {
      const [from, to] = [fromMs, toMs].map((atMs) => ({ text: textAt(entry, traces, analysis, atMs), samples: samplesAt(entry, traces, analysis, atMs) }));
      const change = from === undefined || to === undefined ? null : changeText(entry, from.samples, to.samples);
      return {
        entryKey: entry.entryKey,
        name: `${lane.title}, ${entry.name}`,
        from: from?.text ?? '',
        to: to?.text ?? '',
        change: change === 'one reading' ? null : change,
        note: [change === 'one reading' ? 'one and the same reading' : change === null ? 'no change can be told' : '', betweenText(entry, traces, analysis, { startMs: Math.min(fromMs, toMs), endMs: Math.max(fromMs, toMs) })]
          .filter((part) => part !== '')
          .join('; '),
      };
    }),
  );
}

function textAt(entry: ReadoutEntry, traces: ReadonlyMap<string, Trace>, analysis: CaseAnalysis, atMs: number): string {
  const { value, note } = readoutText(entry, cursorValue(entry, traces, analysis, atMs, false));
  return [value, note].filter((part) => part !== '').join(', ');
}

interface Sample {
  readonly tMs: number;
  readonly value: number;
}

/** The drawn samples that stand for an instant, one per channel of the entry; null where none does. */
function samplesAt(entry: ReadoutEntry, traces: ReadonlyMap<string, Trace>, analysis: CaseAnalysis, atMs: number): readonly (Sample | null)[] {
  const isStopped = analysis.recordGaps.some((gap) => atMs > gap.lastRowMs && atMs < gap.firstRowMs);
  const samples = entry.channels.map((channel): Sample | null => {
    const trace = channel === null || isStopped ? undefined : traces.get(channel.channelId);
    const i = trace === undefined ? -1 : sampleAt(trace, atMs);
    return trace === undefined || i < 0 ? null : { tMs: trace.tMs[i] ?? NaN, value: trace.value[i] ?? NaN };
  });
  if (entry.kind !== 'cuff') return samples;
  // Only what the cuff gave at one instant belongs together.
  const latest = Math.max(...samples.map((sample) => sample?.tMs ?? -Infinity));
  return samples.map((sample) => (sample?.tMs === latest ? sample : null));
}

function changeText(entry: ReadoutEntry, from: readonly (Sample | null)[], to: readonly (Sample | null)[]): string | null {
  const isIrregular = entry.kind === 'cuff' || entry.anchor?.intervalMs === null;
  const changes = from.map((first, i) => {
    const second = to[i] ?? null;
    return first === null || second === null ? null : { value: second.value - first.value, isSame: first.tMs === second.tMs };
  });
  const known = changes.filter((change) => change !== null);
  if (known.length === 0) return null;
  if (isIrregular && known.every(({ isSame }) => isSame)) return 'one reading';
  const [first, second, mean] = changes.map((change) => (change === null ? null : signed(change.value, entry.decimals)));
  if (entry.kind === 'value') return first ?? null;
  const pair = first || second ? `${first ?? '–'}/${second ?? '–'}` : '';
  return mean ? (pair === '' ? `mean ${mean}` : `${pair} (${mean})`) : pair;
}

function signed(value: number, decimals: number): string {
  const text = numberText(value, decimals);
  return value > 0 && Number(value.toFixed(decimals)) !== 0 ? `+${text}` : text;
}

/** What of the line is missing between the two instants: dropouts for SpO2, breaks for other lines. */
function betweenText(entry: ReadoutEntry, traces: ReadonlyMap<string, Trace>, analysis: CaseAnalysis, { startMs, endMs }: Interval): string {
  const channel = entry.channels[0];
  const site = channel?.quantity === 'spo2' ? analysis.sites.find(({ siteKey }) => siteKey === entry.siteKey) : undefined;
  if (site !== undefined) {
    const overlap = (fromMs: number, toMs: number): number => Math.max(0, Math.min(toMs, endMs) - Math.max(fromMs, startMs));
    const touched = site.dropouts.filter((dropout) => overlap(dropout.lastGoodMs, dropout.firstGoodMs ?? dropout.censoredAtMs ?? analysis.bounds.endMs) > 0);
    if (touched.length === 0) return '';
    const low = touched.reduce((sum, dropout) => sum + overlap(dropout.firstLostMs, dropout.lastLostMs ?? dropout.censoredAtMs ?? analysis.bounds.endMs), 0);
    const high = touched.reduce((sum, dropout) => sum + overlap(dropout.lastGoodMs, dropout.firstGoodMs ?? dropout.censoredAtMs ?? analysis.bounds.endMs), 0);
    const [least, most] = [durationText(low), durationText(high)];
    return `${countText(touched.length, 'dropout', 'dropouts')} between, ${least === most ? least : `${least} to ${most}`}`;
  }
  const trace = entry.anchor ?? (channel ? traces.get(channel.channelId) : undefined);
  if (trace === undefined || trace === null || trace.intervalMs === null) return '';
  for (let i = upperBound(trace.tMs, startMs); i < trace.tMs.length && (trace.tMs[i - 1] ?? -Infinity) < endMs; i++) {
    if (i > 0 && trace.breakBefore[i] === 1) return 'values missing between';
  }
  return '';
}

/** Returns a measurement as one spoken passage. */
export function measuredSentence(rows: readonly MeasuredRow[], fromText: string, toText: string, spanMs: number): string {
  const parts = rows.map(({ name, from, to, change, note }) => `${name}: ${from === '' ? 'nothing' : from}, then ${to === '' ? 'nothing' : to}${change === null ? '' : `, change ${change}`}${note === '' ? '' : `, ${note}`}`);
  return [`${durationText(spanMs)} from ${fromText} to ${toText}`, ...parts].join('. ').concat('.');
}
