import { Fragment, useEffect, useMemo, useRef, useState, type JSX, type ReactNode } from 'react';
import { isAsked, LEFT_OUT, RELEASE_DECISIONS, RELEASE_KINDS, type ReleaseAnswer, type ReleaseColumn, type ReleaseContent, type ReleaseKind, type ReleaseRemoval, type ReleaseToken } from '../../../core/model/release.ts';
import type { WrittenRelease } from '../../../core/protocol/release-api.ts';
import { saveFile } from '../../charts/save-file.ts';
import { byteText, countText, numberText } from '../../format/number-text.ts';
import { describeProblem, type Problem } from '../../state/problem.ts';
import { createReleaseDesk, type ReleaseDesk } from '../../state/release-desk.ts';
import { useSession } from '../../state/session.ts';
import { useStore } from '../../state/store.ts';
import { Button } from '../../widgets/button.tsx';
import { Dialog } from '../../widgets/dialog.tsx';
import { Waiting } from '../../widgets/empty-state.tsx';
import { ChoiceRow, TextField } from '../../widgets/field.tsx';
import { Disclosure } from '../../widgets/disclosure.tsx';
import { Notice } from '../../widgets/notice.tsx';
import { KIND_WORDS } from './release-words.ts';
import './release.css';

/** One form that can be written. */
export interface ReleaseForm {
  readonly label: string;
  /** The host refuses while something is open. */
  readonly write: (answers: readonly ReleaseAnswer[]) => Promise<WrittenRelease>;
}

/** What leaves: a content that the window has, or a bundle that the host holds. */
export type LeavingContent = ReleaseContent | { readonly kind: 'bundle'; readonly bundleId: string };

export interface ReleaseDialogProps {
  readonly title: string;
  /** What leaves. */
  readonly content: LeavingContent;
  readonly forms: readonly ReleaseForm[];
  /** It is being made anew: nothing is saved meanwhile. */
  readonly isStale?: boolean | undefined;
  /** What can be chosen beside the words. */
  readonly children?: ReactNode;
  readonly onClose: () => void;
}

const SHOWN = ['asked', 'open', 'everything'] as const;
type Shown = (typeof SHOWN)[number];
const SHOWN_LABELS: Readonly<Record<Shown, string>> = { asked: 'what is asked about', open: 'only what is open', everything: 'everything' };

/** Rows of a group that are drawn at a time: a report can hold thousands of words. */
const ROWS = 200;

/**
 * Returns the screen before anything leaves: every word and date that would go out, by kind; what may identify somebody is asked about,
 * and nothing can be saved before all of it is answered.
 */
export function ReleaseDialog({ title, content, forms, isStale = false, children, onClose }: ReleaseDialogProps): JSX.Element {
  const { host } = useSession();
  const answersRef = useRef<readonly ReleaseAnswer[]>([]);
  // What was answered holds for the same words when the content is made anew.
  const desk = useMemo(() => createReleaseDesk((said) => (content.kind === 'bundle' ? host.listBundle({ bundleId: content.bundleId, answers: said }) : host.listRelease({ content, answers: said })), answersRef.current), [host, content]);
  useEffect(() => desk.start(), [desk]);
  const { list, isMaking, problem, answers } = useStore(desk);
  useEffect(() => {
    answersRef.current = answers;
  }, [answers]);
  const [shown, setShown] = useState<Shown>('asked');
  const [filter, setFilter] = useState('');
  const [written, setWritten] = useState<{ readonly kind: 'writing' } | { readonly kind: 'written'; readonly file: WrittenRelease; readonly bytes: number } | { readonly kind: 'failed'; readonly problem: Problem } | null>(null);
  const bodyRef = useRef<HTMLDivElement>(null);
  const saidRef = useRef<HTMLDivElement>(null);
  // A long list may be scrolled far below what says that it was saved, or why not.
  useEffect(() => {
    if (written !== null) saidRef.current?.scrollIntoView({ block: 'nearest' });
  }, [written]);

  // What was replaced or left out leaves the list, and its row takes the focus with it: the next open one gets it.
  useEffect(() => {
    if (isMaking || list === null || document.activeElement !== document.body) return;
    const next = bodyRef.current?.querySelector<HTMLElement>('select[data-open="true"]') ?? bodyRef.current?.closest('dialog')?.querySelector<HTMLElement>('.dialog-actions button:not(:disabled)');
    next?.focus();
  }, [isMaking, list]);

  const open = list?.open ?? null;
  const save = async ({ write }: ReleaseForm): Promise<void> => {
    setWritten({ kind: 'writing' });
    try {
      const file = await write(answers);
      const bytes = Uint8Array.from(atob(file.base64), (sign) => sign.charCodeAt(0));
      saveFile(file.fileName, new Blob([bytes], { type: file.mediaType }));
      setWritten({ kind: 'written', file, bytes: bytes.byteLength });
    } catch (error) {
      setWritten({ kind: 'failed', problem: describeProblem(error, 'Nothing was written') });
    }
  };
  const wanted = filter.trim().toLowerCase();
  const tokens = (list?.tokens ?? []).filter((token) => (shown === 'everything' || isAsked(token.kind)) && (shown !== 'open' || (isAsked(token.kind) && !token.isKept)) && (wanted === '' || `${token.text} ${token.context}`.toLowerCase().includes(wanted)));
  return (
    <Dialog
      title={title} width="wide" onClose={onClose}
      actions={
        <>
          {forms.map((form, i) => <Button key={form.label} look={i === 0 ? 'primary' : 'plain'} disabled={open !== 0 || isMaking || isStale || written?.kind === 'writing'} onClick={() => void save(form)}>{form.label}</Button>)}
          <Button onClick={onClose}>Close</Button>
          <span className="release-open" role="status">{isStale ? 'It is being made anew…' : open === null ? '' : open === 0 ? 'Everything is answered.' : `${countText(open, 'answer is', 'answers are')} missing before anything can be saved.`}</span>
        </>
      }
    >
      <div ref={bodyRef} className="release">
        {children}
        <Notice tone="caution"><p>The list below holds every word, number and date that would go out; at first it shows those that are asked about. The program knows many names and not all: let it show all, and read what it does not ask about too. The confidentiality text creates no legal protection.</p></Notice>
        {problem === null ? null : <Notice tone="problem" title={problem.message} live><p>{problem.remedy ?? ''}</p><Button onClick={() => desk.start()}>Try again</Button></Notice>}
        <div ref={saidRef}>
          {written?.kind === 'failed' ? <Notice tone="problem" title={written.problem.message} live>{written.problem.remedy === null ? null : <p>{written.problem.remedy}</p>}</Notice> : null}
          {written?.kind === 'writing' ? <Waiting>Writing…</Waiting> : null}
          {written?.kind === 'written' ? <Notice tone="note" live><p>Saved {written.file.fileName}, {byteText(written.bytes)}.{written.file.notInFont === '' ? '' : ` It shows □ for characters that its font does not have: ${written.file.notInFont}`}</p></Notice> : null}
        </div>
        {list === null ? (problem === null ? <Waiting>Listing every word…</Waiting> : null) : (
          <>
            <div className="release-filter">
              <ChoiceRow legend="Show" value={shown} choices={SHOWN.map((value) => ({ value, label: SHOWN_LABELS[value] }))} onChange={(value) => setShown(SHOWN.find((one) => one === value) ?? 'asked')} />
              <TextField label="Word or place holds" type="search" value={filter} onChange={setFilter} />
            </div>
            {list.removals.length === 0 ? null : <Removals removals={list.removals} desk={desk} />}
            {list.isKeepOnly ? <Notice tone="note"><p>A bundle leaves as it was made, so that its digests hold: nothing in it is changed here. What may not leave is changed where it comes from, which stands with each kind; then the bundle is made anew.</p></Notice> : null}
            {RELEASE_KINDS.map((kind) => <Kind key={kind} kind={kind} tokens={tokens.filter((token) => token.kind === kind)} total={list.tokens.filter((token) => token.kind === kind)} isKeepOnly={list.isKeepOnly} desk={desk} />)}
            {shown === 'everything' && list.columns.length > 0 ? <Columns columns={list.columns.filter(({ file, column }) => wanted === '' || `${file} ${column}`.toLowerCase().includes(wanted))} /> : null}
            {tokens.length === 0 ? <p>{shown === 'everything' || wanted !== '' ? 'Nothing fits the filter.' : shown === 'open' ? 'Nothing is open.' : 'Nothing that would go out is of a kind that is asked about.'}</p> : null}
          </>
        )}
      </div>
    </Dialog>
  );
}

interface KindProps {
  readonly kind: ReleaseKind;
  readonly tokens: readonly ReleaseToken[];
  readonly total: readonly ReleaseToken[];
  readonly isKeepOnly: boolean;
  readonly desk: ReleaseDesk;
}

function Kind({ kind, tokens, total, isKeepOnly, desk }: KindProps): JSX.Element | null {
  const [most, setMost] = useState(ROWS);
  if (tokens.length === 0) return null;
  const { name, why, changed } = KIND_WORDS[kind];
  const asks = isAsked(kind);
  const open = asks ? total.filter(({ isKept }) => !isKept).length : 0;
  const rows = tokens.slice(0, most);
  const table = (
    <>
      {why === '' && !isKeepOnly ? null : <p className="soft">{why} {isKeepOnly ? changed : ''}</p>}
      <table className="plain-table release-table">
        <thead><tr><th scope="col">Would go out</th><th scope="col" className="align-right">Times</th><th scope="col">Where it stands first</th><th scope="col">Decision</th></tr></thead>
        <tbody>{rows.map((token) => <Row key={token.text.toLowerCase()} token={token} isKeepOnly={isKeepOnly} desk={desk} />)}</tbody>
      </table>
      {tokens.length > rows.length ? <Button onClick={() => setMost(most + ROWS)}>Show {numberText(Math.min(ROWS, tokens.length - rows.length))} more of {numberText(tokens.length)}</Button> : null}
    </>
  );
  if (!asks) return <Disclosure summary={`${name} (${numberText(total.length)})`}>{table}</Disclosure>;
  return (
    <section className="release-kind" aria-label={name}>
      <div className="release-kind-head">
        <h3>{name} <span className="soft">{numberText(total.length)}, {open === 0 ? 'all answered' : open === total.length ? (open === 1 ? 'open' : 'all open') : `${numberText(open)} open`}</span></h3>
        <Button disabled={open === 0} aria-label={`Keep all: ${name}`} onClick={() => desk.answerAll(kind, 'keep')}>Keep all</Button>
        {isKeepOnly ? null : <Button disabled={open === 0} aria-label={`Leave all out: ${name}`} onClick={() => desk.answerAll(kind, 'leave out')}>Leave all out</Button>}
      </div>
      {table}
    </section>
  );
}

function Row({ token, isKeepOnly, desk }: { readonly token: ReleaseToken; readonly isKeepOnly: boolean; readonly desk: ReleaseDesk }): JSX.Element {
  const [draft, setDraft] = useState<string | null>(null);
  const isOpen = isAsked(token.kind) && !token.isKept;
  const replace = (): void => {
    if (draft !== null && draft.trim() !== '') desk.answer(token, { decision: 'replace', with: draft.trim() });
  };
  return (
    <tr className={isOpen ? 'release-row-open' : undefined}>
      <th scope="row"><Unbroken text={token.text} /></th>
      <td className="align-right">{numberText(token.count)}</td>
      <td className="soft">{token.place}{token.context === '' || token.context === token.text ? null : <>: “<Unbroken text={token.context} />”</>}{token.otherPlaces === 0 ? '' : `, and ${countText(token.otherPlaces, 'other text', 'other texts')}`}</td>
      <td>
        <select
          className="input" aria-label={`Decision about ${token.text}`} data-open={isOpen} value={draft !== null ? 'replace' : token.isKept ? 'keep' : ''}
          onChange={(event) => {
            const decision = RELEASE_DECISIONS.find((one) => one === event.target.value) ?? null;
            setDraft(decision === 'replace' ? '' : null);
            if (decision !== 'replace') desk.answer(token, decision === null ? null : { decision, with: '' });
          }}
        >
          <option value="">{isAsked(token.kind) ? 'to be answered' : 'goes out'}</option>
          {RELEASE_DECISIONS.filter((decision) => !isKeepOnly || decision === 'keep').map((decision) => <option key={decision} value={decision}>{decision}</option>)}
        </select>
        {draft === null ? null : (
          <form className="release-replace" onSubmit={(event) => { event.preventDefault(); replace(); }}>
            <TextField label={`In place of ${token.text}`} labelHidden value={draft} onChange={setDraft} />
            <Button type="submit" disabled={draft.trim() === ''}>Replace</Button>
          </form>
        )}
      </td>
    </tr>
  );
}

/** A date and a time of day as they stand in files: digits and what parts them. */
const DATE_OR_TIME = /(\d{4}-\d{2}(?:-\d{2})?|T\d{2}:\d{2}(?::\d{2}(?:\.\d+)?)?(?:Z|[+-]\d{2}:\d{2})?)/;

/** A text whose dates and times break between lines only where date and time meet. */
function Unbroken({ text }: { readonly text: string }): JSX.Element {
  return <>{text.split(DATE_OR_TIME).map((part, i) => (i % 2 === 0 ? part : <Fragment key={i}>{part.startsWith('T') ? <wbr /> : null}<span className="release-unbroken">{part}</span></Fragment>))}</>;
}

/** Numbers of tables, and dates and codes of which there are very many. */
function Columns({ columns }: { readonly columns: readonly ReleaseColumn[] }): JSX.Element {
  const [most, setMost] = useState(ROWS);
  return (
    <Disclosure summary={`Summed up by column (${numberText(columns.length)})`}>
      <p className="soft">Columns of numbers, and columns with very many different dates or codes: how many cells go out, and the two ends of what stands in them.</p>
      <table className="plain-table release-columns">
        <thead><tr><th scope="col">File</th><th scope="col">Column</th><th scope="col">Kind</th><th scope="col" className="align-right">Cells</th><th scope="col">Smallest</th><th scope="col">Largest</th></tr></thead>
        <tbody>{columns.slice(0, most).map(({ kind, file, column, cells, smallest, largest }) => <tr key={`${kind} ${file} ${column}`}><td>{file}</td><th scope="row">{column}</th><td>{kind}</td><td className="align-right">{numberText(cells)}</td><td><Unbroken text={smallest} /></td><td><Unbroken text={largest} /></td></tr>)}</tbody>
      </table>
      {columns.length > most ? <Button onClick={() => setMost(most + ROWS)}>Show {numberText(Math.min(ROWS, columns.length - most))} more of {numberText(columns.length)}</Button> : null}
    </Disclosure>
  );
}

function Removals({ removals, desk }: { readonly removals: readonly ReleaseRemoval[]; readonly desk: ReleaseDesk }): JSX.Element {
  return (
    <section className="release-kind" aria-label="Does not go out">
      <h3>Does not go out <span className="soft">{numberText(removals.length)}</span></h3>
      <ul className="release-removals">
        {removals.map((removal) => (
          <li key={`${removal.kind} ${removal.text}`}>
            <span className="release-gone">{removal.text}</span> → {removal.decision === 'replace' ? removal.with : LEFT_OUT} <span className="soft">({countText(removal.count, 'time', 'times')}{removal.isCircular ? '; its answers go in a circle: what it is replaced with is itself replaced' : ''})</span>{' '}
            <Button look="link" className="only-screen" aria-label={`Take back the decision about ${removal.text}`} onClick={() => desk.answer(removal, null)}>Take back</Button>
          </li>
        ))}
      </ul>
    </section>
  );
}
