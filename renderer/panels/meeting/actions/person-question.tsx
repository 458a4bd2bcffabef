import { useEffect, useRef, type JSX } from 'react';
import type { Problem } from '../../../state/problem.ts';
import { useSession } from '../../../state/session.ts';
import { Button } from '../../../widgets/button.tsx';
import { Notice } from '../../../widgets/notice.tsx';

/** Returns the question whether a text names a person, with its two answers. */
export function PersonQuestion({ question, isBusy }: { readonly question: Problem; readonly isBusy: boolean }): JSX.Element {
  const { actions } = useSession();
  const ref = useRef<HTMLDivElement>(null);
  useEffect(() => {
    ref.current?.querySelector<HTMLElement>('button')?.focus();
  }, []);
  return (
    <div ref={ref}>
      <Notice tone="caution" title={question.message} live>
        <p>{question.remedy ?? ''}</p>
        <div className="row">
          <Button look="primary" onClick={actions.takeBackQuestion}>Change the text</Button>
          <Button disabled={isBusy} onClick={() => void actions.namesNobody()}>It names nobody: keep it</Button>
        </div>
      </Notice>
    </div>
  );
}
