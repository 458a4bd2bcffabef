import { useEffect, useState, type JSX } from 'react';
import { countText, numberText } from '../../format/number-text.ts';
import { clockText, instantText } from '../../format/time-text.ts';
import { FigureHead } from '../../help/figure-help.tsx';
import { useSession } from '../../state/session.ts';
import { useStore } from '../../state/store.ts';
import { Button } from '../../widgets/button.tsx';
import { EmptyState, Waiting } from '../../widgets/empty-state.tsx';
import { TextField } from '../../widgets/field.tsx';
import { Notice } from '../../widgets/notice.tsx';
import { checkText, entryCase, entryText, shortHash } from './trail-words.ts';

/** Returns the trail: every entry newest first, and the check of all of it. */
export function TrailPanel(): JSX.Element {
  const session = useSession();
  const state = useStore(session.reviewTrail);
  useEffect(() => {
    if (session.reviewTrail.get().kind === 'closed') void session.reviewTrail.show();
  }, [session]);
  return (
    <div className="page review">
      <h1>Trail</h1>
      <p className="prose">
        What was said and done, by whom (the name that was typed on this computer), when and on which analysis. Entries are only ever added. Each carries the hash of the one before: one that is altered, taken out or moved is found.
        A whole trail that was written anew would fit, too. Against that, note the head (the hash of the newest entry, shown by a check) from time to time, away from this computer, and ask for it here.
      </p>
      <CheckPart />
      {state.kind === 'closed' || state.kind === 'loading' ? <Waiting>Reading the trail…</Waiting> : null}
      {state.kind === 'failed' ? (
        <Notice tone="problem" title="The trail could not be read." live>
          <p>{state.problem.message} {state.problem.remedy ?? ''}</p>
          <Button onClick={() => void session.reviewTrail.show()}>Try again</Button>
        </Notice>
      ) : null}
      {state.kind !== 'ready' ? null : state.entries.length === 0 ? (
        <EmptyState title="The trail is empty"><p>The first verdict, or a change that bears on results, is its first entry.</p></EmptyState>
      ) : (
        <>
          <p className="counts">{state.entries.length === state.total ? countText(state.total, 'entry', 'entries') : `The newest ${numberText(state.entries.length)} of ${numberText(state.total)} entries`}.</p>
          <div className="grid-scroll" tabIndex={0} role="group" aria-label="Entries of the trail">
            <table className="plain-table trail">
              <thead><tr><FigureHead figure="trail-entry" className="align-right">No.</FigureHead><th scope="col">When</th><th scope="col">Who</th><th scope="col">Case</th><th scope="col">What</th><FigureHead figure="trail-hash">Hash</FigureHead></tr></thead>
              <tbody>
                {state.entries.map(({ entry, hash }) => (
                  <tr key={hash}>
                    <th scope="row" className="align-right">{numberText(entry.place)}</th>
                    <td className="figure" title={entry.at}>{instantText(entry.at)}:{clockText(entry.at).slice(-2)}</td>
                    <td>{entry.by}</td>
                    <td>{entryCase(entry) ?? <span className="soft">–</span>}</td>
                    <td>{entry.kind === 'kept back' ? <span className="soft">kept back while you read blinded</span> : entryText(entry)}</td>
                    <td><code title={hash}>{shortHash(hash)}</code></td>
                  </tr>
                ))}
              </tbody>
            </table>
          </div>
          {state.entries.length === state.total ? null : <Button disabled={state.isLoadingMore} onClick={() => void session.reviewTrail.more()}>{state.isLoadingMore ? 'Reading earlier ones…' : 'Show earlier ones'}</Button>}
        </>
      )}
    </div>
  );
}

function CheckPart(): JSX.Element {
  const session = useSession();
  const check = useStore(session.reviewTrail.check);
  const [head, setHead] = useState('');
  const asked = head.trim().toLowerCase();
  const fault = asked === '' || /^[0-9a-f]{64}$/.test(asked) ? null : 'a head is 64 hexadecimal digits.';
  return (
    <section aria-label="Check of the trail">
      <form
        className="draw-form"
        onSubmit={(event) => {
          event.preventDefault();
          if (fault === null) void session.reviewTrail.verify(asked === '' ? null : asked);
        }}
      >
        <TextField label="A head noted earlier (may be left empty)" value={head} onChange={setHead} error={fault} />
        <Button type="submit" look="primary" disabled={check.kind === 'checking' || fault !== null}>Check the whole trail</Button>
      </form>
      <div role="status">
        {check.kind === 'checking' ? <p>Checking every entry…</p> : null}
        {check.kind === 'checked' ? (
          <Notice tone={check.check.problems.length === 0 ? 'note' : 'problem'} title={checkText(check.check, check.head)}>
            {check.check.problems.length === 0 ? null : (
              <ul>{check.check.problems.map((problem) => <li key={`${problem.place} ${problem.kind}`}>{problem.message}</li>)}</ul>
            )}
            {check.check.problems.length > 0 ? <p>{check.check.problems.every(({ kind }) => kind === 'head not found') ? 'Look first whether the head was typed as it was noted, and noted of this library. If so, leave' : 'Leave'} the library as it is and ask whoever keeps its backups: one in which the check finds nothing can take its place.</p> : check.check.head === '' ? null : <p>Head, to be noted: <code>{check.check.head}</code></p>}
          </Notice>
        ) : null}
      </div>
      {check.kind === 'failed' ? <Notice tone="problem" title="The trail could not be checked." live><p>{check.problem.message} {check.problem.remedy ?? ''}</p></Notice> : null}
    </section>
  );
}
