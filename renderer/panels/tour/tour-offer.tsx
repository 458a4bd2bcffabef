import type { JSX } from 'react';
import { isSampleCase } from '../../../core/model/sample-cases.ts';
import type { CaseSummary } from '../../../core/protocol/host-api.ts';
import { useSession } from '../../state/session.ts';
import { useStore } from '../../state/store.ts';
import { beginTour } from '../../state/tour.ts';
import { Button } from '../../widgets/button.tsx';
import { Notice } from '../../widgets/notice.tsx';
import { LAST_STEP, stepAt } from './tour-steps.ts';

export interface TourButtonsProps {
  /** Called when a button was pressed, before the first step. */
  readonly onBegin?: () => void;
  readonly look?: 'plain' | 'primary';
}

/** Returns the ways into the steps: to begin, to go on where they were left, or to begin anew. While they are under way, that they are. */
export function TourButtons({ onBegin, look = 'plain' }: TourButtonsProps): JSX.Element {
  const session = useSession();
  const { tour } = useStore(session.preferences);
  const begin = (fromStart: boolean): void => {
    onBegin?.();
    beginTour(session.preferences, fromStart);
  };
  if (tour.state === 'running') return <span className="soft">The steps are under way: they stand beneath the names of the places.</span>;
  if (tour.state === 'left') {
    return (
      <>
        <Button look={look} onClick={() => begin(false)}>Go on with step {stepAt(tour.stepId) + 1} of {LAST_STEP}</Button>
        <Button look="quiet" onClick={() => begin(true)}>From the first step</Button>
      </>
    );
  }
  return <Button look={look} onClick={() => begin(true)}>{tour.state === 'done' ? 'Learn by doing, once more' : 'Learn by doing'}</Button>;
}

/** Returns the offer of the steps over a library of nothing but sample cases, until it was answered once. */
export function TourOffer({ cases }: { readonly cases: readonly CaseSummary[] }): JSX.Element | null {
  const session = useSession();
  const { tour } = useStore(session.preferences);
  if (tour.state !== 'new' || !cases.every(({ caseId }) => isSampleCase(caseId))) return null;
  return (
    <Notice tone="note" title="New here? Learn by doing." isOnlyOnScreen>
      <p>{LAST_STEP} small steps on these invented cases; each says what to press and goes on when it is done.</p>
      <div className="row">
        <TourButtons look="primary" />
        <Button look="link" onClick={() => session.preferences.change({ tour: { state: 'later', stepId: '' } })}>Not now</Button>
      </div>
    </Notice>
  );
}
