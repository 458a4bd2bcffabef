import { useState, type JSX } from 'react';
import type { LedgerRows, LedgerRun } from '../../../core/model/ledger.ts';
import { countText, numberText } from '../../format/number-text.ts';
import { describeProblem } from '../../state/problem.ts';
import { useSession } from '../../state/session.ts';
import { Button } from '../../widgets/button.tsx';
import { Disclosure } from '../../widgets/disclosure.tsx';
import { reasonGroups, type ReasonGroup } from './ledger-text.ts';
import { TakeAgainDialog } from './take-again-dialog.tsx';

/** Returns the rejected rows of a reading by reason, each group with its rows on request, and the way to take them in again. */
export function RejectedRows({ run }: { readonly run: LedgerRun }): JSX.Element {
  const [isChoosing, setIsChoosing] = useState(false);
  const groups = reasonGroups(run.files);
  const total = groups.reduce((sum, { count }) => sum + count, 0);
  return (
    <section>
      <h2>Rejected rows</h2>
      {total === 0 ? <p>No row was rejected.</p> : (
        <>
          <p>
            {countText(total, 'row', 'rows')} for {countText(groups.length, 'reason', 'reasons')}; {run.rowsKept === total ? 'all are kept in the ledger with their text' : `the first ${numberText(run.rowsKept)} are kept in the ledger with their text, all are counted`}.
          </p>
          <div className="row"><Button look="primary" onClick={() => setIsChoosing(true)}>Correct the mapping and take them in again…</Button></div>
          {groups.map((group) => <Group key={group.reason} group={group} run={run} />)}
        </>
      )}
      {isChoosing ? <TakeAgainDialog run={run} onClose={() => setIsChoosing(false)} /> : null}
    </section>
  );
}

function Group({ group, run }: { readonly group: ReasonGroup; readonly run: LedgerRun }): JSX.Element {
  return (
    <Disclosure summary={<>{countText(group.count, 'row', 'rows')}: {group.reason}</>}>
      {group.files.map(({ file, count, firstLine }) => (
        <FileRows key={file} run={run} file={file} reason={group.reason} heading={`${file}: ${countText(count, 'row', 'rows')}, first at line ${numberText(firstLine)}`} />
      ))}
    </Disclosure>
  );
}

interface FileRowsProps {
  readonly run: LedgerRun;
  readonly file: string;
  readonly reason: string;
  readonly heading: string;
}

function FileRows({ run, file, reason, heading }: FileRowsProps): JSX.Element {
  const session = useSession();
  const [found, setFound] = useState<LedgerRows | null>(null);
  const [problem, setProblem] = useState<string | null>(null);
  const more = async (): Promise<void> => {
    try {
      const next = await session.host.ledgerRows({ importId: run.importId, run: run.run, file, reason, from: found?.rows.length ?? 0 });
      setFound({ rows: [...(found?.rows ?? []), ...next.rows], kept: next.kept });
      setProblem(null);
    } catch (error) {
      setProblem(describeProblem(error, 'Reading the rows').message);
    }
  };
  return (
    <div className="ledger-rows">
      <h3 className="small-heading">{heading}</h3>
      {found === null || found.rows.length === 0 ? null : (
        <table className="plain-table rejected-table">
          <thead><tr><th scope="col" className="align-right">Line</th><th scope="col">The row as it stands</th></tr></thead>
          <tbody>{found.rows.map(({ line, row }, i) => <tr key={i}><td className="align-right">{numberText(line)}</td><td><code>{row}</code></td></tr>)}</tbody>
        </table>
      )}
      {problem === null ? null : <p className="concern" role="alert">{problem}</p>}
      {found === null || found.rows.length >= found.kept ? null : <p className="soft only-paper">Not on this sheet: {countText(found.kept - found.rows.length, 'further row that is', 'further rows that are')} kept. “Show more” in the window brings them.</p>}
      {found === null ? <p className="soft only-paper">The rows are not on this sheet. “Show the rows” in the window brings them.</p> : null}
      {found !== null && found.rows.length >= found.kept ? <p className="soft">{found.kept === 0 ? 'Of these no row is kept with its text.' : 'These are all that are kept.'}</p> : (
        <Button onClick={() => void more()} aria-label={`${found === null ? 'Show the rows' : moreText(found)} of ${file}: ${reason}`}>{found === null ? 'Show the rows' : moreText(found)}</Button>
      )}
    </div>
  );
}

function moreText({ rows, kept }: LedgerRows): string {
  return `Show more (${numberText(rows.length)} of ${numberText(kept)} shown)`;
}
