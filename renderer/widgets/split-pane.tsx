import { useRef, type JSX, type ReactNode } from 'react';

export interface SplitPaneProps {
  readonly label: string;
  /** Share of the width that the first part takes. */
  readonly share: number;
  readonly min: number;
  readonly max: number;
  readonly onShare: (share: number) => void;
  readonly first: ReactNode;
  readonly second: ReactNode;
}

const KEY_STEP = 0.02;

/** Returns two parts side by side with a border that moves by pointer and by arrow keys. */
export function SplitPane({ label, share, min, max, onShare, first, second }: SplitPaneProps): JSX.Element {
  const ref = useRef<HTMLDivElement>(null);
  const clip = (value: number): number => Math.min(max, Math.max(min, value));
  return (
    <div className="split" ref={ref} style={{ gridTemplateColumns: `minmax(0, ${share}fr) 9px minmax(0, ${1 - share}fr)` }}>
      <div className="split-part">{first}</div>
      <div
        role="separator" aria-orientation="vertical" aria-label={label} tabIndex={0} className="split-border"
        aria-valuenow={Math.round(share * 100)} aria-valuemin={Math.round(min * 100)} aria-valuemax={Math.round(max * 100)}
        onKeyDown={(event) => {
          if (event.key === 'ArrowLeft') onShare(clip(share - KEY_STEP));
          else if (event.key === 'ArrowRight') onShare(clip(share + KEY_STEP));
          else if (event.key === 'Home') onShare(min);
          else if (event.key === 'End') onShare(max);
          else return;
          event.preventDefault();
          event.stopPropagation();
        }}
        onPointerDown={(event) => {
          event.currentTarget.setPointerCapture(event.pointerId);
          event.preventDefault();
        }}
        onPointerMove={(event) => {
          const box = ref.current?.getBoundingClientRect();
          if (box === undefined || !event.currentTarget.hasPointerCapture(event.pointerId)) return;
          onShare(clip((event.clientX - box.left) / box.width));
        }}
      />
      <div className="split-part">{second}</div>
    </div>
  );
}
