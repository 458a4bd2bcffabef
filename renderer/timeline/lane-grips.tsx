import { useRef, useState } from 'react';
import type { JSX, PointerEvent } from 'react';
import { LANE_HEIGHT_PX } from '../../core/model/lane-choice.ts';
import { drawnScale } from '../widgets/drawn-scale.ts';
import type { LaneBox, TimelineLayout } from './lane-layout.ts';

/** A name that was moved by less than this was only touched. */
const DRAG_SLOP_PX = 6;
const EDGE_PX = 9;

export interface LaneGripsProps {
  readonly layout: TimelineLayout;
  /** null: the program's own height. `isDone` is false while the pointer is still down. */
  readonly onResize: (laneId: string, heightPx: number | null, isDone: boolean) => void;
  /** null: last. */
  readonly onMove: (laneId: string, beforeId: string | null) => void;
}

/** Returns what a pointer takes lanes by: their names, to move them, and their lower edges. The list of lanes does the same by key. */
export function LaneGrips({ layout, onResize, onMove }: LaneGripsProps): JSX.Element {
  const pulledRef = useRef<{ readonly laneId: string; readonly fromY: number; readonly heightPx: number; nowPx: number } | null>(null);
  const liftedRef = useRef<{ readonly laneId: string; readonly fromY: number; place: number | null } | null>(null);
  const [dropPx, setDropPx] = useState<number | null>(null);

  const endPull = (): void => {
    const pulled = pulledRef.current;
    pulledRef.current = null;
    if (pulled !== null && pulled.nowPx !== pulled.heightPx) onResize(pulled.laneId, pulled.nowPx, true);
  };
  const onLift = (event: PointerEvent<HTMLElement>): void => {
    const lifted = liftedRef.current;
    if (lifted === null || (lifted.place === null && Math.abs(event.clientY - lifted.fromY) < DRAG_SLOP_PX)) return;
    const stageTop = event.currentTarget.parentElement?.getBoundingClientRect().top ?? 0;
    const y = (event.clientY - stageTop) / drawnScale(event.currentTarget);
    const place = layout.lanes.filter((box) => box.topPx + box.heightPx / 2 < y).length;
    lifted.place = place;
    const box = layout.lanes[place];
    const last = layout.lanes[layout.lanes.length - 1];
    setDropPx(box !== undefined ? box.topPx - 4 : last === undefined ? null : last.topPx + last.heightPx + 3);
  };
  const endLift = (isDropped: boolean): void => {
    const lifted = liftedRef.current;
    liftedRef.current = null;
    setDropPx(null);
    if (!isDropped || lifted === null || lifted.place === null) return;
    const before = layout.lanes[lifted.place]?.lane.laneId ?? null;
    const at = layout.lanes.findIndex(({ lane }) => lane.laneId === lifted.laneId);
    if (lifted.place !== at && lifted.place !== at + 1) onMove(lifted.laneId, before);
  };
  const edge = ({ lane, topPx, heightPx }: LaneBox): JSX.Element => (
    <div
      key={`edge ${lane.laneId}`} className="tl-lane-edge" style={{ top: topPx + heightPx - 1, height: EDGE_PX, width: layout.widthPx }} title={`Lower edge of ${lane.title}: drag to resize`}
      onPointerDown={(event) => {
        event.currentTarget.setPointerCapture(event.pointerId);
        pulledRef.current = { laneId: lane.laneId, fromY: event.clientY, heightPx, nowPx: heightPx };
      }}
      onPointerMove={(event) => {
        const pulled = pulledRef.current;
        if (pulled === null) return;
        pulled.nowPx = Math.round(Math.max(LANE_HEIGHT_PX.least, Math.min(LANE_HEIGHT_PX.most, pulled.heightPx + (event.clientY - pulled.fromY) / drawnScale(event.currentTarget))));
        onResize(pulled.laneId, pulled.nowPx, false);
      }}
      onPointerUp={endPull}
      onPointerCancel={endPull}
      onDoubleClick={() => onResize(lane.laneId, null, true)}
    />
  );
  return (
    <div className="tl-grips" aria-hidden="true">
      {layout.lanes.map(({ lane, topPx, heightPx }) => (
        <div
          key={lane.laneId} className="tl-lane-grip" title={`${lane.title}: drag to move the lane`} style={{ top: topPx, height: heightPx, width: layout.plotLeftPx - 30 }}
          onPointerDown={(event) => {
            // A finger here scrolls.
            if (event.pointerType === 'touch' || event.button !== 0) return;
            event.currentTarget.setPointerCapture(event.pointerId);
            liftedRef.current = { laneId: lane.laneId, fromY: event.clientY, place: null };
          }}
          onPointerMove={onLift}
          onPointerUp={() => endLift(true)}
          onPointerCancel={() => endLift(false)}
        />
      ))}
      {layout.lanes.map(edge)}
      {dropPx === null ? null : <div className="tl-lane-drop" style={{ top: dropPx, width: layout.widthPx }} />}
    </div>
  );
}
