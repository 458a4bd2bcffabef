import { useEffect, useRef, useState } from 'react';
import type { JSX } from 'react';
import { DEFAULT_LANES, LANE_HEIGHT_PX, MOST_LANES } from '../../core/model/lane-choice.ts';
import type { LaneChoice } from '../../core/model/lane-choice.ts';
import { unitText } from '../format/number-text.ts';
import { CheckField } from '../widgets/field.tsx';
import { choiceOf, movedLane, shownLanes } from './lane-order.ts';
import type { LaneRow } from './lane-order.ts';
import { Popover } from './popover.tsx';

/** A press of a key makes a lane so much lower or taller, px. */
const HEIGHT_STEP_PX = 20;

export interface LanePanelProps {
  readonly rows: readonly LaneRow[];
  readonly choice: LaneChoice;
  /** Heights as drawn, by lane id. */
  readonly drawnPx: ReadonlyMap<string, number>;
  readonly onChoose: (choice: LaneChoice) => void;
  readonly onSay: (words: string) => void;
}

/** Returns the button that opens the list of lanes: each to be shown or not, moved, made lower or taller, all without a pointer. */
export function LanePanel({ rows, choice, drawnPx, onChoose, onSay }: LanePanelProps): JSX.Element {
  const listRef = useRef<HTMLUListElement>(null);
  const movedRef = useRef<{ readonly laneId: string; readonly button: string } | null>(null);
  const [before, setBefore] = useState<LaneChoice | null>(null);
  const shown = shownLanes(rows);
  const count = rows.filter((row) => row.isShown).length;
  const hidden = rows.length - shown.length;

  // A row that is moved in the list loses the focus on its way.
  useEffect(() => {
    const moved = movedRef.current;
    movedRef.current = null;
    if (moved === null) return;
    const row = [...(listRef.current?.children ?? [])].find((element) => element.getAttribute('data-lane') === moved.laneId);
    row?.querySelector<HTMLElement>(`[data-does="${moved.button}"]`)?.focus();
  }, [rows]);

  const change = (next: readonly LaneRow[]): void => {
    setBefore(null);
    onChoose(choiceOf(next, choice));
  };
  const move = (row: LaneRow, by: 1 | -1): void => {
    const next = movedLane(rows, row.laneId, by);
    const at = next.findIndex(({ laneId }) => laneId === row.laneId);
    movedRef.current = { laneId: row.laneId, button: by === 1 ? 'down' : 'up' };
    onSay(`${row.title} is lane ${at + 1} of ${rows.length}.`);
    change(next);
  };
  const resize = (row: LaneRow, by: number): void => {
    const heightPx = Math.max(LANE_HEIGHT_PX.least, Math.min(LANE_HEIGHT_PX.most, Math.round(row.heightPx ?? drawnPx.get(row.laneId) ?? 80) + by));
    onSay(`${row.title}, ${heightPx} pixels high.`);
    change(rows.map((other) => (other.laneName === row.laneName ? { ...other, heightPx } : other)));
  };
  const show = (row: LaneRow, isShown: boolean): void => change(rows.map((other) => (other.laneName === row.laneName ? { ...other, isShown } : other)));
  const button = (does: string, sign: string, label: string, press: () => void): JSX.Element => (
    <button type="button" className="tl-button tl-sign" data-does={does} aria-label={label} title={label} onClick={press}>{sign}</button>
  );

  return (
    <Popover label={`Lanes${hidden > 0 ? ` ${shown.length} of ${rows.length}` : ''}`} title="Choose, order and resize the lanes of this library">
      <ul ref={listRef} className="tl-lane-list" aria-label="Lanes from top to bottom">
        {rows.map((row) => {
          const isLast = row.isShown && count === 1;
          const isFull = !row.isShown && count >= MOST_LANES;
          return (
            <li key={row.laneId} data-lane={row.laneId} className="tl-lane-row">
              <CheckField
                label={<>{row.title}{row.unit === '' ? '' : <small>, {unitText(row.unit)}</small>}</>} checked={row.isShown}
                onChange={(isShown) => {
                  if (isLast) onSay('One lane has to stay.');
                  else if (isFull) onSay(`${MOST_LANES} lanes can be shown at a time. Take another out first.`);
                  else show(row, isShown);
                }}
              />
              {button('up', '↑', `${row.title}: up`, () => move(row, -1))}
              {button('down', '↓', `${row.title}: down`, () => move(row, 1))}
              {button('lower', '−', `${row.title}: lower`, () => resize(row, -HEIGHT_STEP_PX))}
              {button('taller', '+', `${row.title}: taller`, () => resize(row, HEIGHT_STEP_PX))}
            </li>
          );
        })}
      </ul>
      <p className="tl-popover-note">Kept for every case of this library. {count >= MOST_LANES ? `${MOST_LANES} lanes can be shown at a time.` : 'Drag a name to move its lane, a lower edge to resize it; double click the edge for the height of the program.'}</p>
      {before === null ? (
        <button
          type="button" className="tl-button" disabled={choice.lanes.length === 0} title={choice.lanes.length === 0 ? 'They are as the program has them' : undefined}
          onClick={() => {
            setBefore(choice);
            onSay('Lanes as the program has them.');
            onChoose(DEFAULT_LANES);
          }}
        >
          Lanes as the program has them
        </button>
      ) : (
        <button
          type="button" className="tl-button"
          onClick={() => {
            setBefore(null);
            onSay('Your lanes are back.');
            onChoose(before);
          }}
        >
          Bring my lanes back
        </button>
      )}
    </Popover>
  );
}
