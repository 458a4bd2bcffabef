import { useEffect, useMemo, type JSX } from 'react';
import type { SiteCohort } from '../../../core/model/site-cohort.ts';
import type { CaseSummary } from '../../../core/protocol/host-api.ts';
import { countText, numberText } from '../../format/number-text.ts';
import { chosenAmong } from '../../state/chosen-cases.ts';
import { useSession } from '../../state/session.ts';
import { isOf } from '../../state/site-cohort.ts';
import { useStore } from '../../state/store.ts';
import { Button } from '../../widgets/button.tsx';
import { Disclosure } from '../../widgets/disclosure.tsx';
import { EmptyState, Waiting } from '../../widgets/empty-state.tsx';
import { Notice } from '../../widgets/notice.tsx';
import { Progress } from '../../widgets/progress.tsx';
import { ProtocolStatement } from '../next-study/protocol-statement.tsx';
import { HowWorkedOut, SITE_EXPLANATIONS } from '../case-view/explanations.tsx';
import { UsedDefinition } from '../definitions/used-definition.tsx';
import { PairsOverCases } from './pairs-over-cases.tsx';
import { SensorsOverCases } from './sensors-over-cases.tsx';
import './sites.css';

/** Returns the sites of all chosen cases against each other. */
export function SitesPanel(): JSX.Element {
  const session = useSession();
  const library = useStore(session.library);
  const chosen = useStore(session.chosen);
  const cases = useMemo(() => (library.kind === 'ready' ? library.cases : []), [library]);
  const keys = useMemo(() => chosenAmong(cases, chosen).map((summary) => summary.caseKey), [cases, chosen]);
  return (
    <div className="page sites">
      <h1>Sites</h1>
      {library.kind === 'loading' ? <Waiting>Reading the library…</Waiting> : null}
      {library.kind === 'failed' ? <Notice tone="problem" title="The library could not be read." live><p>{library.problem.message} {library.problem.remedy ?? ''}</p></Notice> : null}
      {library.kind === 'ready' && keys.length === 0 ? <NothingChosen cases={cases} /> : null}
      {library.kind === 'ready' && keys.length > 0 ? <ChosenCompared keys={keys} cases={cases} /> : null}
    </div>
  );
}

function NothingChosen({ cases }: { readonly cases: readonly CaseSummary[] }): JSX.Element {
  const session = useSession();
  const withTwo = cases.filter((summary) => summary.problem === null && summary.sites.length > 1);
  return (
    <EmptyState
      title={cases.length === 0 ? 'No case is here yet' : 'No case is chosen'}
      actions={
        <>
          {cases.length === 0 ? <Button look="primary" onClick={() => session.place.set('import')}>Import records…</Button> : <Button look="primary" onClick={() => session.place.set('library')}>Choose in the library</Button>}
          {withTwo.length === 0 ? null : <Button onClick={() => session.chosen.add(withTwo.map((summary) => summary.caseKey))}>Choose all {countText(withTwo.length, 'case', 'cases')} with more than one site</Button>}
        </>
      }
    >
      <p>
        Here the sensor sites of the chosen cases are set against each other: what one gave while the other was lost, how their values differ, which follows which, and how strong and steady their signals were.
        {cases.length === 0 ? 'Import records first.' : 'Tick cases in the library, or press Space on a row.'}
      </p>
      {withTwo.length === 0 && cases.length > 0 ? <p>No case of this library has more than one site: there is nothing to compare yet.</p> : null}
    </EmptyState>
  );
}

function ChosenCompared({ keys, cases }: { readonly keys: readonly string[]; readonly cases: readonly CaseSummary[] }): JSX.Element {
  const session = useSession();
  const { siteCohort } = session;
  const state = useStore(siteCohort);
  const isCurrent = isOf(state, keys);
  useEffect(() => {
    if (!isCurrent) void siteCohort.compare(keys);
  }, [siteCohort, keys, isCurrent]);
  const withTwo = useMemo(() => {
    const wanted = new Set(keys);
    return cases.filter((summary) => wanted.has(summary.caseKey) && summary.sites.length > 1).length;
  }, [cases, keys]);
  return (
    <>
      <p className="counts">
        {countText(keys.length, 'case', 'cases')} chosen, {withTwo === 0 ? 'none' : numberText(withTwo)} of them with more than one site.
        {' '}<Button look="link" className="only-screen" onClick={() => session.place.set('library')}>Choose others in the library</Button>
      </p>
      <p className="sites-prose">
        Only sensors worn at the same time, or assigned at random, answer which site gives more: a sensor put on because the first had failed does not.
        Time on bypass is left out unless the definitions keep it. The perfusion index is not comparable between makes of oximeter. A forehead sensor worn head down can read falsely low.
      </p>
      {state.kind === 'working' ? (
        <div className="sites-work">
          <Progress label={`Read ${numberText(state.done)} of ${countText(state.caseKeys.length, 'case', 'cases')}`} done={state.done} total={state.caseKeys.length} />
          <Button onClick={siteCohort.cancel}>Cancel</Button>
        </div>
      ) : null}
      {state.kind === 'cancelled' ? (
        <Notice tone="note" title="The comparison was cancelled." live><Button onClick={() => void siteCohort.compare(keys)}>Compare the sites</Button></Notice>
      ) : null}
      {state.kind === 'failed' ? (
        <Notice tone="problem" title="The sites could not be compared." live>
          <p>{state.problem.message} {state.problem.remedy ?? ''}</p>
          <Button onClick={() => void siteCohort.compare(keys)}>Try again</Button>
        </Notice>
      ) : null}
      {state.kind === 'ready' && isCurrent ? <Result cohort={state.cohort} /> : null}
    </>
  );
}

function Result({ cohort }: { readonly cohort: SiteCohort }): JSX.Element {
  return (
    <>
      {cohort.leftOut.length === 0 ? null : (
        <Notice tone="caution" title={`${countText(cohort.leftOut.length, 'case was', 'cases were')} left out.`}>
          <Disclosure summary="Which, and why">
            <ul>{cohort.leftOut.map((left) => <li key={left.caseKey}>{left.caseId === '' ? 'a case without a name' : left.caseId}: {left.reason}</li>)}</ul>
          </Disclosure>
        </Notice>
      )}
      <p><UsedDefinition parameters={cohort.parameters} /></p>
      <ProtocolStatement used={{ parameters: cohort.parameters }} />
      <PairsOverCases cohort={cohort} />
      <SensorsOverCases cohort={cohort} />
      <HowWorkedOut names={SITE_EXPLANATIONS} />
    </>
  );
}
