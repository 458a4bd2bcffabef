import { useEffect, useRef, useState, type JSX } from 'react';
import { useHelp } from '../../help/help-store.ts';
import { describeProblem } from '../../state/problem.ts';
import { useSession, type Session } from '../../state/session.ts';
import { useStore } from '../../state/store.ts';
import { goToStep, leaveTour } from '../../state/tour.ts';
import { Button } from '../../widgets/button.tsx';
import { useFacts } from './tour-facts.ts';
import { asksFirst, LAST_STEP, stepAt, TOUR_STEPS, type TourFacts } from './tour-steps.ts';
import './tour.css';

/**
 * Returns the bar of the steps: between the places and what they show, so that it hides nothing. It watches what is done and goes on by
 * itself; it takes no focus and stops nothing.
 */
export function TourBar(): JSX.Element | null {
  const session = useSession();
  const help = useHelp();
  const { tour } = useStore(session.preferences);
  const facts = useFacts(session, help);
  const at = stepAt(tour.stepId);
  const step = TOUR_STEPS[at];
  const stepId = step?.stepId ?? '';
  const begunRef = useRef<{ readonly stepId: string; readonly facts: TourFacts } | null>(null);
  const [done, setDone] = useState<string | null>(null);
  const [agreed, setAgreed] = useState<string | null>(null);
  const [isAdding, setIsAdding] = useState(false);

  useEffect(() => {
    if (step === undefined) return;
    if (begunRef.current?.stepId !== stepId) begunRef.current = { stepId, facts };
    if (!step.isDone(facts, begunRef.current.facts)) return;
    setDone(step.title);
    goOn(session, at);
  }, [session, step, stepId, at, facts]);

  // What the step is about is marked where it stands, by the style sheet.
  useEffect(() => {
    document.documentElement.dataset['tour'] = stepId;
    return () => {
      delete document.documentElement.dataset['tour'];
    };
  }, [stepId]);

  if (step === undefined) return null;
  const mustAsk = asksFirst(step, facts) && agreed !== stepId;
  const addSamples = async (): Promise<void> => {
    setIsAdding(true);
    try {
      await session.host.importSamples();
    } catch (error) {
      const { message, remedy } = describeProblem(error, 'Adding the sample cases');
      session.messages.add('problem', [message, remedy].filter((part) => part !== null).join(' '));
    }
    setIsAdding(false);
  };
  const skip = (): void => {
    setDone(null);
    goOn(session, at);
  };
  return (
    <section className="tour-bar" aria-label="Learn by doing">
      <p className="tour-place">
        <span className="soft">Learn by doing</span>
        <strong>{at + 1} of {LAST_STEP}</strong>
      </p>
      <div className="tour-step" role="status" aria-live="polite">
        {done === null ? null : <span className="tour-done">✓ {done}. </span>}
        <strong className="tour-title">{step.title}.</strong> {step.text(facts)}{' '}
        {mustAsk ? <span className="tour-press">{facts.openCaseId} is no sample case: a verdict on it would be a real one. Open a sample case for this, or skip it.</span> : <span className="tour-press">{step.press(facts)}</span>}
      </div>
      <div className="tour-acts">
        {stepId === 'samples' ? <Button look="primary" disabled={isAdding} onClick={() => void addSamples()}>{isAdding ? 'Adding…' : facts.others === 0 ? 'Add the sample cases' : 'Add the sample cases here'}</Button> : null}
        {mustAsk ? <Button onClick={() => setAgreed(stepId)}>It is a real verdict: go on</Button> : null}
        <Button look="quiet" onClick={skip}>{at + 1 === LAST_STEP ? 'Skip and end' : 'Skip this'}</Button>
        <Button look="quiet" onClick={() => leaveTour(session.preferences)}>Leave</Button>
      </div>
    </section>
  );
}

/** Goes from step `at` to the next; after the last one says where to go from here. */
function goOn(session: Session, at: number): void {
  const next = TOUR_STEPS[at + 1]?.stepId ?? null;
  goToStep(session.preferences, next);
  if (next === null) session.messages.add('note', 'Those were the steps. Your own records come in under Import; sample cases can be removed from the library one by one. The steps stay under Keys and About.');
}
