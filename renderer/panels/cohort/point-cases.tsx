import { useState, type JSX } from 'react';
import { countText, numberText } from '../../format/number-text.ts';
import { FigureHead } from '../../help/figure-help.tsx';
import { useSession } from '../../state/session.ts';
import { Button } from '../../widgets/button.tsx';
import { Dialog } from '../../widgets/dialog.tsx';
import { MoreRows } from '../../widgets/more-rows.tsx';

/** One case behind a point. */
export interface PointCase {
  readonly caseKey: string;
  readonly caseId: string;
  /** What it adds to the point. */
  readonly figure: string;
}

/** A point that was pressed, with its cases. */
export interface OpenPoint {
  readonly title: string;
  readonly cases: readonly PointCase[];
}

const CASES_SHOWN = 100;

/** Returns the cases behind a point; one press opens a case, another chooses all of them in the library. */
export function PointCases({ point, onClose }: { readonly point: OpenPoint; readonly onClose: () => void }): JSX.Element {
  const session = useSession();
  const [shown, setShown] = useState(CASES_SHOWN);
  return (
    <Dialog
      title={point.title} onClose={onClose} width="wide"
      actions={
        <>
          <Button look="primary" onClick={onClose}>Close</Button>
          {point.cases.length === 0 ? null : (
            <Button
              onClick={() => {
                session.chosen.clear();
                session.chosen.add(point.cases.map((one) => one.caseKey));
                session.messages.add('note', `${countText(point.cases.length, 'case is', 'cases are')} chosen in the library.`);
                onClose();
              }}
            >
              Choose these in the library
            </Button>
          )}
        </>
      }
    >
      <p>{countText(point.cases.length, 'case', 'cases')}.</p>
      {point.cases.length === 0 ? null : (
        <table className="plain-table point-cases">
          <caption className="visually-hidden">{point.title}</caption>
          <thead><tr><th scope="col">Case</th><FigureHead figure="case-in-cohort">What it adds</FigureHead></tr></thead>
          <tbody>
            {point.cases.slice(0, shown).map((one, i) => (
              <tr key={`${one.caseKey} ${i}`}>
                <th scope="row"><button type="button" className="case-link" onClick={() => session.openCase(one.caseKey)}>{one.caseId}</button></th>
                <td>{one.figure}</td>
              </tr>
            ))}
          </tbody>
        </table>
      )}
      <MoreRows missing={point.cases.length - shown} onMore={() => setShown(shown + CASES_SHOWN)}>Show more ({numberText(point.cases.length - shown)} further cases)</MoreRows>
    </Dialog>
  );
}
