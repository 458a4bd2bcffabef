import { useMemo, useState, type JSX } from 'react';
import { countText, numberText } from '../../format/number-text.ts';
import { chosenAmong } from '../../state/chosen-cases.ts';
import { useSession } from '../../state/session.ts';
import { useStore } from '../../state/store.ts';
import { Button } from '../../widgets/button.tsx';
import { EmptyState, Waiting } from '../../widgets/empty-state.tsx';
import { ChoiceRow } from '../../widgets/field.tsx';
import { Notice } from '../../widgets/notice.tsx';

/** Returns the questions to many cases: which cases, and what they say. */
export function QuestionsPanel(): JSX.Element {
  const session = useSession();
  const library = useStore(session.library);
  const chosen = useStore(session.chosen);
  const [source, setSource] = useState<'library' | 'chosen'>('library');
  const cases = useMemo(() => (library.kind === 'ready' ? library.cases : []), [library]);
  const sound = useMemo(() => cases.filter((summary) => summary.problem === null), [cases]);
  const picked = useMemo(() => chosenAmong(cases, chosen), [cases, chosen]);
  const asked = source === 'chosen' && picked.length > 0 ? picked : sound;
  return (
    <div className="page cohort">
      <h1>Cohort</h1>
      {library.kind === 'loading' ? <Waiting>Reading the library…</Waiting> : null}
      {library.kind === 'failed' ? <Notice tone="problem" title="The library could not be read." live><p>{library.problem.message} {library.problem.remedy ?? ''}</p></Notice> : null}
      {library.kind === 'ready' && sound.length === 0 ? (
        <EmptyState title="No case to ask" actions={<Button look="primary" onClick={() => session.place.set('import')}>Take in files</Button>}>
          <p>Here many cases are asked the same questions: how often and how long information was lost, where, after what, and when it came back. The library has no case that can be read yet.</p>
        </EmptyState>
      ) : null}
      {library.kind === 'ready' && sound.length > 0 ? (
        <>
          <ChoiceRow
            legend="Which cases" value={source}
            choices={[{ value: 'library', label: `All ${numberText(sound.length)} of the library` }, { value: 'chosen', label: picked.length === 0 ? 'Those chosen in the library (none yet)' : `The ${numberText(picked.length)} chosen in the library` }]}
            onChange={(value) => setSource(value === 'chosen' ? 'chosen' : 'library')}
          />
          <p className="counts">{countText(asked.length, 'case', 'cases')} asked for.</p>
        </>
      ) : null}
    </div>
  );
}
