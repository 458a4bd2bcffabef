import { lowerBound, upperBound } from '../../core/base/search.ts';
import type { Interval } from '../../core/base/interval.ts';
import type { CaseAnalysis } from '../../core/model/analysis.ts';
import type { CaseRecord } from '../../core/model/case.ts';
import { drugName } from '../../core/model/infusions.ts';
import type { FigureId } from '../help/figure-register.ts';
import type { CaseClock } from '../format/time-text.ts';
import { durationText, rangeText } from '../format/time-text.ts';
import { saturationText, doseText } from '../format/number-text.ts';
import { roundedDown } from './bound-shape.ts';
import { cursorValue, readoutText } from './cursor-values.ts';
import { dropoutSpan, dropoutsInOrder } from './dropout-walk.ts';
import type { Happenings } from './event-layout.ts';
import type { Lane } from './lanes.ts';
import type { DrawnMark } from './mark-layout.ts';
import type { Trace } from './plot-adapter.ts';
import { endingText } from './speech.ts';
import { SHOWN_STATUSES } from './status-runs.ts';

/** The value table holds at most this many rows: more would not be read. */
export const MAX_VALUE_ROWS = 60;

/** A table as text, ready to be shown. */
export interface TextTable {
  readonly caption: string;
  readonly headings: readonly string[];
  /** What figure stands beneath each heading; null beneath one that names and counts nothing. */
  readonly figures: readonly (FigureId | null)[];
  readonly rows: readonly { readonly rowKey: string; readonly cells: readonly string[] }[];
}

function touches(startMs: number, endMs: number, window: Interval): boolean {
  return startMs <= window.endMs && endMs >= window.startMs;
}

/** Returns the dropouts that reach into the window, with the lowest SpO2 that cannot be excluded inside each where that was asked for. */
export function dropoutTable(analysis: CaseAnalysis, caseEndMs: number, window: Interval, clock: CaseClock, isBoundShown: boolean): TextTable {
  const shown = dropoutsInOrder(analysis).filter((dropout) => {
    const span = dropoutSpan(dropout, caseEndMs);
    return touches(span.startMs, span.endMs, window);
  });
  return {
    caption: 'Dropouts in this window',
    headings: ['Site', 'No.', 'Last good', 'First lost', 'Last lost', 'First good', 'Time lost', 'Ended', 'SpO2 before', 'SpO2 after', ...(isBoundShown ? ['Cannot be excluded, down to'] : [])],
    figures: [null, 'dropout-number', 'bounds', 'bounds', 'bounds', 'bounds', 'time-lost', 'ending', 'spo2-around', 'spo2-around', ...(isBoundShown ? (['cannot-be-excluded'] as const) : [])],
    rows: shown.map((dropout) => ({
      rowKey: dropout.dropoutId,
      cells: [
        dropout.siteKey, String(dropout.number), clock.clock(dropout.lastGoodMs), clock.clock(dropout.firstLostMs),
        dropout.lastLostMs === null ? '–' : clock.clock(dropout.lastLostMs), dropout.firstGoodMs === null ? '–' : clock.clock(dropout.firstGoodMs),
        rangeText(dropout.lostMs), endingText(dropout), saturationText(dropout.spo2Before), saturationText(dropout.spo2After),
        ...(isBoundShown ? [`${roundedDown(dropout.cannotExclude.pct)} %`] : []),
      ],
    })),
  };
}

/** Returns what happened in the window: record stops, blind intervals, marks, events, states, doses and infusion steps, in time order. */
export function happeningTable(record: CaseRecord, analysis: CaseAnalysis, happenings: Happenings, marks: readonly DrawnMark[], window: Interval, clock: CaseClock): TextTable {
  const rows: { readonly atMs: number; readonly endMs: number; readonly kind: string; readonly text: string; readonly rowKey: string; readonly isOpen?: boolean }[] = [];
  for (const gap of analysis.recordGaps) rows.push({ atMs: gap.lastRowMs, endMs: gap.firstRowMs, kind: 'record stopped', text: rangeText(gap.gapMs), rowKey: `gap ${gap.lastRowMs}` });
  for (const blind of analysis.blind) {
    rows.push({ atMs: blind.firstLostMs, endMs: blind.lastLostMs ?? blind.firstLostMs, kind: 'no site gave information', text: rangeText(blind.lostMs), rowKey: `blind ${blind.number}` });
  }
  for (const phase of happenings.phases) rows.push({ atMs: phase.startMs, endMs: phase.endMs, kind: 'phase', text: phase.text, isOpen: phase.isOpen, rowKey: `phase ${phase.startMs}` });
  for (const state of happenings.states) rows.push({ atMs: state.startMs, endMs: state.endMs, kind: 'state', text: state.isOpen ? `${state.text}, going on` : state.text, isOpen: state.isOpen, rowKey: `state ${state.startMs} ${state.text}` });
  for (const mark of marks) rows.push({ atMs: mark.startMs, endMs: mark.endMs, kind: 'mark', text: mark.note === '' ? 'without a note' : mark.note, rowKey: mark.markId });
  for (const moment of happenings.moments) rows.push({ atMs: moment.atMs, endMs: moment.atMs, kind: 'event', text: moment.text, rowKey: moment.eventId });
  for (const drug of record.drugs) {
    const dose = drug.form === 'infusion stop' ? '' : drug.amount === null ? (drug.form === 'bolus' ? ' dose not stated' : ' rate not stated') : ` ${doseText(drug.amount, drug.unit)}`;
    rows.push({ atMs: drug.atMs, endMs: drug.atMs, kind: drug.form, text: `${drugName(drug)}${dose}`, rowKey: drug.drugId });
  }
  const shown = rows.filter((row) => touches(row.atMs, row.endMs, window)).sort((a, b) => a.atMs - b.atMs);
  return {
    caption: 'What happened in this window',
    headings: ['From', 'To', 'Kind', 'What'],
    figures: ['values-at-the-cursor', 'values-at-the-cursor', null, null],
    rows: shown.map((row) => ({ rowKey: row.rowKey, cells: [clock.clock(row.atMs), row.isOpen !== true && row.endMs > row.atMs ? clock.clock(row.endMs) : '', row.kind, row.text] })),
  };
}

/** Returns the runs of held, weak, disputed and refused values that reach into the window, in time order; the first ones where there are many. */
export function statusTable(analysis: CaseAnalysis, window: Interval, clock: CaseClock): TextTable {
  const runs = analysis.sites.flatMap((site) =>
    SHOWN_STATUSES.flatMap((status) => {
      const edges = site.statusRuns[status];
      const out: { readonly siteKey: string; readonly status: string; readonly startMs: number; readonly endMs: number }[] = [];
      for (let i = Math.max(0, lowerBound(edges, window.startMs) - 2); i + 1 < edges.length; i++) {
        if (i % 2 === 1) continue;
        const startMs = edges[i] ?? NaN;
        const endMs = edges[i + 1] ?? NaN;
        if (startMs > window.endMs) break;
        if (touches(startMs, endMs, window)) out.push({ siteKey: site.siteKey, status, startMs, endMs });
      }
      return out;
    }),
  ).sort((a, b) => a.startMs - b.startMs);
  const left = runs.length - MAX_VALUE_ROWS;
  return {
    caption: `Doubtful, held and refused values in this window${left > 0 ? ` (the first ${MAX_VALUE_ROWS} of ${runs.length} runs; show less time for the rest)` : ''}`,
    headings: ['Site', 'From', 'To', 'Lasted', 'Status'],
    figures: [null, 'sample-classes', 'sample-classes', 'sample-classes', 'sample-classes'],
    rows: runs.slice(0, MAX_VALUE_ROWS).map((run) => ({
      rowKey: `${run.siteKey} ${run.status} ${run.startMs}`,
      cells: [run.siteKey, clock.clock(run.startMs), clock.clock(run.endMs), durationText(run.endMs - run.startMs), run.status],
    })),
  };
}

/** Returns at most `most` of the recorded instants in the window, evenly chosen by count; never an instant that was not recorded. */
export function chosenInstants(gridMs: Float64Array, window: Interval, most: number): { readonly atMs: readonly number[]; readonly every: number } {
  const i0 = lowerBound(gridMs, window.startMs);
  const i1 = upperBound(gridMs, window.endMs);
  const every = Math.max(1, Math.ceil((i1 - i0) / most));
  const atMs: number[] = [];
  for (let i = i0; i < i1; i += every) atMs.push(gridMs[i] ?? NaN);
  return { atMs, every };
}

/** Returns the values of every drawn channel at recorded instants of the window: chosen rows, not averages. */
export function valueTable(lanes: readonly Lane[], traces: ReadonlyMap<string, Trace>, analysis: CaseAnalysis, window: Interval, clock: CaseClock, isBoundShown: boolean): TextTable {
  // The channel with most rows gives the instants: usually all share one grid.
  let gridMs = new Float64Array(0);
  for (const trace of traces.values()) if (trace.gridMs.length > gridMs.length) gridMs = new Float64Array(trace.gridMs);
  const { atMs, every } = chosenInstants(gridMs, window, MAX_VALUE_ROWS);
  const columns = lanes.flatMap((lane) => lane.entries.map((entry) => ({ lane, entry })));
  const how = every === 1 ? 'every recorded row' : `one recorded row in ${every}; values as recorded, not averages`;
  return {
    caption: `Values in this window (${how})`,
    headings: ['Time', ...columns.map(({ lane, entry }) => `${lane.title}, ${entry.name}${lane.unit === '' || lane.unit === 'log' ? '' : ` (${lane.unit})`}`)],
    figures: [null, ...columns.map(() => 'values-at-the-cursor' as const)],
    rows: atMs.map((ms) => ({
      rowKey: String(ms),
      cells: [
        clock.clock(ms),
        ...columns.map(({ entry }) => {
          const { value, note } = readoutText(entry, cursorValue(entry, traces, analysis, ms, isBoundShown));
          return [value.replace(' %', ''), note].filter((part) => part !== '').join(', ');
        }),
      ],
    })),
  };
}
