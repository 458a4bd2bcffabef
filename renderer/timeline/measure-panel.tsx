import { useEffect, useMemo, useSyncExternalStore } from 'react';
import type { JSX } from 'react';
import type { CaseAnalysis } from '../../core/model/analysis.ts';
import type { CaseClock } from '../format/time-text.ts';
import { durationText } from '../format/time-text.ts';
import { FigureHead } from '../help/figure-help.tsx';
import type { Store } from '../state/store.ts';
import { useStore } from '../state/store.ts';
import type { Viewport } from '../state/viewport.ts';
import type { Lane } from './lanes.ts';
import { measuredRows, measuredSentence } from './measure.ts';
import type { Measured } from './measure.ts';
import type { Trace } from './plot-adapter.ts';

export interface MeasurePanelProps {
  readonly store: Store<Measured | null>;
  readonly lanes: readonly Lane[];
  readonly traces: ReadonlyMap<string, Trace>;
  readonly analysis: CaseAnalysis;
  readonly viewport: Viewport;
  readonly clock: CaseClock;
  readonly onSay: (words: string) => void;
}

/** Returns what lies between the two instants that are measured, as a table over the picture; nothing where none are. */
export function MeasurePanel({ store, lanes, traces, analysis, viewport, clock, onSay }: MeasurePanelProps): JSX.Element | null {
  const measured = useStore(store);
  const cursorMs = useSyncExternalStore(viewport.subscribe, viewport.getCursorMs);
  const fromMs = measured?.fromMs ?? null;
  const toMs = measured?.toMs ?? cursorMs ?? fromMs;
  const isDone = measured !== null && measured.toMs !== null;
  const rows = useMemo(() => (fromMs === null || toMs === null ? [] : measuredRows(lanes, traces, analysis, fromMs, toMs)), [lanes, traces, analysis, fromMs, toMs]);

  useEffect(() => {
    if (isDone && fromMs !== null && toMs !== null) onSay(measuredSentence(rows, clock.clock(fromMs), clock.clock(toMs), Math.abs(toMs - fromMs)));
  }, [isDone, rows, fromMs, toMs, clock, onSay]);

  if (fromMs === null || toMs === null) return null;
  return (
    <section className="tl-measure" aria-label="Measured">
      <header>
        <h3><span className="tl-figure">{durationText(Math.abs(toMs - fromMs))}</span>, {clock.clock(fromMs)} to {clock.clock(toMs)}</h3>
        <button type="button" className="tl-button tl-sign" aria-label="End measuring" title="End measuring (M)" onClick={() => store.set(null)}>×</button>
      </header>
      {isDone ? null : <p className="tl-measure-hint">Move the cursor, then press M to hold its place.</p>}
      {/* Where it does not fit it scrolls, so the keyboard must reach it. */}
      <div className="tl-measure-rows" tabIndex={0} role="group" aria-label="Values at both instants">
        <table className="tl-table">
          <thead>
            <tr><th scope="col">Value</th><FigureHead figure="values-at-the-cursor">First</FigureHead><FigureHead figure="values-at-the-cursor">Second</FigureHead><FigureHead figure="compared-values">Change</FigureHead></tr>
          </thead>
          <tbody>
            {rows.map(({ entryKey, name, from, to, change, note }) => (
              <tr key={entryKey}>
                <th scope="row">{name}{note === '' ? null : <small>{note}</small>}</th>
                <td>{from === '' ? '–' : from}</td>
                <td>{to === '' ? '–' : to}</td>
                <td className="tl-figure">{change ?? '–'}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </div>
      <p className="tl-measure-hint">As recorded: nothing is filled in where the record has no value.</p>
    </section>
  );
}
