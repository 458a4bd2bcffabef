import { useCallback, type JSX, type KeyboardEvent, type ReactNode, type ThHTMLAttributes } from 'react';
import { helpGroupOf, helpsIn, siblingsOf } from './figure-at.ts';
import { FIGURES, type FigureId } from './figure-register.ts';
import { useHelp } from './help-store.ts';
import './figure-help.css';

/**
 * Returns the small control that opens the page of a figure. Those of one heading row, list of terms or marked group are one
 * stop for the Tab key: arrows, Home and End move between them. Without a window's help around it, nothing.
 */
export function FigureHelp({ figure }: { readonly figure: FigureId }): JSX.Element | null {
  const help = useHelp();
  // Which of a row is the stop is kept in the page itself: the row's cells do not know of one another.
  const join = useCallback((control: HTMLButtonElement | null): (() => void) | undefined => {
    if (control === null) return undefined;
    const group = helpGroupOf(control);
    if (group === null || !helpsIn(group).some((other) => other.tabIndex === 0)) control.tabIndex = 0;
    return () => {
      const next = group === null ? undefined : helpsIn(group).find((other) => other !== control);
      if (control.tabIndex === 0 && next !== undefined) next.tabIndex = 0;
    };
  }, []);
  if (help === null) return null;
  return (
    <button
      type="button" ref={join} tabIndex={-1} className="figure-help" data-figure={figure}
      aria-label={`How is ‘${FIGURES[figure].name}’ worked out?`} title={`How is ‘${FIGURES[figure].name}’ worked out? (F1)`}
      onClick={(event) => {
        event.stopPropagation();
        help.openFigure(figure, siblingsOf(event.currentTarget), event.currentTarget);
      }}
      onDoubleClick={(event) => event.stopPropagation()}
      onKeyDown={walk}
    />
  );
}

const STEPS: Readonly<Record<string, (at: number, count: number) => number>> = {
  ArrowRight: (at, count) => Math.min(count - 1, at + 1),
  ArrowDown: (at, count) => Math.min(count - 1, at + 1),
  ArrowLeft: (at) => Math.max(0, at - 1),
  ArrowUp: (at) => Math.max(0, at - 1),
  Home: () => 0,
  End: (_at, count) => count - 1,
};

function walk(event: KeyboardEvent<HTMLButtonElement>): void {
  const step = STEPS[event.key];
  const group = helpGroupOf(event.currentTarget);
  if (step === undefined || group === null || event.altKey || event.ctrlKey || event.metaKey) return;
  const controls = helpsIn(group);
  const next = controls[step(controls.indexOf(event.currentTarget), controls.length)];
  event.preventDefault();
  event.stopPropagation();
  if (next === undefined || next === event.currentTarget) return;
  event.currentTarget.tabIndex = -1;
  next.tabIndex = 0;
  next.focus();
}

export interface FigureHeadProps extends Omit<ThHTMLAttributes<HTMLTableCellElement>, 'children'> {
  readonly figure: FigureId;
  readonly children: ReactNode;
}

/** Returns the heading of a column, or of a row, of figures, with the control that opens its page. What reads it out at every cell reads its words alone. */
export function FigureHead({ figure, children, scope = 'col', ...rest }: FigureHeadProps): JSX.Element {
  return <th {...rest} scope={scope} aria-label={wordsOf(children)}>{children}<FigureHelp figure={figure} /></th>;
}

/** Returns the term of a list of figures, with the control that opens its page. */
export function FigureTerm({ figure, children }: { readonly figure: FigureId; readonly children: ReactNode }): JSX.Element {
  return <dt>{children}<FigureHelp figure={figure} /></dt>;
}

/** Returns the words of a heading that is made of texts and numbers; undefined where a part draws itself and is to be read as it stands. */
export function wordsOf(children: ReactNode): string | undefined {
  if (typeof children === 'string' || typeof children === 'number') return String(children);
  if (children === null || children === undefined || typeof children === 'boolean') return '';
  if (!Array.isArray(children)) return undefined;
  const parts = children.map(wordsOf);
  return parts.includes(undefined) ? undefined : parts.join('');
}
