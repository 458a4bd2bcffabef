import type { ReactNode } from 'react';
import { countText, numberText } from '../../../format/number-text.ts';
import type { WorkOverCases, WorkOverCasesState } from '../../../state/work-over-cases.ts';
import { Button } from '../../../widgets/button.tsx';
import { Notice } from '../../../widgets/notice.tsx';
import { Progress } from '../../../widgets/progress.tsx';

/** Returns the button that makes something, how far it is, and what came of it where that is nothing. */
export function Work<A, T>({ work, state, isFaulty, make, making, onMake }: { readonly work: WorkOverCases<A, T>; readonly state: WorkOverCasesState<T>; readonly isFaulty: boolean; readonly make: string; readonly making: string; readonly onMake: () => void }): ReactNode {
  if (state.kind === 'working') {
    return (
      <div className="reports-work">
        {state.stage === 'reading' ? <Progress label={state.total === 0 ? 'Reading cases' : `Read ${numberText(state.done)} of ${countText(state.total, 'case', 'cases')}`} done={state.done} total={state.total} /> : <Progress label={making} done={state.done} total={state.total} />}
        <Button onClick={work.cancel}>Cancel</Button>
      </div>
    );
  }
  return (
    <>
      {state.kind === 'failed' ? <Notice tone="problem" title={state.problem.message} live>{state.problem.remedy === null ? null : <p>{state.problem.remedy}</p>}</Notice> : null}
      {state.kind === 'cancelled' ? <p className="soft" role="status">The work was cancelled; nothing was made.</p> : null}
      {state.kind === 'made' ? null : <Button look={state.kind === 'none' ? 'primary' : 'plain'} disabled={isFaulty} onClick={onMake}>{make}</Button>}
    </>
  );
}
