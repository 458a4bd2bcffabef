import { useMemo, useState, type JSX } from 'react';
import { DEFAULT_NEXT_STUDY, type NextStudyOptions } from '../../../core/model/next-study.ts';
import type { CaseSummary } from '../../../core/protocol/host-api.ts';
import { countText, numberText } from '../../format/number-text.ts';
import { chosenAmong } from '../../state/chosen-cases.ts';
import { useSession } from '../../state/session.ts';
import { useStore } from '../../state/store.ts';
import { Button } from '../../widgets/button.tsx';
import { EmptyState, Waiting } from '../../widgets/empty-state.tsx';
import { ChoiceRow } from '../../widgets/field.tsx';
import { Notice } from '../../widgets/notice.tsx';
import { Progress } from '../../widgets/progress.tsx';
import { Tabs } from '../../widgets/tabs.tsx';
import { ProtocolsTab } from './protocols-tab.tsx';
import { StudyForm } from './study-form.tsx';
import { StudyResult } from './study-result.tsx';
import './next-study.css';

/** Returns the planning of a next study, and the protocols that fix it before results are looked at. */
export function NextStudyPanel(): JSX.Element {
  const session = useSession();
  const library = useStore(session.library);
  const [tab, setTab] = useState('size');
  const [options, setOptions] = useState<NextStudyOptions | null>(null);
  const cases = useMemo(() => (library.kind === 'ready' ? library.cases.filter(({ problem, sites }) => problem === null && sites.length > 0) : []), [library]);
  const siteKeys = useMemo(() => sitesByUse(cases), [cases]);
  const asked = options ?? firstOptions(siteKeys);
  return (
    <div className="page next-study">
      <h1>Next study</h1>
      {library.kind === 'loading' ? <Waiting>Reading the library…</Waiting> : null}
      {library.kind === 'failed' ? <Notice tone="problem" title="The library could not be read." live><p>{library.problem.message} {library.problem.remedy ?? ''}</p></Notice> : null}
      {library.kind === 'ready' ? (
        <Tabs
          label="Parts of the planning" chosen={tab} onChoose={setTab}
          tabs={[
            { id: 'size', label: 'Sample size', content: () => (cases.length === 0 ? <NoCases /> : <SizeTab cases={cases} siteKeys={siteKeys} options={asked} onChange={setOptions} />) },
            { id: 'protocols', label: 'Protocols', content: () => <ProtocolsTab options={asked} siteKeys={siteKeys} /> },
          ]}
        />
      ) : null}
    </div>
  );
}

function NoCases(): JSX.Element {
  const session = useSession();
  return (
    <EmptyState title="No case with SpO2 is here yet" actions={<Button look="primary" onClick={() => session.place.set('import')}>Import records…</Button>}>
      <p>The size of a study is worked out from the spread between the patients of this library.</p>
    </EmptyState>
  );
}

interface SizeTabProps {
  readonly cases: readonly CaseSummary[];
  readonly siteKeys: readonly string[];
  readonly options: NextStudyOptions;
  readonly onChange: (options: NextStudyOptions) => void;
}

function SizeTab({ cases, siteKeys, options, onChange }: SizeTabProps): JSX.Element {
  const session = useSession();
  const { studyPlan } = session;
  const state = useStore(studyPlan);
  const chosen = useStore(session.chosen);
  const chosenHere = useMemo(() => chosenAmong(cases, chosen), [cases, chosen]);
  const [isAll, setIsAll] = useState(chosenHere.length < 2);
  // Which cases are one patient is asked once, for every question to many cases.
  const { patientColumn } = useStore(session.cohort.options);
  const asked = { ...options, patientColumn };
  const used = isAll || chosenHere.length === 0 ? cases : chosenHere;
  const isOneSite = options.firstKey === options.secondKey;
  return (
    <>
      <p className="next-study-prose">
        How many patients would a study need that compares two sites, and how narrow would its interval be? Studies are drawn from the patients of this library, whole, so that their spread and the clustering of their dropouts are in the answer.
      </p>
      {chosenHere.length === 0 ? <p>From all {countText(cases.length, 'case', 'cases')} with SpO2.</p> : (
        <ChoiceRow
          legend="From" value={used === cases ? 'all' : 'chosen'} onChange={(value) => setIsAll(value === 'all')}
          choices={[{ value: 'all', label: `all ${countText(cases.length, 'case', 'cases')} with SpO2` }, { value: 'chosen', label: `${numberText(chosenHere.length)} chosen in the library` }]}
        />
      )}
      <p className="soft">{patientColumn === null ? 'Every case counts as a patient of its own; under Questions a column can be named that says which cases are one patient.' : `Cases with the same “${patientColumn}” are one patient, as chosen under Questions.`}</p>
      <StudyForm options={options} siteKeys={siteKeys} onChange={onChange} />
      {isOneSite ? <p className="field-error">Choose two sites that differ.</p> : null}
      <div className="next-study-work">
        <Button look="primary" disabled={isOneSite || state.kind === 'working'} onClick={() => void studyPlan.make({ caseKeys: used.map(({ caseKey }) => caseKey), options: asked })}>Work it out</Button>
        {state.kind === 'working' ? (
          <>
            <Progress label={state.stage === 'reading' ? `Read ${numberText(state.done)} of ${countText(Math.max(state.total, used.length), 'case', 'cases')}` : 'Drawing studies'} done={state.done} total={state.total} />
            <Button onClick={studyPlan.cancel}>Cancel</Button>
          </>
        ) : null}
      </div>
      {state.kind === 'cancelled' ? <Notice tone="note" title="The planning was cancelled." live><p>Work it out again whenever you like.</p></Notice> : null}
      {state.kind === 'failed' ? <Notice tone="problem" title="The study could not be planned." live><p>{state.problem.message} {state.problem.remedy ?? ''}</p></Notice> : null}
      {state.kind === 'made' ? (
        <>
          {sameOptions(state.made.study.options, asked) ? null : <Notice tone="note"><p>What is asked was changed since: the answer below is to the former question.</p></Notice>}
          <StudyResult planned={state.made} />
        </>
      ) : null}
    </>
  );
}

/** Whether two studies ask the same, whatever the order of their fields. */
function sameOptions(a: NextStudyOptions, b: NextStudyOptions): boolean {
  const textOf = (options: NextStudyOptions): string => JSON.stringify(Object.entries(options).sort(([one], [other]) => (one < other ? -1 : 1)));
  return textOf(a) === textOf(b);
}

/** Sites by the number of cases that have them, the most frequent first. */
function sitesByUse(cases: readonly CaseSummary[]): string[] {
  const uses = new Map<string, number>();
  for (const { sites } of cases) for (const site of sites) uses.set(site, (uses.get(site) ?? 0) + 1);
  return [...uses].sort(([a, n], [b, m]) => m - n || (a < b ? -1 : 1)).map(([site]) => site);
}

function firstOptions(siteKeys: readonly string[]): NextStudyOptions {
  const [first = 'finger', second = 'ear lobe'] = siteKeys;
  return { ...DEFAULT_NEXT_STUDY, firstKey: first, secondKey: second };
}
