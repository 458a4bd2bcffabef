import { useMemo, useState, type JSX, type ReactNode } from 'react';
import { DEFAULT_COHORT_OPTIONS, EXPORT_DRAWS, type CohortOptions } from '../../../../core/model/cohort-options.ts';
import type { ReportForm } from '../../../../core/model/deck.ts';
import type { ReleaseContent } from '../../../../core/model/release.ts';
import { PAPER_NAMES } from '../../../../core/model/report-document.ts';
import { byteText, countText, numberText } from '../../../format/number-text.ts';
import { chosenAmong } from '../../../state/chosen-cases.ts';
import type { ReportWork, ReportWorkState } from '../../../state/report-work.ts';
import { useSession } from '../../../state/session.ts';
import { useStore } from '../../../state/store.ts';
import { Button } from '../../../widgets/button.tsx';
import { EmptyState, Waiting } from '../../../widgets/empty-state.tsx';
import { CheckField, ChoiceRow, TextField } from '../../../widgets/field.tsx';
import { Notice } from '../../../widgets/notice.tsx';
import { Progress } from '../../../widgets/progress.tsx';
import { ReportView } from '../../case-view/report-view.tsx';
import { ReleaseDialog, type ReleaseForm } from '../../release/release-dialog.tsx';
import '../../case-view/report-view.css';
import './reports.css';
import { bytesOf, saveBundle } from './save-bundle.ts';

const DAY = /^\d{4}-\d{2}-\d{2}$/;
/** Nothing of a patient may stand in the name of a file. */
const DEPARTMENT_FILE = 'department-report';

/** Which cases a report is made of, as it is entered. */
interface Period {
  readonly from: string;
  readonly to: string;
  readonly keepUndated: boolean;
  readonly isChosen: boolean;
}

/** Returns the reports over cases: the report of a department, and the research bundle. */
export function ReportsPanel(): JSX.Element {
  const session = useSession();
  const library = useStore(session.library);
  const cases = useMemo(() => (library.kind === 'ready' ? library.cases : []), [library]);
  return (
    <div className="page reports">
      <h1>Reports</h1>
      {library.kind === 'loading' ? <Waiting>Reading the library…</Waiting> : null}
      {library.kind === 'failed' ? <Notice tone="problem" title="The library could not be read." live><p>{library.problem.message} {library.problem.remedy ?? ''}</p></Notice> : null}
      {library.kind === 'ready' && cases.length === 0 ? (
        <EmptyState title="No case to report on" actions={<Button look="primary" onClick={() => session.place.set('import')}>Take in files</Button>}>
          <p>Here a department’s report and a research bundle are made of many cases. The library has no case yet. The sheet of one case is made where the case is open.</p>
        </EmptyState>
      ) : null}
      {library.kind === 'ready' && cases.length > 0 ? <Made caseCount={cases.length} /> : null}
    </div>
  );
}

function Made({ caseCount }: { readonly caseCount: number }): JSX.Element {
  const session = useSession();
  const { department, bundle } = session.reports;
  const library = useStore(session.library);
  const chosen = useStore(session.chosen);
  const [period, setPeriod] = useState<Period>({ from: '', to: '', keepUndated: true, isChosen: false });
  const picked = useMemo(() => (library.kind === 'ready' ? chosenAmong(library.cases, chosen).map(({ caseKey }) => caseKey) : []), [library, chosen]);
  const isChosen = period.isChosen && picked.length > 0;
  const fault = period.from !== '' && period.to !== '' && period.from > period.to ? 'the last day lies before the first' : null;
  const change = (next: Partial<Period>): void => {
    setPeriod({ ...period, ...next });
    // What was made is of other cases now: it must not be saved as if it were of these.
    department.forget();
    bundle.forget();
  };
  const caseKeys = isChosen ? picked : null;
  const options: CohortOptions = { ...DEFAULT_COHORT_OPTIONS, draws: EXPORT_DRAWS, choice: { facets: [], from: DAY.test(period.from) ? period.from : null, to: DAY.test(period.to) ? period.to : null, keepUndated: period.keepUndated } };
  return (
    <>
      <section aria-labelledby="reports-cases" className="reports-cases">
        <h2 id="reports-cases">Of which cases</h2>
        <ChoiceRow
          legend="Cases" legendHidden value={isChosen ? 'chosen' : 'library'}
          choices={[{ value: 'library', label: `All ${numberText(caseCount)} of the library` }, { value: 'chosen', label: picked.length === 0 ? 'Those chosen in the library (none yet)' : `The ${numberText(picked.length)} chosen in the library` }]}
          onChange={(value) => {
            if (value === 'chosen' && picked.length === 0) session.place.set('library');
            change({ isChosen: value === 'chosen' });
          }}
        />
        <div className="reports-controls">
          <TextField label="First day" type="date" value={period.from} onChange={(from) => change({ from })} />
          <TextField label="Last day" type="date" value={period.to} error={fault} onChange={(to) => change({ to })} />
          {period.from === '' && period.to === '' ? null : <CheckField label="cases without a date too" checked={period.keepUndated} onChange={(keepUndated) => change({ keepUndated })} />}
        </div>
      </section>
      <DepartmentPart caseKeys={caseKeys} options={options} isFaulty={fault !== null} />
      <BundlePart caseKeys={caseKeys} options={options} isFaulty={fault !== null} />
    </>
  );
}

interface PartProps {
  readonly caseKeys: readonly string[] | null;
  readonly options: CohortOptions;
  readonly isFaulty: boolean;
}

function DepartmentPart({ caseKeys, options, isFaulty }: PartProps): JSX.Element {
  const session = useSession();
  const { department } = session.reports;
  const state = useStore(department);
  const { paper } = useStore(session.preferences);
  const [withReaders, setWithReaders] = useState(false);
  const [isLeaving, setIsLeaving] = useState(false);
  const made = state.kind === 'made' ? state.made : null;
  const document = made?.document ?? null;
  const content = useMemo((): ReleaseContent | null => (document === null ? null : { kind: 'report', document }), [document]);
  const form = (label: string, wanted: ReportForm): ReleaseForm => ({
    label,
    write: (answers) => (document === null ? Promise.reject(new Error('nothing was made')) : session.host.writeReport({ document, answers, form: wanted, fileName: DEPARTMENT_FILE })),
  });
  return (
    <section aria-labelledby="reports-department">
      {isLeaving && content !== null ? <ReleaseDialog title="Department report: what would go out" content={content} forms={[form('Save as PDF', 'pdf'), form('Save as HTML', 'html')]} onClose={() => setIsLeaving(false)} /> : null}
      <h2 id="reports-department">Department report</h2>
      <p className="soft">How often and how long information was lost, whether it changes, what preceded it, which cases deserve to be discussed; with its definition, the quality of the data and the cautions.</p>
      <div className="reports-controls">
        <ChoiceRow
          legend="Paper" value={paper} choices={PAPER_NAMES.map((name) => ({ value: name, label: name }))}
          onChange={(value) => {
            const found = PAPER_NAMES.find((name) => name === value);
            if (found === undefined) return;
            department.forget();
            session.preferences.change({ paper: found });
          }}
        />
        <CheckField label="losses that readers confirmed beside the computed ones" checked={withReaders} onChange={(next) => {
          department.forget();
          setWithReaders(next);
        }} />
      </div>
      <Work work={department} state={state} isFaulty={isFaulty} make="Make the report" making="Working out the report" onMake={() => void department.make({ caseKeys, options: { ...options, dropouts: withReaders ? 'both' : 'computed' }, paper })} />
      {made === null ? null : (
        <>
          <Notice tone="caution"><p>Below is every word that will be written. Read it before you pass it on: names that were not recognised and rare procedures may still point to a person, and it names months.</p></Notice>
          {made.notInFont === '' ? null : <Notice tone="caution"><p>The PDF shows □ for characters that its font does not have: {made.notInFont}. The HTML has them.</p></Notice>}
          <div className="reports-controls">
            <Button look="primary" onClick={() => setIsLeaving(true)}>Check the words and save…</Button>
            <span className="soft" role="status">PDF of {countText(made.pages, 'page', 'pages')}, {byteText(bytesOf(made.pdfBase64).byteLength)}; HTML that needs no network, {byteText(new Blob([made.html]).size)}.</span>
          </div>
          <ReportView document={made.document} />
        </>
      )}
    </section>
  );
}

function BundlePart({ caseKeys, options, isFaulty }: PartProps): JSX.Element {
  const session = useSession();
  const { bundle } = session.reports;
  const state = useStore(bundle);
  const [relativeTime, setRelativeTime] = useState(false);
  const [robustness, setRobustness] = useState(false);
  const made = state.kind === 'made' ? state.made : null;
  const hasDays = options.choice.from !== null || options.choice.to !== null;
  return (
    <section aria-labelledby="reports-bundle">
      <h2 id="reports-bundle">Research bundle</h2>
      <p className="soft">Every table as CSV and Parquet, with the dictionary, the text of the methods, the flow of cases and the digest of every file, as one zip archive. What readers said is not in it: the run without a window takes that from a signed file. That run also makes a bundle that can be made anew from the input files and compared byte by byte.</p>
      <div className="reports-controls">
        <CheckField label="times from the first row of each case only: no date, no clock" checked={relativeTime} onChange={(next) => {
          bundle.forget();
          setRelativeTime(next);
        }} />
        <CheckField label="every case under other definitions too (takes long)" checked={robustness} onChange={(next) => {
          bundle.forget();
          setRobustness(next);
        }} />
      </div>
      {relativeTime && hasDays ? <p className="soft">First and last day would name days: choose the cases in the library instead, or let the bundle hold days.</p> : null}
      <Work work={bundle} state={state} isFaulty={isFaulty || (relativeTime && hasDays)} make="Make the bundle" making="Working out the results" onMake={() => void bundle.make({ caseKeys, options, relativeTime, robustness })} />
      {made === null ? null : (
        <>
          <Notice tone="caution"><p>A person has to look every file through before it is passed on. Names, record numbers and the like were left out where they were recognised; recognition misses some.</p></Notice>
          <div className="reports-controls">
            <Button look="primary" onClick={() => saveBundle(made)}>Save as .zip</Button>
            <span className="soft" role="status">{countText(made.files.length, 'file', 'files')} of {countText(made.cases, 'case', 'cases')}, {byteText(bytesOf(made.base64).byteLength)}.</span>
          </div>
          {made.leftOut.length === 0 ? null : <Notice tone="caution" title={`${countText(made.leftOut.length, 'case', 'cases')} could not be read:`}><ul>{made.leftOut.map(({ caseId, reason }) => <li key={caseId}>{caseId}: {reason}</li>)}</ul></Notice>}
          <details className="reports-files"><summary>The files in it</summary><ul>{made.files.map((name) => <li key={name}>{name}</li>)}</ul></details>
        </>
      )}
    </section>
  );
}

/** Returns the button that makes something, how far it is, and what came of it where that is nothing. */
function Work<A, T>({ work, state, isFaulty, make, making, onMake }: { readonly work: ReportWork<A, T>; readonly state: ReportWorkState<T>; readonly isFaulty: boolean; readonly make: string; readonly making: string; readonly onMake: () => void }): ReactNode {
  if (state.kind === 'working') {
    return (
      <div className="reports-work">
        {state.stage === 'reading' ? <Progress label={state.total === 0 ? 'Reading cases' : `Read ${numberText(state.done)} of ${countText(state.total, 'case', 'cases')}`} done={state.done} total={state.total} /> : <Progress label={making} done={state.done} total={state.total} />}
        <Button onClick={work.cancel}>Cancel</Button>
      </div>
    );
  }
  return (
    <>
      {state.kind === 'failed' ? <Notice tone="problem" title={state.problem.message} live>{state.problem.remedy === null ? null : <p>{state.problem.remedy}</p>}</Notice> : null}
      {state.kind === 'cancelled' ? <p className="soft" role="status">The work was cancelled; nothing was made.</p> : null}
      {state.kind === 'made' ? null : <Button look={state.kind === 'none' ? 'primary' : 'quiet'} disabled={isFaulty} onClick={onMake}>{make}</Button>}
    </>
  );
}
