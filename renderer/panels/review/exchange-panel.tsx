import { useEffect, useRef, useState, type JSX } from 'react';
import type { ReceivedSummary, ReviewConflict, Sender } from '../../../core/model/reviews-file.ts';
import { saveFile } from '../../charts/save-file.ts';
import { countText, numberText } from '../../format/number-text.ts';
import { durationText, instantText } from '../../format/time-text.ts';
import { FigureHead } from '../../help/figure-help.tsx';
import type { Problem } from '../../state/problem.ts';
import { useSession } from '../../state/session.ts';
import { useStore } from '../../state/store.ts';
import { Button } from '../../widgets/button.tsx';
import { Waiting } from '../../widgets/empty-state.tsx';
import { CheckField, ChoiceList, TextField } from '../../widgets/field.tsx';
import { Notice } from '../../widgets/notice.tsx';
import { siteText } from '../case-view/case-facts.ts';
import { grouped } from './agreement-words.ts';
import { ReaderForm } from './reader-form.tsx';
import { judgementText } from './review-words.ts';
import './two-readers.css';

/** Returns reviews from and to other libraries: a signed file out, a signed file in, what waits and what is to be settled. */
export function ExchangePanel(): JSX.Element {
  const session = useSession();
  const { reader } = useStore(session.preferences);
  const state = useStore(session.reviewExchange.state);
  useEffect(() => {
    void session.reviewExchange.state.ask(null);
  }, [session]);
  const answer = state.kind === 'ready' ? state.answer : state.kind === 'working' ? state.before : null;
  return (
    <div className="page review">
      <h1>Exchange</h1>
      <p className="prose">Reviews go from one library to another as a file that this library signs. It holds what readers said and when, and nothing of the records; the other library must hold the same records. Files can be received in any order and more than once: nothing is lost or doubled, and what is here already is never changed by what comes.</p>
      <ReaderForm />
      <div className="exchange-sides">
        <SendPart by={reader} ownFingerprint={answer?.ownFingerprint ?? null} />
        <ReceivePart by={reader} />
      </div>
      {state.kind === 'working' && answer === null ? <Waiting>Reading what was received…</Waiting> : null}
      {state.kind === 'failed' ? <Notice tone="problem" title="What was received could not be read." live><p>{state.problem.message} {state.problem.remedy ?? ''}</p><Button onClick={() => void session.reviewExchange.state.again()}>Try again</Button></Notice> : null}
      {answer === null ? null : (
        <>
          <ConflictsPart conflicts={answer.conflicts} by={reader} />
          <section aria-label="Received so far" className="agreement-part">
            <h2>Received so far</h2>
            <p>{answer.files === 0 ? 'No file has been received yet.' : `${countText(answer.files, 'file', 'files')} from ${countText(answer.senders.length, 'sender', 'senders')}.`}</p>
            {answer.senders.length === 0 ? null : (
              <div className="grid-scroll"><table className="plain-table">
                <thead><tr><th scope="col">Sender</th><FigureHead figure="sender">Fingerprint of the key</FigureHead><FigureHead figure="sender">Confirmed</FigureHead></tr></thead>
                <tbody>{answer.senders.map((one) => <tr key={one.fingerprint}><th scope="row">{senderName(one)}</th><td><code className="fingerprint">{grouped(one.fingerprint)}</code></td><td>{one.confirmedAt === null ? 'no' : instantText(one.confirmedAt)}</td></tr>)}</tbody>
              </table></div>
            )}
            {answer.waiting.length === 0 ? null : (
              <>
                <h3>Waiting for their case</h3>
                <p>These reviews are kept. They stand at their case as soon as this library holds its record: it is known again by what its SpO2 sensors recorded, whatever it is called.</p>
                <div className="grid-scroll"><table className="plain-table waiting-reviews">
                  <thead><tr><th scope="col">Sender</th><th scope="col">Case, as the sender calls it</th><FigureHead figure="received-verdicts" className="align-right">Verdicts</FigureHead><FigureHead figure="received-verdicts" className="align-right">Entries</FigureHead></tr></thead>
                  <tbody>{answer.waiting.toSorted((a, b) => (a.caseId < b.caseId ? -1 : 1)).map((one) => <tr key={`${one.sender.fingerprint} ${one.caseId}`}><td>{senderName(one.sender)}</td><th scope="row">{one.caseId}</th><td className="align-right">{numberText(one.verdicts)}</td><td className="align-right">{numberText(one.entries)}</td></tr>)}</tbody>
                </table></div>
              </>
            )}
          </section>
        </>
      )}
    </div>
  );
}

/** "Ada", "Ada and Ben", "Ada, Ben and Carla". */
function listText(names: readonly string[]): string {
  return names.length < 2 ? names.join('') : `${names.slice(0, -1).join(', ')} and ${names.at(-1)}`;
}

function senderName({ label, fingerprint, isOwn }: Sender): string {
  return isOwn ? 'this library' : label === '' ? `key ${fingerprint.slice(0, 8)}` : label;
}

function SendPart({ by, ownFingerprint }: { readonly by: string | null; readonly ownFingerprint: string | null }): JSX.Element {
  const session = useSession();
  const sending = useStore(session.reviewExchange.sending);
  const [withNotes, setWithNotes] = useState(false);
  const write = async (): Promise<void> => {
    if (by === null) return;
    const file = await session.reviewExchange.write(withNotes ? 'included' : 'left out', by);
    if (file !== null) saveFile(file.fileName, new Blob([file.text], { type: 'application/json' }));
  };
  return (
    <section aria-label="Send" className="exchange-side">
      <h2>Send</h2>
      {sending.kind === 'idle' ? <p>A file of everything that was said in this library. First it is listed, and nothing is written yet.</p> : null}
      {sending.kind === 'idle' ? <Button onClick={() => void session.reviewExchange.look()}>See what a file would hold…</Button> : null}
      {sending.kind === 'looking' || sending.kind === 'writing' ? <Waiting>{sending.kind === 'looking' ? 'Looking through the reviews…' : 'Writing and signing…'}</Waiting> : null}
      {sending.kind === 'looked' && sending.outlook.entries === 0 ? <p>Nothing was said of any case in this library yet: there is nothing to send.{sending.outlook.notOwn === 0 ? '' : ' What came from elsewhere does not travel on.'}</p> : null}
      {sending.kind === 'looked' && sending.outlook.entries > 0 ? (
        <>
          <p>The file will hold <strong>{countText(sending.outlook.verdicts, 'verdict', 'verdicts')}</strong> in {countText(sending.outlook.entries, 'entry', 'entries')} of {countText(sending.outlook.cases, 'case', 'cases')}, with:</p>
          <ul>
            <li>the names of readers: {listText(sending.outlook.readers)}</li>
            <li>the date and time of every verdict, and the names of the cases as this library shows them</li>
            <li>{sending.outlook.notes === 0 ? 'no note: none was written' : `${countText(sending.outlook.notes, 'note', 'notes')}, if you tick the box: free text may name persons`}</li>
            {sending.outlook.withoutContent === 0 ? null : <li>{countText(sending.outlook.withoutContent, 'case', 'cases')} that this library no longer holds: the receiver can tell them by their files alone</li>}
            {sending.outlook.notOwn === 0 ? null : <li>nothing of the {countText(sending.outlook.notOwn, 'entry', 'entries')} that came from elsewhere</li>}
          </ul>
          {sending.outlook.notes === 0 ? null : <CheckField label="With notes, as they were written" checked={withNotes} onChange={setWithNotes} />}
          <p><Button look="primary" disabled={by === null} onClick={() => void write()}>Write the file</Button>{by === null ? <span className="soft"> Say who reads first: it stands in the trail.</span> : null}</p>
        </>
      ) : null}
      {sending.kind === 'written' ? (
        <Notice tone="note" title={`${sending.fileName} is written.`} live>
          <p>Tell the receiver this fingerprint by another way than the file goes, by telephone or in person:</p>
          <p><code className="fingerprint">{grouped(sending.fingerprint)}</code></p>
          <Button onClick={() => void session.reviewExchange.look()}>Write another…</Button>
        </Notice>
      ) : null}
      {sending.kind === 'failed' ? <Notice tone="problem" title="No file was written." live><p>{sending.problem.message} {sending.problem.remedy ?? ''}</p><Button onClick={() => void session.reviewExchange.look()}>Try again</Button></Notice> : null}
      {ownFingerprint === null || sending.kind === 'written' ? null : <p className="soft">Key of this library: <code className="fingerprint">{grouped(ownFingerprint)}</code></p>}
    </section>
  );
}

function ReceivePart({ by }: { readonly by: string | null }): JSX.Element {
  const session = useSession();
  const receiving = useStore(session.reviewExchange.receiving);
  const inputRef = useRef<HTMLInputElement>(null);
  return (
    <section
      aria-label="Receive" className="exchange-side"
      onDragOver={(event) => event.preventDefault()}
      onDrop={(event) => {
        event.preventDefault();
        event.stopPropagation();
        const [file] = event.dataTransfer.files;
        if (file !== undefined) void session.reviewExchange.open(file);
      }}
    >
      <h2>Receive</h2>
      {receiving.kind === 'idle' ? <p>A file that another library has written: choose it, or drop it here. It is checked first, and nothing is taken in yet.</p> : null}
      <Button onClick={() => inputRef.current?.click()}>Choose a file of reviews…</Button>
      <input
        ref={inputRef} type="file" hidden data-testid="reviews-input" accept=".json,application/json"
        onChange={(event) => {
          const file = event.target.files?.[0];
          event.target.value = ''; // choosing the same file a second time must count as a choice
          if (file !== undefined) void session.reviewExchange.open(file);
        }}
      />
      {receiving.kind === 'checking' ? <Waiting>Checking {receiving.name}…</Waiting> : null}
      {receiving.kind === 'failed' ? <Notice tone="problem" title={`Nothing was taken from ${receiving.name}.`} live><p>{receiving.problem.message} {receiving.problem.remedy ?? ''}</p></Notice> : null}
      {receiving.kind === 'checked' ? <Checked key={receiving.summary.fileDigest} summary={receiving.summary} isTaking={receiving.isTaking} by={by} problem={receiving.problem} /> : null}
      {receiving.kind === 'received' ? <Notice tone="note" title={`Received from ${senderName(receiving.summary.sender)}.`} live><p>{takenText(receiving.summary)}</p></Notice> : null}
    </section>
  );
}

function takenText({ fresh, known, matched, cases, waiting }: ReceivedSummary): string {
  return `${countText(fresh, 'entry is', 'entries are')} new${known === 0 ? '' : `, ${numberText(known)} ${known === 1 ? 'was' : 'were'} here already`}. ${numberText(matched)} of ${countText(cases, 'case', 'cases')} ${matched === 1 ? 'is' : 'are'} in this library${waiting === 0 ? '' : `; the reviews of ${numberText(waiting)} wait`}.`;
}

function Checked({ summary, isTaking, by, problem }: { readonly summary: ReceivedSummary; readonly isTaking: boolean; readonly by: string | null; readonly problem: Problem | null }): JSX.Element {
  const session = useSession();
  const { sender } = summary;
  const isKnown = sender.confirmedAt !== null;
  const [isCompared, setIsCompared] = useState(false);
  const [label, setLabel] = useState('');
  return (
    <>
      <p>The signature holds. {countText(summary.verdicts, 'verdict', 'verdicts')} in {countText(summary.entries, 'entry', 'entries')} of {countText(summary.cases, 'case', 'cases')}, by {listText(summary.readers)}; written {instantText(summary.writtenAt)}, {summary.notes === 'included' ? 'with notes' : 'without notes'}.</p>
      {sender.isOwn ? <Notice tone="caution" title="This library wrote this file itself." live><p>There is nothing to receive: what is in it stands here already. Put the file away, unless this library was set back to a backup since: then the file brings back what was said after it.</p></Notice> : <p>{takenText(summary)}</p>}
      {sender.isOwn ? null : isKnown ? <p>From <strong>{senderName(sender)}</strong>, whose key was confirmed {instantText(sender.confirmedAt ?? '')}.</p> : (
        <fieldset className="sender-check">
          <legend className="field-label">This sender is new here</legend>
          <p>A signature shows that the file is as its sender wrote it, not who the sender is. Compare this fingerprint with the one that the sender’s program shows, by telephone or in person:</p>
          <p><code className="fingerprint">{grouped(sender.fingerprint)}</code></p>
          <CheckField label="I have compared all of it, and it is the same" checked={isCompared} onChange={setIsCompared} />
          <TextField label="What is the sender to be called here?" value={label} onChange={setLabel} />
        </fieldset>
      )}
      {problem === null ? null : <Notice tone="problem" title="Nothing was taken." live><p>{problem.message} {problem.remedy ?? ''}</p></Notice>}
      <div className="row">
        <Button look={sender.isOwn ? 'plain' : 'primary'} disabled={by === null || isTaking || (!sender.isOwn && !isKnown && !isCompared)} onClick={() => void session.reviewExchange.take(isKnown ? null : sender.fingerprint, label, by ?? '')}>{isTaking ? 'Receiving…' : 'Receive these reviews'}</Button>
        <Button look={sender.isOwn ? 'primary' : 'plain'} disabled={isTaking} onClick={() => void session.reviewExchange.drop()}>Put the file away</Button>
        {by === null ? <span className="soft">Say who reads first: it stands in the trail.</span> : null}
      </div>
    </>
  );
}

function ConflictsPart({ conflicts, by }: { readonly conflicts: readonly ReviewConflict[]; readonly by: string | null }): JSX.Element | null {
  const session = useSession();
  const problem = useStore(session.reviewExchange.settling);
  if (conflicts.length === 0) return null;
  const open = conflicts.filter(({ settled }) => settled === null).length;
  return (
    <section aria-label="Conflicts" className="agreement-part">
      <h2>Conflicts: {open === 0 ? 'all settled' : `${numberText(open)} to be settled`}</h2>
      <p>What could not simply be joined. Nothing is decided without you, and what you decide stands in the trail. Where two libraries agreed on different things, the dropout is listed under Disagreements.</p>
      {by === null ? <p>Say who reads first, above: the trail says who settled it.</p> : null}
      {problem === null ? null : <Notice tone="problem" title="It was not settled." live><p>{problem.message} {problem.remedy ?? ''}</p></Notice>}
      <ul className="conflicts">{conflicts.map((conflict) => <li key={conflict.conflictId}><Conflict conflict={conflict} by={by} /></li>)}</ul>
    </section>
  );
}

interface ConflictWords {
  readonly title: string;
  readonly text: string;
  readonly choices: readonly { readonly value: string; readonly label: string }[];
}

type Version = Extract<ReviewConflict, { kind: 'other content' }>['versions'][number];

function versionText({ entry }: Version): string {
  if (entry.kind !== 'verdict') return `${entry.kind}, by ${entry.by}`;
  return `${entry.role === 'consensus' ? 'agreed on ' : ''}${judgementText(entry.judgement)}, by ${entry.by}`;
}

/** Whether versions say the same, and differ only in where their trail has them. */
function sayTheSame(versions: readonly Version[]): boolean {
  return new Set(versions.map(({ entry }) => JSON.stringify({ ...entry, place: 0, previous: '' }))).size === 1;
}

function conflictWords(conflict: ReviewConflict): ConflictWords {
  const from = senderName(conflict.sender);
  switch (conflict.kind) {
    case 'same name':
      return {
        title: `Are these one person? “${conflict.name}” here, and “${conflict.name}” of ${from}`,
        text: `${countText(conflict.entries, 'entry', 'entries')} of ${from} ${conflict.entries === 1 ? 'bears' : 'bear'} a name that a reader here, or of another sender, has too. Until it is settled they are two persons: the one from elsewhere is shown with what its library is called here, or with the first digits of its key.`,
        choices: [{ value: 'another person', label: 'Two persons' }, { value: 'same person', label: 'One person: agreement does not compare the two' }],
      };
    case 'which case': {
      const why = conflict.why === 'several alike' ? 'several cases of this library hold what its SpO2 sensors recorded' : conflict.why === 'content unknown' ? 'the sender no longer holds its record, and cases of this library come from the same files' : 'cases of this library come from the same files and hold other SpO2: read otherwise, or changed since';
      return {
        title: `Which case is “${conflict.caseId}” of ${from}?`,
        text: `${countText(conflict.entries, 'entry is', 'entries are')} about it; ${why}.`,
        choices: [...conflict.candidates.map(({ caseKey, caseId }) => ({ value: caseKey, label: `It is ${caseId}` })), { value: 'keep', label: `None of these: ${conflict.entries === 1 ? 'it waits' : 'they wait'} on` }],
      };
    }
    case 'other content': {
      const isOurs = conflict.versions.some((one) => one.from === 'here');
      const isAnyInForce = conflict.versions.some(({ isInForce }) => isInForce);
      const anchor = conflict.versions.map(({ entry }) => (entry.kind === 'verdict' ? entry.anchor : null)).find((one) => one !== null);
      const where = `“${conflict.caseId}”${anchor === null || anchor === undefined ? '' : `, ${siteText(anchor.siteKey)}, ${durationText(anchor.firstLostMs)} into the record`}`;
      const [first] = conflict.versions;
      const isAlike = sayTheSame(conflict.versions);
      return {
        title: `Which is right? One entry of ${from}, in ${numberText(conflict.versions.length)} contents`,
        text: isAlike && first !== undefined
          ? `About ${where}: ${versionText(first)}. The words are the same; what differs is the entry that each names as the one before it, as after a change by hand further up in that library’s trail.`
          : `About ${where}. ${conflict.versions.map((one) => `${one.from === 'here' ? 'Here' : 'In a file'}: ${versionText(one)}.`).join(' ')} A library was changed by hand, or copied and used twice.`,
        choices: [...(isOurs ? [] : conflict.versions.map((one) => ({ value: one.sealedAs, label: `${isAlike ? 'The one with the' : `${versionText(one)};`} hash ${one.sealedAs.slice(0, 8)}${one.isInForce ? ', in force now' : ''}` }))), { value: 'keep', label: isOurs ? 'What stands here stays' : isAnyInForce ? 'What is in force stays' : 'Neither' }],
      };
    }
    case 'trails part':
      return {
        title: `Two files of ${from} tell different stories`,
        text: `From entry ${numberText(conflict.place)} of its trail on they differ: that library was copied and used twice, or set back to a backup. What either adds is joined; where both have the same entry in two contents, that is asked here by itself. Ask its readers which library they go on with.`,
        choices: [{ value: 'seen', label: 'Seen' }],
      };
  }
}

function Conflict({ conflict, by }: { readonly conflict: ReviewConflict; readonly by: string | null }): JSX.Element {
  const session = useSession();
  const { title, text, choices } = conflictWords(conflict);
  const { settled } = conflict;
  const [choice, setChoice] = useState(settled?.choice ?? '');
  const settle = (value: string): void => void session.reviewExchange.settle(conflict.conflictId, value, by ?? '');
  const [only] = choices;
  return (
    <>
      <h3>{title}</h3>
      <p>{text}</p>
      {settled === null ? null : <p className="soft">Settled by {settled.by}, {instantText(settled.at)}: {choices.find(({ value }) => value === settled.choice)?.label ?? settled.choice}.</p>}
      {choices.length === 1 && only !== undefined ? (
        settled === null ? <Button disabled={by === null} onClick={() => settle(only.value)}>I have seen it</Button> : null
      ) : (
        <>
          <ChoiceList legend={title} value={choice} choices={choices} onChange={setChoice} />
          <Button disabled={by === null || choice === '' || choice === settled?.choice} onClick={() => settle(choice)}>{settled === null ? 'Settle it' : 'Settle it anew'}</Button>
        </>
      )}
    </>
  );
}
