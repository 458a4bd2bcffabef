import { useMemo, useState, type JSX } from 'react';
import { DEFAULT_COHORT_OPTIONS, EXPORT_DRAWS, type CohortOptions } from '../../../../core/model/cohort-options.ts';
import { numberText } from '../../../format/number-text.ts';
import { chosenAmong } from '../../../state/chosen-cases.ts';
import { useSession } from '../../../state/session.ts';
import { useStore } from '../../../state/store.ts';
import { Button } from '../../../widgets/button.tsx';
import { Disclosure } from '../../../widgets/disclosure.tsx';
import { EmptyState, Waiting } from '../../../widgets/empty-state.tsx';
import { CheckField, ChoiceRow, TextField } from '../../../widgets/field.tsx';
import { Notice } from '../../../widgets/notice.tsx';
import { ConfidentialityField } from '../../release/confidentiality-field.tsx';
import { BundlePart } from './bundle-part.tsx';
import { DepartmentPart } from './department-part.tsx';
import './reports.css';
import { SheetsPart } from './sheets-part.tsx';

const DAY = /^\d{4}-\d{2}-\d{2}$/;
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
      {library.kind === 'failed' ? <Notice tone="problem" title="The library could not be read." live><p>{library.problem.message} {library.problem.remedy ?? ''}</p><Button onClick={() => void session.library.reload()}>Try again</Button></Notice> : null}
      {library.kind === 'ready' && cases.length === 0 ? (
        <EmptyState title="No case to report on" actions={<Button look="primary" onClick={() => session.place.set('import')}>Import records…</Button>}>
          <p>Here a department’s report, a research bundle and sheets of chosen cases are made. The library has no case yet. The sheet of one case is also made where the case is open.</p>
        </EmptyState>
      ) : null}
      {library.kind === 'ready' && cases.length > 0 ? <><Parts /><Made caseCount={cases.length} /><SheetsPart cases={cases} /></> : null}
    </div>
  );
}

const PARTS = [['reports-department', 'Department report'], ['reports-bundle', 'Research bundle'], ['reports-sheets', 'Case sheets']] as const;

/** What is made is long: the way to each part past the others. */
function Parts(): JSX.Element {
  const goTo = (id: string): void => {
    const heading = document.getElementById(id);
    heading?.scrollIntoView({ block: 'start' });
    heading?.focus();
  };
  return (
    <nav className="reports-parts" aria-label="Parts of this page">
      {PARTS.map(([id, name]) => <Button key={id} look="link" onClick={() => goTo(id)}>{name}</Button>)}
    </nav>
  );
}

function Made({ caseCount }: { readonly caseCount: number }): JSX.Element {
  const session = useSession();
  const { department, bundle } = session.reports;
  const library = useStore(session.library);
  const chosen = useStore(session.chosen);
  const { confidentialityText } = useStore(session.reportSetting);
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
        <div className="reports-controls reports-days">
          <TextField label="First day" type="date" value={period.from} onChange={(from) => change({ from })} />
          <TextField label="Last day" type="date" value={period.to} error={fault} onChange={(to) => change({ to })} />
          {period.from === '' && period.to === '' ? null : <CheckField label="cases without a date too" checked={period.keepUndated} onChange={(keepUndated) => change({ keepUndated })} />}
        </div>
        <Disclosure summary={`Printed on every page: ${confidentialityText === '' ? 'no confidentiality text' : `“${confidentialityText}”`}`}>
          <div className="sheet-wishes"><ConfidentialityField /></div>
        </Disclosure>
      </section>
      <DepartmentPart caseKeys={caseKeys} options={options} isFaulty={fault !== null} />
      <BundlePart caseKeys={caseKeys} options={options} isFaulty={fault !== null} />
    </>
  );
}
