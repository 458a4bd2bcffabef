import type { Interval } from '../../base/interval.ts';
import type { Dropout } from '../../model/analysis.ts';
import { buildInfusions } from '../../model/infusions.ts';
import { buildPhases } from '../../model/phases.ts';
import type { ReportTable } from '../../model/report-document.ts';
import type { CaseContext } from '../case-context.ts';
import type { PrintClock } from './case-words.ts';
import { beforeAfterWords, exposureWords, placeWords } from './case-words.ts';
import { givenMoments, type PinnedNote } from './happening-lanes.ts';

/** More rows than this are no sequence that a meeting follows; those nearest to what is meant stay rows, and the others are told below. */
const MOST_ROWS = 48;

interface Step {
  readonly atMs: number;
  readonly what: string;
  /** How far the time can be trusted. */
  readonly time: string;
}

const BY_HAND = 'typed by hand';
const RECORDED = 'recorded';

/**
 * Returns what happened in a stretch of a case in the order of time: losses and returns, what was given and done, states, phases, infusions,
 * notes that were pinned. Times from the clock of the case and, where a loss is meant, from its first lost sample.
 * Shape   at most `MOST_ROWS` rows, those nearest to the loss (or the middle); what is further away stands in the note. Words of the dictionary only, but for notes.
 *         Null where nothing happened.
 * Source  handbook 11.2 (sequence table with times relative to start), 12 (order within about two minutes may be wrong).
 */
export function sequenceTable({ record, analysis, sites }: Pick<CaseContext, 'record' | 'analysis' | 'sites'>, clock: PrintClock, stretch: Interval, pointedAt: Dropout | null, notes: readonly PinnedNote[]): ReportTable | null {
  const steps: Step[] = [
    ...sites.flatMap(({ siteKey, dropouts }) => dropouts.flatMap((dropout): Step[] => {
      const name = `loss ${dropout.number} of the ${placeWords(siteKey)}`;
      const back = dropout.firstGoodMs;
      return [
        { atMs: dropout.firstLostMs, what: `${name} begins, last value ${beforeAfterWords(dropout).split(' → ')[0] ?? ''}`, time: 'first lost sample' },
        ...(back === null ? [] : [{ atMs: back, what: `${name}: information again, ${beforeAfterWords(dropout).split(' → ')[1] ?? ''}`, time: 'first good sample' }]),
      ];
    })),
    ...givenMoments(record, analysis).map(({ atMs, words, manual }): Step => ({ atMs, what: words, time: manual ? BY_HAND : RECORDED })),
    ...analysis.exposures.filter(({ endMs }) => endMs !== null).flatMap((one): Step[] => [
      { atMs: one.atMs, what: `${exposureWords(one)} begins`, time: one.manual ? BY_HAND : RECORDED },
      ...(one.endMs === null || one.endMs >= analysis.bounds.endMs ? [] : [{ atMs: one.endMs, what: `${exposureWords(one)} ends`, time: one.manual ? BY_HAND : RECORDED }]),
    ]),
    ...buildInfusions(record.drugs.filter(({ inn }) => inn !== null), analysis.bounds.endMs).flatMap(({ name, steps: rates }) => rates.map(({ startMs, text }): Step => ({ atMs: startMs, what: `${name} infusion: ${text}`, time: record.drugs.some(({ inn, atMs, manual }) => inn === name && atMs === startMs && manual) ? BY_HAND : RECORDED }))),
    ...buildPhases(record.events, analysis.bounds.endMs, record.recordedUntilMs !== undefined).map(({ startMs, text }): Step => ({ atMs: startMs, what: `phase: ${text}`, time: 'from events of the record' })),
    ...notes.map(({ startMs, text }): Step => ({ atMs: startMs, what: `note: ${text.replaceAll(/\s+/gu, ' ').trim()}`, time: 'set by a reader' })),
  ].filter(({ atMs }) => atMs >= stretch.startMs && atMs <= stretch.endMs);
  if (steps.length === 0) return null;
  const meantMs = pointedAt?.firstLostMs ?? (stretch.startMs + stretch.endMs) / 2;
  const nearest = new Set([...steps].sort((a, b) => Math.abs(a.atMs - meantMs) - Math.abs(b.atMs - meantMs)).slice(0, MOST_ROWS));
  const inOrder = [...steps].sort((a, b) => a.atMs - b.atMs);
  const told = inOrder.filter((step) => nearest.has(step));
  const further = inOrder.filter((step) => !nearest.has(step));
  return {
    caption: `Sequence from ${clock.at(stretch.startMs)} to ${clock.at(stretch.endMs)}`,
    columns: [
      { heading: 'Time', align: 'end' }, ...(pointedAt === null ? [] : [{ heading: `From loss ${pointedAt.number}`, align: 'end' } as const]), { heading: 'What', align: 'start' }, { heading: 'The time is', align: 'start' },
    ],
    rows: told.map(({ atMs, what, time }) => [clock.at(atMs), ...(pointedAt === null ? [] : [signed(atMs - pointedAt.firstLostMs)]), what, time]),
    note: `Times come from several clocks and from hands: order within about two minutes may be wrong.${further.length === 0 ? '' : ` Further away in this stretch: ${further.map(({ atMs, what }) => `${what} at ${clock.at(atMs)}`).join('; ')}.`}`,
  };
}

/** Returns a time from an event with its sign: "−1:20", "+0:05", in minutes and seconds. */
function signed(ms: number): string {
  const total = Math.round(Math.abs(ms) / 1000);
  const text = `${Math.floor(total / 60)}:${String(total % 60).padStart(2, '0')}`;
  // Without its sign nobody could tell it from a clock time.
  return `${ms < 0 && total > 0 ? '\u2212' : '+'}${text}`;
}
