import { useEffect, useRef, useState, type JSX } from 'react';
import { MARK_TEXT_MOST } from '../../../core/model/case-mark.ts';
import type { Interval } from '../../../core/base/interval.ts';
import { countText } from '../../format/number-text.ts';
import { durationText, type CaseClock } from '../../format/time-text.ts';
import type { CaseMarksStore, PlacedMark } from '../../state/case-marks.ts';
import { useStore } from '../../state/store.ts';
import type { Viewport } from '../../state/viewport.ts';
import { Button } from '../../widgets/button.tsx';
import { Waiting } from '../../widgets/empty-state.tsx';
import { Notice } from '../../widgets/notice.tsx';

export interface MarkListProps {
  readonly marks: CaseMarksStore;
  readonly clock: CaseClock;
  readonly viewport: Viewport;
  readonly onShow: (interval: Interval) => void;
  /** Goes back from a note to the timeline. */
  readonly onLeave: () => void;
}

/** Returns the marks of the case with their notes, each to be read, changed, moved and removed. */
export function MarkList({ marks, clock, viewport, onShow, onLeave }: MarkListProps): JSX.Element {
  const { marks: placed, chosenId, problem, undo } = useStore(marks);
  return (
    <div className="case-mark-list">
      <p className="soft only-screen">
        Mark the cursor’s instant, or what is measured, with <kbd>K</kbd> in the timeline; <kbd>Esc</kbd> keeps a note and goes back there. A note may identify a person: it stays in this library, with the case, and is removed with it. Marks are of the clock of the record: after the clock of a file is set, look at them again.
      </p>
      <div className="row">
        <Button
          onClick={() => {
            const { startMs, endMs } = viewport.get();
            void marks.add(viewport.getCursorMs() ?? (startMs + endMs) / 2, null);
          }}
        >
          Mark the cursor’s instant
        </Button>
        {undo === null ? null : <Button onClick={() => void marks.undo()}>Undo: {undo.words}</Button>}
      </div>
      <p role="status" className="visually-hidden">{undo?.words ?? ''}</p>
      {problem === null ? null : <Notice tone="problem" title={problem.message} live>{problem.remedy === null ? null : <p>{problem.remedy}</p>}</Notice>}
      {placed === null ? (problem === null ? <Waiting>Reading the marks…</Waiting> : null) : placed.length === 0 ? <p className="list-empty">There is no mark in this case.</p> : (
        <ol className="case-marks" aria-label={countText(placed.length, 'mark', 'marks')}>
          {placed.map((one, i) => <MarkEntry key={one.mark.markId} number={i + 1} one={one} isChosen={one.mark.markId === chosenId} marks={marks} clock={clock} viewport={viewport} onShow={onShow} onLeave={onLeave} />)}
        </ol>
      )}
    </div>
  );
}

interface MarkEntryProps extends MarkListProps {
  readonly number: number;
  readonly one: PlacedMark;
  readonly isChosen: boolean;
}

function MarkEntry({ number, one: { mark, place }, isChosen, marks, clock, viewport, onShow, onLeave }: MarkEntryProps): JSX.Element {
  const [draft, setDraft] = useState<string | null>(null);
  const ref = useRef<HTMLLIElement>(null);
  useEffect(() => {
    if (!isChosen) return;
    ref.current?.scrollIntoView({ block: 'nearest' });
    ref.current?.querySelector('textarea')?.focus({ preventScroll: true });
  }, [isChosen]);
  const text = draft ?? mark.text;
  const isSpan = mark.endMs !== null;
  const when = place === null ? 'no place in this record' : isSpan ? `${clock.clock(place.startMs)} to ${clock.clock(place.endMs)}, ${durationText(place.endMs - place.startMs)}` : clock.clock(place.startMs);
  const moveTo = (part: 'start' | 'end'): void => {
    const cursorMs = viewport.getCursorMs();
    if (cursorMs === null || place === null) return;
    const ends = part === 'start' ? [cursorMs, place.endMs] : [place.startMs, cursorMs];
    const startMs = Math.min(...ends);
    const endMs = Math.max(...ends);
    void marks.move(mark.markId, isSpan || part === 'end' ? startMs : cursorMs, (isSpan || part === 'end') && endMs > startMs ? endMs : null);
  };
  return (
    <li ref={ref} className={`case-mark${isChosen ? ' case-mark-chosen' : ''}`} data-mark={mark.markId}>
      <div className="row">
        <span className="case-mark-number" aria-hidden="true">{number}</span>
        {place === null ? <strong>{when}</strong> : (
          <Button
            look="link"
            onClick={() => {
              marks.choose(mark.markId);
              onShow(place);
            }}
          >
            {when}
          </Button>
        )}
      </div>
      {place === null ? <p className="soft">The record counts its times otherwise than when the mark was made. The note is kept; nobody can say where it belongs now.</p> : null}
      <textarea
        className="input input-area" rows={2} value={text} maxLength={MARK_TEXT_MOST} aria-label={`Note of mark ${number}, ${when}`} placeholder="Note"
        onFocus={() => marks.choose(mark.markId)}
        onChange={(event) => setDraft(event.target.value)}
        onKeyDown={(event) => {
          if (event.key !== 'Escape') return;
          event.stopPropagation();
          onLeave();
        }}
        onBlur={() => {
          if (draft === null) return;
          void marks.write(mark.markId, draft).then(() => setDraft(null));
        }}
      />
      <div className="row">
        {place === null ? null : (
          <>
            <Button look="quiet" onClick={() => moveTo('start')}>{isSpan ? 'Begin at the cursor' : 'Move to the cursor'}</Button>
            <Button look="quiet" onClick={() => moveTo('end')}>End at the cursor</Button>
          </>
        )}
        <Button look="quiet" aria-label={`Remove mark ${number}`} onClick={() => void marks.remove(mark.markId)}>Remove</Button>
      </div>
    </li>
  );
}
