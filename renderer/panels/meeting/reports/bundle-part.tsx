import { useMemo, useState, type JSX } from 'react';
import { byteText, countText } from '../../../format/number-text.ts';
import { readingOf } from '../../../state/preferences.ts';
import { useSession } from '../../../state/session.ts';
import { useStore } from '../../../state/store.ts';
import { Button } from '../../../widgets/button.tsx';
import { CheckField } from '../../../widgets/field.tsx';
import { Notice } from '../../../widgets/notice.tsx';
import { ReleaseDialog, type LeavingContent } from '../../release/release-dialog.tsx';
import type { PartProps } from './part-props.ts';
import { useHasVerdicts } from './use-has-verdicts.ts';
import { Work } from './work.tsx';

/** Returns the research bundle. */
export function BundlePart({ caseKeys, options, isFaulty }: PartProps): JSX.Element {
  const session = useSession();
  const { bundle } = session.reports;
  const state = useStore(bundle);
  const [relativeTime, setRelativeTime] = useState(false);
  const [robustness, setRobustness] = useState(false);
  const hasVerdicts = useHasVerdicts(caseKeys);
  const [isWithReviews, setIsWithReviews] = useState<boolean | null>(null);
  const withReviews = isWithReviews ?? hasVerdicts;
  const { isBlinded } = readingOf(useStore(session.preferences));
  const [isLeaving, setIsLeaving] = useState(false);
  const made = state.kind === 'made' ? state.made : null;
  const bundleId = made?.bundleId ?? null;
  const content = useMemo((): LeavingContent | null => (bundleId === null ? null : { kind: 'bundle', bundleId }), [bundleId]);
  const hasDays = options.choice.from !== null || options.choice.to !== null;
  return (
    <section aria-labelledby="reports-bundle">
      {isLeaving && content?.kind === 'bundle' ? <ReleaseDialog title="Research bundle: what would go out" content={content} forms={[{ label: 'Save as .zip', write: (answers) => session.host.writeBundle({ bundleId: content.bundleId, answers }) }]} onClose={() => setIsLeaving(false)} /> : null}
      <h2 id="reports-bundle" tabIndex={-1}>Research bundle</h2>
      <p className="soft">Every table as CSV and Parquet, with the dictionary, the text of the methods, the flow of cases and the digest of every file, as one zip archive. Without the window (bundle verify) it is made anew from this library and compared byte by byte; a bundle made without the window, from its input files.</p>
      <div className="reports-controls">
        <CheckField label="times from the first row of each case only: no date, no clock" checked={relativeTime} onChange={(next) => {
          bundle.forget();
          setRelativeTime(next);
        }} />
        <CheckField label="what readers said: verdicts, confirmed figures" checked={withReviews} onChange={(next) => {
          bundle.forget();
          setIsWithReviews(next);
        }} />
        <CheckField label="every case under other definitions too (takes long)" checked={robustness} onChange={(next) => {
          bundle.forget();
          setRobustness(next);
        }} />
      </div>
      {withReviews ? <p className="soft">{hasVerdicts ? 'Codes stand for the names of readers, and their free text stays here; when they said it is in the table of reviews.' : 'Nobody has said anything of these cases yet: the tables of reviews are going to be empty.'}{isBlinded ? ' You read blinded: verdicts of others stand open in it, also of cases that you have not read.' : ''}</p> : null}
      {relativeTime && hasDays ? <p className="soft">First and last day would name days: choose the cases in the library instead, or let the bundle hold days.</p> : null}
      <Work work={bundle} state={state} isFaulty={isFaulty || (relativeTime && hasDays)} make="Make the bundle" making="Working out the results" onMake={() => void bundle.make({ caseKeys, options: { ...options, dropouts: withReviews ? 'both' : 'computed' }, relativeTime, robustness, withReviews })} />
      {made === null ? null : (
        <>
          <Notice tone="caution"><p>Every word, date and code of it is listed before it is saved. Names, record numbers and the like were left out where they were recognised; recognition misses some, so a person has to look every file through before it is passed on.</p></Notice>
          <div className="reports-controls">
            <Button look="primary" onClick={() => setIsLeaving(true)}>Check the words and save…</Button>
            <span className="soft" role="status">{countText(made.files.length, 'file', 'files')} of {countText(made.cases, 'case', 'cases')}, {byteText(made.byteLength)}.</span>
          </div>
          {made.leftOut.length === 0 ? null : <Notice tone="caution" title={`${countText(made.leftOut.length, 'case', 'cases')} could not be read:`}><ul>{made.leftOut.map(({ caseId, reason }) => <li key={caseId}>{caseId}: {reason}</li>)}</ul></Notice>}
          <details className="reports-files"><summary>The files in it</summary><ul>{made.files.map((name) => <li key={name}>{name}</li>)}</ul></details>
        </>
      )}
    </section>
  );
}
