import { useId, useState, type JSX, type ReactNode, type SyntheticEvent } from 'react';
import { describeProblem, type Problem } from '../../state/problem.ts';
import { Button } from '../../widgets/button.tsx';
import { Dialog } from '../../widgets/dialog.tsx';
import { Notice } from '../../widgets/notice.tsx';

export interface FormDialogProps {
  readonly title: string;
  /** What the button says, and what it says while it works. */
  readonly does: string;
  readonly doing: string;
  readonly isUsable: boolean;
  /** Does it; a rejection is shown and the dialog stays. */
  readonly act: () => Promise<unknown>;
  /** Called when it is done. */
  readonly onDone: () => void;
  readonly onClose: () => void;
  readonly children: ReactNode;
}

/** Returns a dialog around a form, which Enter sends. */
export function FormDialog({ title, does, doing, isUsable, act, onDone, onClose, children }: FormDialogProps): JSX.Element {
  const formId = useId();
  const [isWorking, setIsWorking] = useState(false);
  const [problem, setProblem] = useState<Problem | null>(null);
  const submit = (event: SyntheticEvent): void => {
    event.preventDefault();
    if (!isUsable || isWorking) return;
    setIsWorking(true);
    setProblem(null);
    act().then(onDone, (error: unknown) => {
      setIsWorking(false);
      setProblem(describeProblem(error, title));
    });
  };
  return (
    <Dialog
      title={title} onClose={isWorking ? () => undefined : onClose}
      notice={problem === null ? null : <Notice tone="problem" live><p>{problem.message} {problem.remedy ?? ''}</p></Notice>}
      actions={
        <>
          <Button disabled={isWorking} onClick={onClose}>Cancel</Button>
          <Button type="submit" form={formId} look="primary" disabled={!isUsable || isWorking}>{isWorking ? doing : does}</Button>
        </>
      }
    >
      <form id={formId} className="keeping-form" onSubmit={submit}>
        {children}
      </form>
    </Dialog>
  );
}
