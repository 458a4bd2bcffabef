import { useId, type JSX, type ReactNode } from 'react';
import { FigureHelp } from '../../help/figure-help.tsx';
import type { FigureId } from '../../help/figure-register.ts';

export interface QuestionProps {
  /** As the people who ask it say it. */
  readonly heading: string;
  /** What the answer's figures are. */
  readonly figure: FigureId;
  /** The answer in a sentence or two, each figure with its interval and number. */
  readonly answer: ReactNode;
  /** Nothing is answered, only what has to be done for it is said: no sheet of paper needs that. */
  readonly isOnlyOnScreen?: boolean | undefined;
  readonly children?: ReactNode;
}

/** Returns a question with its answer, and beneath what the answer rests on. */
export function Question({ heading, figure, answer, isOnlyOnScreen = false, children }: QuestionProps): JSX.Element {
  const id = useId();
  return (
    <section className={`question${isOnlyOnScreen ? ' only-screen' : ''}`} data-figures aria-labelledby={id}>
      <h2 className="question-heading"><span id={id}>{heading}</span><FigureHelp figure={figure} /></h2>
      <div className="answer">{typeof answer === 'string' ? <p>{answer}</p> : answer}</div>
      {children}
    </section>
  );
}
