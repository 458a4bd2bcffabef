import { useSyncExternalStore } from 'react';
import type { JSX } from 'react';
import type { CaseAnalysis } from '../../core/model/analysis.ts';
import type { Viewport } from '../state/viewport.ts';
import { useIsPrinting } from '../widgets/printing.ts';
import { cursorValue, readoutText } from './cursor-values.ts';
import { ENTRY_PX } from './lane-layout.ts';
import type { LaneBox } from './lane-layout.ts';
import type { Trace } from './plot-adapter.ts';
import { CuffSwatch, Swatch } from './swatch.tsx';

/** Returns the key under which a lane's note is placed among its labels. */
export function noteKey(laneId: string): string {
  return `note ${laneId}`;
}

export interface ReadoutProps {
  readonly boxes: readonly LaneBox[];
  readonly traces: ReadonlyMap<string, Trace>;
  readonly analysis: CaseAnalysis;
  readonly isBoundShown: boolean;
  readonly viewport: Viewport;
  readonly leftPx: number;
  readonly widthPx: number;
  /** Hands out each entry's element, so that the drawing can move it to the height of its line. Must not change between renders. */
  readonly onEntry: (entryKey: string, element: HTMLElement | null) => void;
}

/** Returns the column right of the lanes: each line's label at the height where the line leaves, with its value at the cursor. */
export function Readout({ boxes, traces, analysis, isBoundShown, viewport, leftPx, widthPx, onEntry }: ReadoutProps): JSX.Element {
  const atCursorMs = useSyncExternalStore(viewport.subscribe, viewport.getCursorMs);
  // The cursor is left out on paper: values of an instant that nothing there names would be those of any.
  const cursorMs = useIsPrinting() ? null : atCursorMs;
  return (
    <div className="tl-readout" aria-hidden="true">
      {boxes.map(({ lane, topPx, heightPx }) =>
        lane.note === null ? null : (
          <div
            key={lane.laneId}
            ref={(element) => {
              onEntry(noteKey(lane.laneId), element);
            }}
            className="tl-entry tl-lane-note"
            style={{ left: leftPx, top: topPx, width: widthPx, height: ENTRY_PX, transform: `translateY(${heightPx - ENTRY_PX}px)` }}
          >
            <svg className="tl-swatch" width="24" height="12" viewBox="0 0 24 12" aria-hidden="true">
              <line x1="0" y1="6" x2="24" y2="6" stroke="var(--line-strong)" strokeDasharray="2 4" />
            </svg>
            <span className="tl-entry-name">{lane.note}</span>
          </div>
        ),
      )}
      {boxes.flatMap(({ lane, topPx, heightPx }) =>
        lane.entries.map((entry, i) => {
          const text = cursorMs === null ? { value: '', note: '' } : readoutText(entry, cursorValue(entry, traces, analysis, cursorMs, isBoundShown));
          return (
            <div
              key={entry.entryKey}
              ref={(element) => {
                onEntry(entry.entryKey, element);
              }}
              className="tl-entry"
              data-entry={entry.entryKey}
              style={{ left: leftPx, top: topPx, width: widthPx, height: ENTRY_PX, transform: `translateY(${Math.min(i * ENTRY_PX, heightPx)}px)` }}
            >
              {entry.kind === 'cuff' ? <CuffSwatch style={entry.style} /> : <Swatch style={entry.style} />}
              <span className="tl-entry-name">{entry.name}</span>
              <span className="tl-entry-note" title={text.note}>{text.note}</span>
              <span className="tl-entry-value">{text.value}</span>
            </div>
          );
        }),
      )}
    </div>
  );
}
