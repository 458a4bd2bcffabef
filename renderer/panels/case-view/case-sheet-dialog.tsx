import { useEffect, useMemo, useState, type JSX } from 'react';
import type { ReportForm } from '../../../core/model/deck.ts';
import type { ReleaseContent } from '../../../core/model/release.ts';
import { PAPER_NAMES } from '../../../core/model/report-document.ts';
import type { AnalysisParameters } from '../../../core/model/parameters.ts';
import type { MadeReport } from '../../../core/protocol/host-api.ts';
import { byteText } from '../../format/number-text.ts';
import { readingOf } from '../../state/preferences.ts';
import { describeProblem, type Problem } from '../../state/problem.ts';
import { useSession } from '../../state/session.ts';
import { useStore } from '../../state/store.ts';
import { Button } from '../../widgets/button.tsx';
import { Dialog } from '../../widgets/dialog.tsx';
import { Waiting } from '../../widgets/empty-state.tsx';
import { CheckField, ChoiceRow } from '../../widgets/field.tsx';
import { Notice } from '../../widgets/notice.tsx';
import { ConfidentialityField } from '../release/confidentiality-field.tsx';
import { ReleaseDialog, type ReleaseForm } from '../release/release-dialog.tsx';
import { ReportView } from './report-view.tsx';
import './report-view.css';

export interface CaseSheetDialogProps {
  readonly caseKey: string;
  readonly parameters: AnalysisParameters;
  readonly onClose: () => void;
}

type Sheet = { readonly kind: 'making' } | { readonly kind: 'made'; readonly made: MadeReport } | { readonly kind: 'failed'; readonly problem: Problem };

/** Nothing of a patient may stand in the name of a file, so every sheet has the same. */
const FILE_NAME = 'case-sheet';

/** Returns the dialog in which a case sheet is looked at before it is saved: everything that would be written is in it. */
export function CaseSheetDialog({ caseKey, parameters, onClose }: CaseSheetDialogProps): JSX.Element {
  const { host, preferences, reportSetting } = useSession();
  const shown = useStore(preferences);
  const { paper } = shown;
  const { isBlinded } = readingOf(shown);
  const { confidentialityText } = useStore(reportSetting);
  const [isLeaving, setIsLeaving] = useState(false);
  const [relativeTime, setRelativeTime] = useState(false);
  const [sheet, setSheet] = useState<Sheet>({ kind: 'making' });
  const [attempt, setAttempt] = useState(1);

  useEffect(() => {
    let isCurrent = true;
    setSheet({ kind: 'making' });
    host.caseSheet({ caseKey, parameters, wishes: { header: confidentialityText, paper, relativeTime }, view: { by: shown.reader, blinded: isBlinded } }).then(
      (made) => {
        if (isCurrent) setSheet({ kind: 'made', made });
      },
      (error: unknown) => {
        if (isCurrent) setSheet({ kind: 'failed', problem: describeProblem(error, 'The case sheet could not be made') });
      },
    );
    return () => {
      isCurrent = false;
    };
  }, [host, caseKey, parameters, confidentialityText, paper, relativeTime, shown.reader, isBlinded, attempt]);

  const made = sheet.kind === 'made' ? sheet.made : null;
  const document = made?.document ?? null;
  const content = useMemo((): ReleaseContent | null => (document === null ? null : { kind: 'report', document }), [document]);
  if (isLeaving && content?.kind === 'report') {
    const form = (label: string, wanted: ReportForm): ReleaseForm => ({ label, write: (answers) => host.writeReport({ document: content.document, answers, form: wanted, fileName: FILE_NAME, caseKeys: [caseKey] }) });
    return <ReleaseDialog title="Case sheet: what would go out" content={content} forms={[form('Save as PDF', 'pdf'), form('Save as HTML', 'html')]} onClose={() => setIsLeaving(false)} />;
  }
  return (
    <Dialog
      title="Case sheet" width="wide" onClose={onClose}
      actions={
        <>
          <Button onClick={onClose}>Close</Button>
          <Button look="primary" disabled={made === null} onClick={() => setIsLeaving(true)}>Check the words and save…</Button>
        </>
      }
    >
      <div className="sheet-wishes">
        <ConfidentialityField />
        <ChoiceRow
          legend="Paper" value={paper} choices={PAPER_NAMES.map((name) => ({ value: name, label: name }))}
          onChange={(value) => {
            const chosen = PAPER_NAMES.find((name) => name === value);
            if (chosen !== undefined) preferences.change({ paper: chosen });
          }}
        />
        <CheckField label="times from the first row only: no date, no clock" checked={relativeTime} onChange={setRelativeTime} />
      </div>
      <Notice tone="caution"><p>Below is the sheet as it would be written. Every word of it is listed before it is saved, and what may identify somebody is asked about; rare procedures may still point to a person.</p></Notice>
      {made !== null && made.notInFont !== '' ? <Notice tone="caution"><p>The PDF shows □ for characters that its font does not have: {made.notInFont}. The HTML has them.</p></Notice> : null}
      {sheet.kind === 'making' ? <Waiting>Making the sheet…</Waiting> : null}
      {sheet.kind === 'failed' ? <Notice tone="problem" title={sheet.problem.message} live>{sheet.problem.remedy === null ? null : <p>{sheet.problem.remedy}</p>}<Button onClick={() => setAttempt(attempt + 1)}>Try again</Button></Notice> : null}
      {made === null ? null : (
        <>
          <p className="soft only-screen" role="status">PDF of {made.pages === 1 ? 'one page' : `${made.pages} pages`}, {byteText(bytesOf(made.pdfBase64).byteLength)}; HTML that needs no network, {byteText(new Blob([made.html]).size)}. Saved as {FILE_NAME}.pdf and {FILE_NAME}.html: no name of a case stands in the name of a file.</p>
          <ReportView document={made.document} />
        </>
      )}
    </Dialog>
  );
}

function bytesOf(base64: string): Uint8Array<ArrayBuffer> {
  return Uint8Array.from(atob(base64), (sign) => sign.charCodeAt(0));
}
