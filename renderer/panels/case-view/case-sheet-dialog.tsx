import { useEffect, useState, type JSX } from 'react';
import { MOST_HEADER_CHARACTERS, PAPER_NAMES } from '../../../core/model/report-document.ts';
import type { AnalysisParameters } from '../../../core/model/parameters.ts';
import type { MadeReport } from '../../../core/protocol/host-api.ts';
import { saveFile } from '../../charts/save-file.ts';
import { byteText } from '../../format/number-text.ts';
import { describeProblem, type Problem } from '../../state/problem.ts';
import { useSession } from '../../state/session.ts';
import { useStore } from '../../state/store.ts';
import { Button } from '../../widgets/button.tsx';
import { Dialog } from '../../widgets/dialog.tsx';
import { Waiting } from '../../widgets/empty-state.tsx';
import { CheckField, ChoiceRow, TextField } from '../../widgets/field.tsx';
import { Notice } from '../../widgets/notice.tsx';
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
  const { host, preferences } = useSession();
  const { reportHeader, paper } = useStore(preferences);
  const [header, setHeader] = useState(reportHeader);
  const [relativeTime, setRelativeTime] = useState(false);
  const [sheet, setSheet] = useState<Sheet>({ kind: 'making' });

  useEffect(() => {
    let isCurrent = true;
    setSheet({ kind: 'making' });
    host.caseSheet({ caseKey, parameters, wishes: { header: reportHeader, paper, relativeTime } }).then(
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
  }, [host, caseKey, parameters, reportHeader, paper, relativeTime]);

  const made = sheet.kind === 'made' ? sheet.made : null;
  const headerFault = header.length > MOST_HEADER_CHARACTERS ? `it has to fit on one line, ${MOST_HEADER_CHARACTERS} characters at most` : null;
  return (
    <Dialog
      title="Case sheet" width="wide" onClose={onClose}
      actions={
        <>
          <Button look="primary" disabled={made === null} onClick={() => {
            if (made !== null) saveFile(`${FILE_NAME}.pdf`, new Blob([bytesOf(made.pdfBase64)], { type: 'application/pdf' }));
          }}>
            Save as PDF
          </Button>
          <Button disabled={made === null} onClick={() => {
            if (made !== null) saveFile(`${FILE_NAME}.html`, new Blob([made.html], { type: 'text/html' }));
          }}>
            Save as HTML
          </Button>
          <Button onClick={onClose}>Close</Button>
        </>
      }
    >
      <div className="sheet-wishes">
        <TextField
          label="Printed on every page" value={header} error={headerFault} onChange={setHeader}
          hint="As local policy words it; empty for none. It creates no legal protection."
        />
        <Button disabled={headerFault !== null || header.trim() === reportHeader} onClick={() => preferences.change({ reportHeader: header.trim() })}>Use this text</Button>
        <ChoiceRow
          legend="Paper" value={paper} choices={PAPER_NAMES.map((name) => ({ value: name, label: name }))}
          onChange={(value) => {
            const chosen = PAPER_NAMES.find((name) => name === value);
            if (chosen !== undefined) preferences.change({ paper: chosen });
          }}
        />
        <CheckField label="times from the first row only: no date, no clock" checked={relativeTime} onChange={setRelativeTime} />
      </div>
      <Notice tone="caution"><p>Below is every word that will be written. Read it before you pass it on: names that were not recognised, free text and rare procedures may still point to a person.</p></Notice>
      {made !== null && made.notInFont !== '' ? <Notice tone="caution"><p>The PDF shows □ for characters that its font does not have: {made.notInFont}. The HTML has them.</p></Notice> : null}
      {sheet.kind === 'making' ? <Waiting>Making the sheet…</Waiting> : null}
      {sheet.kind === 'failed' ? <Notice tone="problem" title={sheet.problem.message} live>{sheet.problem.remedy === null ? null : <p>{sheet.problem.remedy}</p>}</Notice> : null}
      {made === null ? null : (
        <>
          <p className="soft" role="status">PDF of {made.pages === 1 ? 'one page' : `${made.pages} pages`}, {byteText(bytesOf(made.pdfBase64).byteLength)}; HTML that needs no network, {byteText(new Blob([made.html]).size)}. Saved as {FILE_NAME}.pdf and {FILE_NAME}.html: no name of a case stands in the name of a file.</p>
          <ReportView document={made.document} />
        </>
      )}
    </Dialog>
  );
}

function bytesOf(base64: string): Uint8Array<ArrayBuffer> {
  return Uint8Array.from(atob(base64), (sign) => sign.charCodeAt(0));
}
