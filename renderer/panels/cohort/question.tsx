import { useId, type JSX, type ReactNode } from 'react';

export interface QuestionProps {
  /** As the people who ask it say it. */
  readonly heading: string;
  /** The answer in a sentence or two, each figure with its interval and number. */
  readonly answer: ReactNode;
  readonly children?: ReactNode;
}

/** Returns a question with its answer, and beneath what the answer rests on. */
export function Question({ heading, answer, children }: QuestionProps): JSX.Element {
  const id = useId();
  return (
    <section className="question" aria-labelledby={id}>
      <h2 id={id}>{heading}</h2>
      <div className="answer">{typeof answer === 'string' ? <p>{answer}</p> : answer}</div>
      {children}
    </section>
  );
}
