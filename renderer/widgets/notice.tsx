import { useEffect, useRef, type JSX, type ReactNode } from 'react';

export interface NoticeProps {
  readonly tone: 'note' | 'caution' | 'problem';
  readonly title?: string | undefined;
  readonly children: ReactNode;
  /** Whether it is read out when it appears. */
  readonly live?: boolean | undefined;
  /** It asks for something to be done here, which says nothing on paper. */
  readonly isOnlyOnScreen?: boolean | undefined;
}

const SIGN = { note: 'i', caution: '!', problem: '×' } as const;

/** Returns a boxed remark; its tone shows in sign and words, not in colour alone. What went wrong is brought into sight when it appears. */
export function Notice({ tone, title, children, live = false, isOnlyOnScreen = false }: NoticeProps): JSX.Element {
  const ref = useRef<HTMLDivElement>(null);
  const goesWrong = live && tone === 'problem';
  useEffect(() => {
    if (goesWrong) ref.current?.scrollIntoView({ block: 'nearest' });
  }, [goesWrong]);
  return (
    <div ref={ref} className={`notice notice-${tone}${isOnlyOnScreen ? ' only-screen' : ''}`} role={live ? (tone === 'problem' ? 'alert' : 'status') : undefined}>
      <span className="notice-sign" aria-hidden="true">{SIGN[tone]}</span>
      <div className="notice-text">
        {title === undefined ? null : <strong className="notice-title">{title}</strong>}
        {children}
      </div>
    </div>
  );
}
