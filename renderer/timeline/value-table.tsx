import { useDeferredValue, useMemo, useSyncExternalStore } from 'react';
import type { JSX, RefObject } from 'react';
import type { CaseAnalysis } from '../../core/model/analysis.ts';
import type { CaseRecord } from '../../core/model/case.ts';
import type { CaseClock } from '../format/time-text.ts';
import { FigureHead } from '../help/figure-help.tsx';
import type { Viewport } from '../state/viewport.ts';
import { handBoundsTable } from './hand-bounds.ts';
import type { HandBounds } from './hand-bounds.ts';
import type { Happenings } from './event-layout.ts';
import type { Lane } from './lanes.ts';
import type { DrawnMark } from './mark-layout.ts';
import type { Trace } from './plot-adapter.ts';
import { dropoutTable, happeningTable, statusTable, valueTable } from './value-rows.ts';
import type { TextTable } from './value-rows.ts';

export interface ValueTableProps {
  readonly record: CaseRecord;
  readonly analysis: CaseAnalysis;
  readonly lanes: readonly Lane[];
  readonly traces: ReadonlyMap<string, Trace>;
  readonly happenings: Happenings;
  readonly marks: readonly DrawnMark[];
  readonly caseEndMs: number;
  readonly viewport: Viewport;
  readonly clock: CaseClock;
  /** Whether what cannot be excluded was asked for. */
  readonly isBoundShown: boolean;
  readonly selectedDropoutId: string | null;
  readonly handBounds: readonly HandBounds[];
  readonly onSelectDropout: (dropoutId: string) => void;
  /** The element that takes the focus when the table opens. */
  readonly elementRef: RefObject<HTMLDivElement | null>;
}

/** Returns the twin of the picture in words: dropouts, happenings and values of the visible window as tables. */
export function ValueTable(props: ValueTableProps): JSX.Element {
  const { record, analysis, lanes, traces, happenings, marks, caseEndMs, viewport, clock, isBoundShown, selectedDropoutId, handBounds, onSelectDropout, elementRef } = props;
  const window = useDeferredValue(useSyncExternalStore(viewport.subscribe, viewport.get));
  const dropouts = useMemo(() => dropoutTable(analysis, caseEndMs, window, clock, isBoundShown), [analysis, caseEndMs, window, clock, isBoundShown]);
  const byHand = useMemo(() => handBoundsTable(handBounds, analysis, window, clock), [handBounds, analysis, window, clock]);
  const happened = useMemo(() => happeningTable(record, analysis, happenings, marks, window, clock), [record, analysis, happenings, marks, window, clock]);
  const values = useMemo(() => valueTable(lanes, traces, analysis, window, clock, isBoundShown), [lanes, traces, analysis, window, clock, isBoundShown]);
  const statuses = useMemo(() => statusTable(analysis, window, clock), [analysis, window, clock]);
  return (
    <div ref={elementRef} className="tl-tables" tabIndex={0} role="region" aria-label={`Table of ${clock.clock(window.startMs)} to ${clock.clock(window.endMs)}`}>
      <p className="tl-tables-window">
        {clock.clock(window.startMs)} to {clock.clock(window.endMs)} ({clock.meaning})
      </p>
      <Table table={dropouts} selectedKey={selectedDropoutId} onSelect={onSelectDropout} />
      {handBounds.length === 0 ? null : <Table table={byHand} selectedKey={null} onSelect={null} />}
      <Table table={statuses} selectedKey={null} onSelect={null} />
      <Table table={happened} selectedKey={null} onSelect={null} />
      <Table table={values} selectedKey={null} onSelect={null} />
    </div>
  );
}

interface TableProps {
  readonly table: TextTable;
  readonly selectedKey: string | null;
  /** null: rows cannot be chosen. */
  readonly onSelect: ((rowKey: string) => void) | null;
}

function Table({ table, selectedKey, onSelect }: TableProps): JSX.Element {
  if (table.rows.length === 0) return <p className="tl-tables-none">{table.caption}: none.</p>;
  return (
    <table className="tl-table">
      <caption>{table.caption}</caption>
      <thead>
        <tr>
          {table.headings.map((heading, i) => {
            const figure = table.figures[i] ?? null;
            return figure === null ? <th key={heading} scope="col">{heading}</th> : <FigureHead key={heading} figure={figure}>{heading}</FigureHead>;
          })}
        </tr>
      </thead>
      <tbody>
        {table.rows.map((row) => (
          <tr key={row.rowKey} aria-selected={onSelect === null ? undefined : row.rowKey === selectedKey}>
            {row.cells.map((cell, i) =>
              i === 0 && onSelect !== null ? (
                <th key={i} scope="row">
                  <button
                    type="button"
                    className="tl-table-choose"
                    onClick={() => {
                      onSelect(row.rowKey);
                    }}
                  >
                    {cell}
                  </button>
                </th>
              ) : i === 0 ? (
                <th key={i} scope="row">{cell}</th>
              ) : (
                <td key={i}>{cell}</td>
              ),
            )}
          </tr>
        ))}
      </tbody>
    </table>
  );
}
