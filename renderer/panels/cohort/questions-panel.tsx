import { useEffect, useMemo, useState, type JSX } from 'react';
import { DEFAULT_COHORT_OPTIONS } from '../../../core/model/cohort-options.ts';
import type { CohortResults } from '../../../core/model/cohort-results.ts';
import { shortDefinitionText } from '../../format/definition-text.ts';
import { countText, numberText } from '../../format/number-text.ts';
import { chosenAmong } from '../../state/chosen-cases.ts';
import { isOfRequest, type CohortRequest } from '../../state/cohort-run.ts';
import { useSession } from '../../state/session.ts';
import { useStore } from '../../state/store.ts';
import { Button } from '../../widgets/button.tsx';
import { EmptyState, Waiting } from '../../widgets/empty-state.tsx';
import { Disclosure } from '../../widgets/disclosure.tsx';
import { ChoiceRow } from '../../widgets/field.tsx';
import { Notice } from '../../widgets/notice.tsx';
import { Progress } from '../../widgets/progress.tsx';
import { Tabs } from '../../widgets/tabs.tsx';
import { ProtocolStatement } from '../next-study/protocol-statement.tsx';
import { ChoicePart, choiceText } from './choice-part.tsx';
import { narrowings } from './choice-edit.ts';
import { facetText } from './cohort-words.ts';
import { DepartmentTab } from './department-tab.tsx';
import { FlowPart } from './flow-part.tsx';
import { LeadTab } from './lead-tab.tsx';
import { PointCases, type OpenPoint } from './point-cases.tsx';
import { ResearchTab } from './research-tab.tsx';
import { DropoutsField, ReviewPart } from './review-part.tsx';

/** Waits this long after a change of the choice, so that ticking five boxes asks once. */
const SETTLE_MS = 500;

/** Returns the questions to many cases: which cases, and what they say. */
export function QuestionsPanel(): JSX.Element {
  const session = useSession();
  const library = useStore(session.library);
  const cases = useMemo(() => (library.kind === 'ready' ? library.cases : []), [library]);
  return (
    <div className="page cohort">
      <h1>Cohort</h1>
      {library.kind === 'loading' ? <Waiting>Reading the library…</Waiting> : null}
      {library.kind === 'failed' ? <Notice tone="problem" title="The library could not be read." live><p>{library.problem.message} {library.problem.remedy ?? ''}</p></Notice> : null}
      {library.kind === 'ready' && cases.length === 0 ? (
        <EmptyState title="No case to ask" actions={<Button look="primary" onClick={() => session.place.set('import')}>Import records…</Button>}>
          <p>Here many cases are asked the same questions: how often and how long information was lost, where, after what, and when it came back. The library has no case yet.</p>
        </EmptyState>
      ) : null}
      {library.kind === 'ready' && cases.length > 0 ? <Asked caseCount={cases.length} /> : null}
    </div>
  );
}

function Asked({ caseCount }: { readonly caseCount: number }): JSX.Element {
  const session = useSession();
  const { cohort } = session;
  const library = useStore(session.library);
  const chosen = useStore(session.chosen);
  const options = useStore(cohort.options);
  const source = useStore(cohort.source);
  const state = useStore(cohort);
  const picked = useMemo(() => (library.kind === 'ready' ? chosenAmong(library.cases, chosen).map((summary) => summary.caseKey) : []), [library, chosen]);
  const isChosen = source === 'chosen' && picked.length > 0;
  const request = useMemo<CohortRequest>(() => ({ caseKeys: isChosen ? picked : null, options }), [isChosen, picked, options]);
  const isCurrent = isOfRequest(state, request);
  const isFirst = state.kind === 'none';
  useEffect(() => {
    if (isCurrent) return undefined;
    const timer = setTimeout(() => void cohort.ask(request), isFirst ? 0 : SETTLE_MS);
    return () => clearTimeout(timer);
  }, [cohort, request, isCurrent, isFirst]);
  const { results } = state;
  return (
    <>
      <div className="cohort-controls">
        <ChoiceRow
          legend="Which cases" value={isChosen ? 'chosen' : 'library'}
          choices={[{ value: 'library', label: `All ${numberText(caseCount)} of the library` }, { value: 'chosen', label: picked.length === 0 ? 'Those chosen in the library (none yet)' : `The ${numberText(picked.length)} chosen in the library` }]}
          onChange={(value) => {
            if (value === 'chosen' && picked.length === 0) session.place.set('library');
            cohort.source.set(value === 'chosen' ? 'chosen' : 'library');
          }}
        />
        <DropoutsField options={options} onOptions={cohort.options.set} />
      </div>
      <ChoicePart options={options} facets={results?.facets ?? []} onOptions={cohort.options.set} />
      {state.kind === 'working' ? (
        <div className="cohort-work">
          {state.stage === 'reading'
            ? <Progress label={`Read ${numberText(state.done)} of ${countText(Math.max(state.total, isChosen ? picked.length : caseCount), 'case', 'cases')}`} done={state.done} total={state.total} />
            : <Progress label="Working out the answers" done={state.done} total={state.total} />}
          <Button onClick={cohort.cancel}>Cancel</Button>
        </div>
      ) : null}
      {state.kind === 'cancelled' && isCurrent ? <Notice tone="note" title="The work was cancelled." live><Button onClick={() => void cohort.ask(request)}>Work out the answers</Button></Notice> : null}
      {state.kind === 'failed' && isCurrent ? (
        <Notice tone="problem" title="The answers could not be worked out." live>
          <p>{state.problem.message} {state.problem.remedy ?? ''}</p>
          <Button onClick={() => void cohort.ask(request)}>Try again</Button>
        </Notice>
      ) : null}
      {results === null ? null : <Answers results={results} isOld={state.kind !== 'ready' || !isCurrent} />}
    </>
  );
}

/** What every tab of questions gets. */
export interface TabProps {
  readonly results: CohortResults;
  readonly definition: string;
  readonly onPoint: (point: OpenPoint) => void;
}

function Answers({ results, isOld }: { readonly results: CohortResults; readonly isOld: boolean }): JSX.Element {
  const session = useSession();
  const [tab, setTab] = useState('lead');
  const [point, setPoint] = useState<OpenPoint | null>(null);
  const { flow, options, parameters } = results;
  const analysed = flow.steps.at(-1)?.cases ?? 0;
  const asked = flow.steps[0]?.cases ?? 0;
  const leftOutCount = asked - analysed;
  const definition = `${shortDefinitionText(parameters)}${results.selection === 'confirmed' ? '; dropouts that readers confirmed' : ''}`;
  const props: TabProps = { results, definition, onPoint: setPoint };
  return (
    <div className={isOld ? 'cohort-answers cohort-answers-old' : 'cohort-answers'}>
      <p className="counts" role="status">
        <strong>{analysed === 0 ? 'No case is' : countText(analysed, 'case is', 'cases are')} looked at</strong>{flow.unit === 'case' ? '' : `, of ${countText(flow.units, 'patient', 'patients')}`}: {choiceText(options.choice)}{options.groupBy === null ? '' : `; compared by ${facetText(options.groupBy)}`}.
        {' '}{leftOutCount === 0 ? `Nothing of the ${countText(asked, 'case', 'cases')} asked for is left out.` : `${numberText(leftOutCount)} of ${countText(asked, 'case', 'cases')} asked for ${leftOutCount === 1 ? 'is' : 'are'} left out.`}
        {isOld ? ' These are the answers to the question before.' : ''}
      </p>
      <Disclosure summary="Flow of cases: how many came how far, and why the others did not" isOpen={analysed === 0}><FlowPart flow={flow} onPoint={setPoint} /></Disclosure>
      {analysed === 0 ? null : <ReviewPart results={results} />}
      {analysed === 0 ? (
        <EmptyState
          title="No case is left to look at"
          actions={narrowings(options) === 0 ? undefined : <Button look="primary" onClick={() => session.cohort.options.set({ ...session.cohort.options.get(), choice: DEFAULT_COHORT_OPTIONS.choice })}>Look at every case</Button>}
        >
          <p>The flow above says why. Take more values, other days, or every case again.</p>
        </EmptyState>
      ) : (
        <Tabs
          label="Who asks" chosen={tab} onChoose={setTab}
          tabs={[
            { id: 'lead', label: 'Quality lead', content: () => <LeadTab {...props} /> },
            { id: 'department', label: 'Department', content: () => <DepartmentTab {...props} /> },
            { id: 'research', label: 'Researcher', content: () => <ResearchTab {...props} /> },
          ]}
        />
      )}
      <p className="soft cohort-made">
        Definition: {definition}. Random numbers: MT19937, seed {options.seed}, {numberText(options.draws)} draws of whole {flow.unit}s. Lacuna {results.productVersion}.
        The same cases and the same seed give the same numbers. All tables and the methods in words, with 10,000 draws: the command <code>cohort</code> of the run without a window.
      </p>
      <ProtocolStatement used={{ parameters, conf: options.conf, seed: options.seed }} />
      {point === null ? null : <PointCases point={point} onClose={() => setPoint(null)} />}
    </div>
  );
}
