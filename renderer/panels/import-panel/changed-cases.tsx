import { useState, type JSX } from 'react';
import type { ChangeDecision, ChangedCase, ImportResult } from '../../../core/protocol/host-api.ts';
import { countText } from '../../format/number-text.ts';
import { FigureHead } from '../../help/figure-help.tsx';
import { useSession } from '../../state/session.ts';
import { Button } from '../../widgets/button.tsx';
import { Dialog } from '../../widgets/dialog.tsx';
import { ChangeDialog } from './change-dialog.tsx';
import { changeCountsText, decisionText } from './change-text.ts';
import { MoreRows } from '../../widgets/more-rows.tsx';

/** Cases listed at first, and added by each "show more". */
const CASES_SHOWN = 100;

/** Returns the cases that the library holds with other content, each with what differs and the decision about it. */
export function ChangedCases({ result, isDeciding }: { readonly result: ImportResult; readonly isDeciding: boolean }): JSX.Element {
  const session = useSession();
  const [openKey, setOpenKey] = useState<string | null>(null);
  const [isReplacingAll, setIsReplacingAll] = useState(false);
  const [shown, setShown] = useState(CASES_SHOWN);
  const { changed } = result;
  const open = changed.find(({ caseKey }) => caseKey === openKey);
  const waiting = changed.filter(({ decision }) => decision === null);
  const decideAll = (cases: readonly ChangedCase[], decision: Exclude<ChangeDecision, 'keep both'>): void => {
    setIsReplacingAll(false);
    void session.imports.decide(cases.map(({ caseKey }) => ({ caseKey, decision, storeAs: null })));
  };
  return (
    <section className="changed-cases">
      <h2>Known cases with other content</h2>
      <p>
        {countText(changed.length, 'case is', 'cases are')} in the library under the same name with other content. Nothing is replaced before you say so
        {waiting.length === 0 ? '; all are decided.' : `; ${countText(waiting.length, 'waits', 'wait')} for your decision.`}
      </p>
      <div className="grid-scroll">
        <table className="plain-table">
          <thead><tr><th scope="col">Case</th><FigureHead figure="updated-export">What differs</FigureHead><th scope="col">So far</th><th scope="col"><span className="visually-hidden">Decide</span></th></tr></thead>
          <tbody>
            {changed.slice(0, shown).map((change) => (
              <tr key={change.caseKey}>
                <th scope="row">{change.caseId}</th>
                <td>{changeCountsText(change)}</td>
                <td>{change.decision === null ? <span className="concern">{decisionText(change)}</span> : decisionText(change)}</td>
                <td><Button disabled={isDeciding} onClick={() => setOpenKey(change.caseKey)} aria-label={`${change.decision === null ? 'Look and decide…' : 'Look again…'} ${change.caseId}`}>{change.decision === null ? 'Look and decide…' : 'Look again…'}</Button></td>
              </tr>
            ))}
          </tbody>
        </table>
      </div>
      <MoreRows missing={changed.length - shown} onMore={() => setShown(shown + CASES_SHOWN)}>Show more</MoreRows>
      {waiting.length > 1 ? (
        <div className="row">
          <Button disabled={isDeciding} onClick={() => decideAll(waiting, 'keep old')}>Keep the library’s {waiting.length}</Button>
          <Button disabled={isDeciding} onClick={() => setIsReplacingAll(true)}>Replace all {waiting.length}…</Button>
        </div>
      ) : null}
      {open === undefined ? null : (
        <ChangeDialog
          key={open.caseKey} importId={result.importId} change={open} onClose={() => setOpenKey(null)}
          onDecide={(choice) => {
            setOpenKey(null);
            void session.imports.decide([choice]);
          }}
        />
      )}
      {isReplacingAll ? (
        <Dialog
          title={`Replace ${waiting.length} cases?`} onClose={() => setIsReplacingAll(false)}
          actions={<><Button onClick={() => setIsReplacingAll(false)}>Go back</Button><Button look="primary" onClick={() => decideAll(waiting, 'replace')}>Replace them</Button></>}
        >
          <p>The new reading takes the place of each. What was noted about them stays. Until you leave this report each can be brought back.</p>
          <ul className="notes">{waiting.slice(0, CASES_SHOWN).map((change) => <li key={change.caseKey}>{change.caseId}: {changeCountsText(change)}</li>)}</ul>
          {waiting.length > CASES_SHOWN ? <p className="soft">and {waiting.length - CASES_SHOWN} more</p> : null}
        </Dialog>
      ) : null}
    </section>
  );
}
