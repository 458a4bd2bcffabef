import { useState, type JSX } from 'react';
import type { CaseReview } from '../../../core/model/review.ts';
import { useSession } from '../../state/session.ts';
import { useStore } from '../../state/store.ts';
import { Button } from '../../widgets/button.tsx';
import { Dialog } from '../../widgets/dialog.tsx';

/** Returns the question whether a reader wants to see what others said, with what follows from it. */
export function RevealDialog({ review, onClose }: { readonly review: CaseReview; readonly onClose: () => void }): JSX.Element {
  const session = useSession();
  const saving = useStore(session.review.saving);
  const [isAsked, setIsAsked] = useState(false);
  const reveal = async (): Promise<void> => {
    setIsAsked(true);
    if (await session.review.reveal()) onClose();
  };
  const failed = isAsked && saving.kind === 'failed' && saving.what.act === 'revealed' ? saving.problem : null;
  return (
    <Dialog
      title="Show what others said of this case?" onClose={onClose}
      actions={
        <>
          <Button onClick={onClose}>Keep reading blinded</Button>
          <Button look="primary" disabled={saving.kind === 'saving'} onClick={() => void reveal()}>Show it</Button>
        </>
      }
    >
      <p>You then see the verdicts of {review.hidden.join(', ')} on every dropout of {review.caseId}.</p>
      <p>
        From that moment your verdicts on this case are no blinded readings, and no agreement of blinded readers counts them. Those that you have given stay what they are.
        That you looked is written into the trail and cannot be undone.
      </p>
      {failed === null ? null : <p className="problem-line" role="alert">{failed.message} {failed.remedy ?? ''}</p>}
    </Dialog>
  );
}
