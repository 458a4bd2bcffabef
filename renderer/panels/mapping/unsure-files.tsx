import type { JSX } from 'react';
import type { FileReport } from '../../../core/model/import-report.ts';
import { countText } from '../../format/number-text.ts';
import { mergeOverrules, type OverruleSet } from '../../state/overrules.ts';
import { useSession } from '../../state/session.ts';
import { Button } from '../../widgets/button.tsx';
import { Notice } from '../../widgets/notice.tsx';

/** Files named here at most; the others are reached from their own part of the report. */
const MAX_NAMED = 5;
const MUCH_REJECTED = 5;

/**
 * Returns the files whose columns a person should look at: a table that was not understood, something read on an assumption, more
 * than a fifth of its rows rejected, or values over time without any SpO2 but with numbers that nobody recognised.
 */
export function unsureFiles(reports: readonly FileReport[]): FileReport[] {
  return reports.filter((report) => {
    if (report.failure !== null) return report.encoding !== '' && report.encoding !== 'binary' && report.layout === '';
    if (report.guesses.some((guess) => guess.certainty === 'assumed') || report.rows_rejected * MUCH_REJECTED > report.rows_read) return true;
    return report.kind === 'trends' && report.columns.some(({ quantity }) => quantity === 'other') && !report.columns.some(({ quantity }) => quantity === 'spo2');
  });
}

/** Returns the offer to look at the first rows of files whose reading is not sure; nothing where there are none. */
export function UnsureFiles({ reports, overrules }: { readonly reports: readonly FileReport[]; readonly overrules: OverruleSet }): JSX.Element | null {
  const session = useSession();
  const unsure = unsureFiles(reports);
  if (unsure.length === 0) return null;
  return (
    <Notice tone="caution" title={`${countText(unsure.length, 'file', 'files')} Lacuna is not sure of.`}>
      <p>Look at the first rows beside what they become, and say what the columns are:</p>
      <ul className="bare-list">
        {unsure.slice(0, MAX_NAMED).map(({ file }) => <li key={file}><Button look="link" onClick={() => session.desk.open(file, mergeOverrules(overrules.get(file) ?? []))}>{file}</Button></li>)}
      </ul>
      {unsure.length > MAX_NAMED ? <p>and {countText(unsure.length - MAX_NAMED, 'more', 'more')} below.</p> : null}
    </Notice>
  );
}
