import { useMemo, useState, type JSX } from 'react';
import type { ReportForm } from '../../../../core/model/deck.ts';
import type { ReleaseContent } from '../../../../core/model/release.ts';
import { byteText, countText } from '../../../format/number-text.ts';
import { readingOf } from '../../../state/preferences.ts';
import { useSession } from '../../../state/session.ts';
import { useStore } from '../../../state/store.ts';
import { Button } from '../../../widgets/button.tsx';
import { CheckField } from '../../../widgets/field.tsx';
import { Notice } from '../../../widgets/notice.tsx';
import { ReportView } from '../../case-view/report-view.tsx';
import { ReleaseDialog, type ReleaseForm } from '../../release/release-dialog.tsx';
import '../../case-view/report-view.css';
import { PaperChoice } from './paper-choice.tsx';
import type { PartProps } from './part-props.ts';
import { bytesOf } from './save-bundle.ts';
import { useHasVerdicts } from './use-has-verdicts.ts';
import { Work } from './work.tsx';

/** Nothing of a patient may stand in the name of a file. */
const DEPARTMENT_FILE = 'department-report';

/** Returns the report of a department: made, looked at, and saved once its words are answered. */
export function DepartmentPart({ caseKeys, options, isFaulty }: PartProps): JSX.Element {
  const session = useSession();
  const { department } = session.reports;
  const state = useStore(department);
  const preferences = useStore(session.preferences);
  const { paper } = preferences;
  const { isBlinded } = readingOf(preferences);
  const hasVerdicts = useHasVerdicts(caseKeys);
  const [isWithReaders, setIsWithReaders] = useState<boolean | null>(null);
  const withReaders = isWithReaders ?? hasVerdicts;
  const [isLeaving, setIsLeaving] = useState(false);
  const made = state.kind === 'made' ? state.made : null;
  const document = made?.document ?? null;
  const content = useMemo((): ReleaseContent | null => (document === null ? null : { kind: 'report', document }), [document]);
  const form = (label: string, wanted: ReportForm): ReleaseForm => ({
    label,
    write: (answers) => (document === null ? Promise.reject(new Error('nothing was made')) : session.host.writeReport({ document, answers, form: wanted, fileName: DEPARTMENT_FILE, caseKeys })),
  });
  return (
    <section aria-labelledby="reports-department">
      {isLeaving && content !== null ? <ReleaseDialog title="Department report: what would go out" content={content} forms={[form('Save as PDF', 'pdf'), form('Save as HTML', 'html')]} onClose={() => setIsLeaving(false)} /> : null}
      <h2 id="reports-department" tabIndex={-1}>Department report</h2>
      <p className="soft">How often and how long information was lost, whether it changes, what preceded it, which cases deserve to be discussed; with its definition, the quality of the data and the cautions.</p>
      <div className="reports-controls">
        <PaperChoice />
        <CheckField label="what readers said: confirmed losses, and how far two readers agree" checked={withReaders} onChange={(next) => {
          department.forget();
          setIsWithReaders(next);
        }} />
      </div>
      {withReaders && isBlinded ? <p className="soft">You read blinded: agreement is told only of cases that you have read or revealed. <Button look="link" onClick={() => session.place.set('review')}>Change how you read</Button></p> : null}
      <Work work={department} state={state} isFaulty={isFaulty} make="Make the report" making="Working out the report" onMake={() => void department.make({ caseKeys, options: { ...options, dropouts: withReaders ? 'both' : 'computed' }, paper })} />
      {made === null ? null : (
        <>
          <Notice tone="caution"><p>Below is every word that will be written. Read it before you pass it on: names that were not recognised and rare procedures may still point to a person, and it names months.</p></Notice>
          {made.notInFont === '' ? null : <Notice tone="caution"><p>The PDF shows □ for characters that its font does not have: {made.notInFont}. The HTML has them.</p></Notice>}
          <div className="reports-controls">
            <Button look="primary" onClick={() => setIsLeaving(true)}>Check the words and save…</Button>
            <Button onClick={() => session.writeAction({ kind: 'report', title: `${made.document.title}: ${made.document.subtitle}` })}>Write an action…</Button>
            <span className="soft" role="status">PDF of {countText(made.pages, 'page', 'pages')}, {byteText(bytesOf(made.pdfBase64).byteLength)}; HTML that needs no network, {byteText(new Blob([made.html]).size)}.</span>
          </div>
          <ReportView document={made.document} />
        </>
      )}
    </section>
  );
}
