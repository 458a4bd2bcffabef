import { useState, type JSX } from 'react';
import type { LibraryBackup } from '../../../core/protocol/library-calls.ts';
import { byteText } from '../../format/number-text.ts';
import { instantText } from '../../format/time-text.ts';
import { FigureHead } from '../../help/figure-help.tsx';
import { Button } from '../../widgets/button.tsx';
import { FormDialog } from './form-dialog.tsx';

export interface BackupTableProps {
  readonly backups: readonly LibraryBackup[];
  /** Puts one in the place of the library; the page begins anew then. */
  readonly restore: (backup: LibraryBackup) => Promise<unknown>;
}

/** Returns the backups of a library, the newest first, each with the way to put it back. */
export function BackupTable({ backups, restore }: BackupTableProps): JSX.Element {
  const [chosen, setChosen] = useState<LibraryBackup | null>(null);
  return (
    <>
      <div className="grid-scroll">
        <table className="plain-table">
          <thead><tr><FigureHead figure="backups">Made</FigureHead><FigureHead figure="backups" className="align-right">Size</FigureHead><FigureHead figure="backups">Verified</FigureHead><th scope="col"><span className="visually-hidden">Restore</span></th></tr></thead>
          <tbody>
            {backups.map((backup) => (
              <tr key={backup.at}>
                <th scope="row" className="figure">{instantText(backup.at)}</th>
                <td className="align-right">{byteText(backup.byteLength)}</td>
                <td>yes, opened and read through when it was made</td>
                <td><Button className="only-screen" aria-label={`Restore the backup of ${instantText(backup.at)}`} onClick={() => setChosen(backup)}>Restore…</Button></td>
              </tr>
            ))}
          </tbody>
        </table>
      </div>
      {chosen === null ? null : (
        <FormDialog title={`Restore the backup of ${instantText(chosen.at)}?`} does="Restore it" doing="Reading it through…" isUsable act={() => restore(chosen)} onDone={() => setChosen(null)} onClose={() => setChosen(null)}>
          <p>It is copied, opened and read through, and then takes the place of the library. What came in after it is not in it: records can be imported again, verdicts, notes, stories and actions given since cannot.</p>
          <p>Nothing is thrown away: the library as it is now is kept beside it, under a name with “before” and the time, until you remove it.</p>
        </FormDialog>
      )}
    </>
  );
}
