import { useEffect, useState, type JSX, type ReactNode } from 'react';
import { MAX_LISTED_CHANGES, type ListedChanges } from '../../../core/model/case-comparison.ts';
import type { ChangeChoice, ChangedCase, ComparedChange } from '../../../core/protocol/host-api.ts';
import { countText, numberText } from '../../format/number-text.ts';
import { clockOffsetText, createCaseClock, type CaseClock } from '../../format/time-text.ts';
import { FigureHead } from '../../help/figure-help.tsx';
import { describeProblem, type Problem } from '../../state/problem.ts';
import { useSession } from '../../state/session.ts';
import { useStore } from '../../state/store.ts';
import { Button } from '../../widgets/button.tsx';
import { Dialog } from '../../widgets/dialog.tsx';
import { Waiting } from '../../widgets/empty-state.tsx';
import { TextField } from '../../widgets/field.tsx';
import { Notice } from '../../widgets/notice.tsx';
import { channelRowsText, decisionText, dropoutText, entryText, filesText, freeName, spanText, stateText, verdictsText } from './change-text.ts';

type Looked = { readonly kind: 'looking' } | { readonly kind: 'known'; readonly comparison: ComparedChange } | { readonly kind: 'failed'; readonly problem: Problem };

export interface ChangeDialogProps {
  readonly importId: string;
  readonly change: ChangedCase;
  readonly onDecide: (choice: ChangeChoice) => void;
  readonly onClose: () => void;
}

/** Returns what differs between the library's case and the one of the import, with the three ways to decide. */
export function ChangeDialog({ importId, change, onDecide, onClose }: ChangeDialogProps): JSX.Element {
  const session = useSession();
  const library = useStore(session.library);
  const taken = new Set(library.kind === 'ready' ? library.cases.map(({ caseId }) => caseId) : []);
  const [looked, setLooked] = useState<Looked>({ kind: 'looking' });
  const [name, setName] = useState(() => change.storedAs ?? freeName(change.caseId, taken));
  useEffect(() => {
    let isCurrent = true;
    session.host.compareChange({ importId, caseKey: change.caseKey }).then(
      (comparison) => isCurrent && setLooked({ kind: 'known', comparison }),
      (error: unknown) => isCurrent && setLooked({ kind: 'failed', problem: describeProblem(error, 'Comparing the two') }),
    );
    return () => {
      isCurrent = false;
    };
  }, [session, importId, change.caseKey]);
  const isTaken = taken.has(name.trim()) && name.trim() !== change.storedAs;
  const nameFault = name.trim() === '' ? 'a name is needed to keep both.' : isTaken ? 'the library has a case of this name.' : null;
  const decide = (decision: ChangeChoice['decision']): void => onDecide({ caseKey: change.caseKey, decision, storeAs: decision === 'keep both' ? name.trim() : null });
  return (
    <Dialog
      title={`What differs in ${change.caseId}`} width="wide" onClose={onClose}
      actions={
        <>
          <Button onClick={onClose}>Decide later</Button>
          <Button onClick={() => decide('keep old')}>Keep the library’s</Button>
          <Button disabled={nameFault !== null} onClick={() => decide('keep both')}>Keep both</Button>
          <Button look="primary" disabled={looked.kind !== 'known'} onClick={() => decide('replace')}>Replace it</Button>
        </>
      }
    >
      <p>
        The library holds a case of this name with other content. {change.decision === null ? 'As long as nothing is decided the library keeps the earlier one' : `Decided so far: ${decisionText(change)}`}. One that is replaced keeps its place: what was noted about it stays.
      </p>
      {looked.kind === 'looking' ? <Waiting>Comparing the two…</Waiting> : null}
      {looked.kind === 'failed' ? <Notice tone="problem" title="The two could not be compared." live><p>{looked.problem.message} {looked.problem.remedy ?? ''}</p></Notice> : null}
      {looked.kind === 'known' ? <Differences comparison={looked.comparison} /> : null}
      <TextField label="Name of the new one, if both are kept" value={name} error={nameFault} onChange={setName} />
    </Dialog>
  );
}

function Differences({ comparison }: { readonly comparison: ComparedChange }): JSX.Element {
  const clock = createCaseClock(comparison.origin);
  const { channels, events, drugs, dropouts, facts, sources, clocksKept } = comparison;
  const sameChannels = channels.filter(({ state }) => state === 'same').length;
  return (
    <div className="differences">
      <h3 className="small-heading">Time</h3>
      {spanText(comparison, clock).map((sentence) => <p key={sentence}>{sentence}</p>)}
      {clocksKept.map(({ source, offsetMs }) => <p key={source}>{source} keeps the clock that was set for the library’s: {clockOffsetText(offsetMs)}.</p>)}
      <h3 className="small-heading">Files</h3>
      <p>
        {filesText(sources)}
      </p>
      {facts.length === 0 ? null : <><h3 className="small-heading">Facts</h3><ul className="notes">{facts.map((fact) => <li key={fact}>{fact}</li>)}</ul></>}
      <h3 className="small-heading">Rows by channel</h3>
      {sameChannels === channels.length ? <p>Every row is the same.</p> : (
        <table className="plain-table">
          <thead><tr><th scope="col">Channel</th><FigureHead figure="updated-export">State</FigureHead><FigureHead figure="updated-export">Rows: before − gone + new = now</FigureHead><FigureHead figure="updated-export">First difference</FigureHead></tr></thead>
          <tbody>
            {channels.filter(({ state }) => state !== 'same').map((channel) => (
              <tr key={channel.channelId}>
                <th scope="row">{channel.label}{channels.some((other) => other !== channel && other.label === channel.label) ? <span className="soft"> {channel.channelId}</span> : null}</th>
                <td>{stateText(channel.state)}</td>
                <td>{channelRowsText(channel)}{channel.facts.length === 0 ? '' : `; ${channel.facts.join('; ')}`}</td>
                <td>{channel.firstMs === null ? '–' : clock.clock(channel.firstMs)}</td>
              </tr>
            ))}
          </tbody>
        </table>
      )}
      {sameChannels > 0 && sameChannels < channels.length ? <p className="soft">{countText(sameChannels, 'other channel is', 'other channels are')} the same.</p> : null}
      <ChangeTable heading="Dropouts and blind intervals" changes={dropouts} first="Sensor" clock={clock} cells={(change) => [change.siteKey, dropoutText(change.before, clock), dropoutText(change.after, clock)]} />
      <h3 className="small-heading">Verdicts</h3>
      <p>{verdictsText(comparison.reviews)}</p>
      <ChangeTable heading="Drugs" changes={drugs} first={null} clock={clock} cells={(change) => [null, entryText(change.before, clock), entryText(change.after, clock)]} />
      <ChangeTable heading="Events" changes={events} first={null} clock={clock} cells={(change) => [null, entryText(change.before, clock), entryText(change.after, clock)]} />
    </div>
  );
}

interface ChangeTableProps<T> {
  readonly heading: string;
  readonly changes: ListedChanges<T> | null;
  /** Heading of a first column, where there is one. */
  readonly first: string | null;
  readonly clock: CaseClock;
  readonly cells: (change: T) => readonly [first: string | null, before: string, after: string];
}

function ChangeTable<T extends { readonly state: 'added' | 'removed' | 'changed' }>({ heading, changes, first, cells }: ChangeTableProps<T>): JSX.Element {
  let body: ReactNode;
  if (changes === null) body = <p>Not known: one of the two was not analysed.</p>;
  else if (changes.added + changes.removed + changes.changed === 0) body = <p>{changes.before === 0 ? 'None in either.' : changes.before === 1 ? 'The only one is the same.' : `All ${numberText(changes.before)} are the same.`}</p>;
  else {
    body = (
      <>
        <p>{numberText(changes.before)} − {numberText(changes.removed)} gone + {numberText(changes.added)} new = {numberText(changes.after)}; {numberText(changes.changed)} of them changed.</p>
        <table className="plain-table">
          <thead><tr>{first === null ? null : <th scope="col">{first}</th>}<FigureHead figure="updated-export">State</FigureHead><th scope="col">In the library</th><th scope="col">In this import</th></tr></thead>
          <tbody>
            {changes.list.map((change, i) => {
              const [lead, before, after] = cells(change);
              return <tr key={i}>{first === null ? null : <th scope="row">{lead}</th>}<td>{stateText(change.state)}</td><td>{before}</td><td>{after}</td></tr>;
            })}
          </tbody>
        </table>
        {changes.added + changes.removed + changes.changed > changes.list.length ? <p className="soft">The first {MAX_LISTED_CHANGES} are listed; the counts are complete.</p> : null}
      </>
    );
  }
  return <><h3 className="small-heading">{heading}</h3>{body}</>;
}
