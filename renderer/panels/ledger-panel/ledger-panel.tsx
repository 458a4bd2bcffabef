import { useEffect, useState, type JSX } from 'react';
import type { LedgerLine } from '../../../core/model/ledger.ts';
import { numberText } from '../../format/number-text.ts';
import { instantText } from '../../format/time-text.ts';
import { FigureHead } from '../../help/figure-help.tsx';
import { useSession } from '../../state/session.ts';
import { useStore } from '../../state/store.ts';
import { Button } from '../../widgets/button.tsx';
import { EmptyState, Waiting } from '../../widgets/empty-state.tsx';
import { Notice } from '../../widgets/notice.tsx';
import { LedgerImportView } from './ledger-import.tsx';
import { casesText, namesText, stateText } from './ledger-text.ts';
import { MoreRows } from '../../widgets/more-rows.tsx';

/** Imports listed at first, and added by each "show more". */
const LINES_SHOWN = 100;

/** Returns the ledger: every import of this library, or one of them opened. */
export function LedgerPanel(): JSX.Element {
  const session = useSession();
  const state = useStore(session.ledger);
  useEffect(() => {
    if (session.ledger.get().kind === 'closed') void session.ledger.showList();
  }, [session]);
  switch (state.kind) {
    case 'closed':
    case 'loading':
      return <div className="page"><h1>Ledger</h1><Waiting>Reading the ledger…</Waiting></div>;
    case 'failed':
      return (
        <div className="page">
          <h1>Ledger</h1>
          <Notice tone="problem" title={state.isList ? 'The ledger could not be read.' : 'This import could not be read in the ledger.'} live>
            <p>{state.problem.message} {state.problem.remedy ?? ''}</p>
            <div className="row">
              <Button onClick={() => void session.ledger.refresh()}>Try again</Button>
              {state.isList ? null : <Button onClick={() => void session.ledger.showList()}>Back to the list</Button>}
            </div>
          </Notice>
        </div>
      );
    case 'list':
      return <LedgerList lines={state.lines} />;
    case 'import':
      return <LedgerImportView key={state.opened.line.importId} opened={state.opened} />;
  }
}

function LedgerList({ lines }: { readonly lines: readonly LedgerLine[] }): JSX.Element {
  const session = useSession();
  const [shown, setShown] = useState(LINES_SHOWN);
  return (
    <div className="page ledger">
      <h1>Ledger</h1>
      <p className="soft">What was taken in: which files, what their rows became, what was rejected and why, what was guessed and what a person said instead. Nothing is ever taken out of it.</p>
      {lines.length === 0 ? (
        <EmptyState title="Nothing was imported yet"><p>Every import leaves an entry here, also one that was cancelled or did not go through.</p></EmptyState>
      ) : (
        <div className="grid-scroll">
          <table className="plain-table">
            <thead>
              <tr>
                <th scope="col">When</th><th scope="col">Files</th><FigureHead figure="ledger" className="align-right">Rows read</FigureHead><FigureHead figure="ledger" className="align-right">Accepted</FigureHead><FigureHead figure="rejected-rows" className="align-right">Rejected</FigureHead>
                <FigureHead figure="ledger">Cases</FigureHead><FigureHead figure="ledger" className="align-right">Overruled</FigureHead><FigureHead figure="ledger">How it ended</FigureHead><th scope="col"><span className="visually-hidden">Open</span></th>
              </tr>
            </thead>
            <tbody>
              {lines.slice(0, shown).map((line) => (
                <tr key={line.importId} data-import={line.importId}>
                  <th scope="row" className="unbroken">{instantText(line.firstAt)}</th>
                  <td><span>{namesText(line)}</span>{line.filesFailed > 0 ? <>{' '}<span className="concern">{numberText(line.filesFailed)} could not be read</span></> : null}</td>
                  <td className="align-right">{numberText(line.rowsRead)}</td>
                  <td className="align-right">{numberText(line.rowsAccepted)}</td>
                  <td className="align-right">{numberText(line.rowsRejected)}</td>
                  <td className="ledger-cases">{casesText(line)}</td>
                  <td className="align-right">{numberText(line.overruled)}</td>
                  <td>{line.state === 'complete' ? stateText(line) : <span className="concern">{stateText(line)}</span>}</td>
                  <td><Button onClick={() => void session.ledger.open(line.importId, null)} aria-label={`Open the import of ${instantText(line.firstAt)}: ${namesText(line)}`}>Open</Button></td>
                </tr>
              ))}
            </tbody>
          </table>
        </div>
      )}
      <MoreRows missing={lines.length - shown} onMore={() => setShown(shown + LINES_SHOWN)}>Show more</MoreRows>
    </div>
  );
}
