import { useRef, useState, type DragEvent, type JSX } from 'react';
import type { CaseListResult, ListColumnChoice, ListDecision, ReconciledCase, ReconciledRow } from '../../../core/model/case-list.ts';
import { numberText } from '../../format/number-text.ts';
import { saveFile } from '../../charts/save-file.ts';
import { FigureHead } from '../../help/figure-help.tsx';
import { describeProblem, problemText, type Problem } from '../../state/problem.ts';
import { useSession } from '../../state/session.ts';
import { useStore } from '../../state/store.ts';
import { Button } from '../../widgets/button.tsx';
import { Disclosure } from '../../widgets/disclosure.tsx';
import { Waiting } from '../../widgets/empty-state.tsx';
import { SelectField } from '../../widgets/field.tsx';
import { Notice } from '../../widgets/notice.tsx';
import { casesOf, headlineText, LIST_VIEWS, rowsOf, STATE_SIGNS, viewText, type ListView } from './case-list-text.ts';
import './case-list.css';
import { MoreRows } from '../../widgets/more-rows.tsx';

/** Rows shown at first, and added by each "show more". */
const ROWS_SHOWN = 200;
const MAX_NOTES = 12;

/** Returns a list of cases from elsewhere held against the library: which are missing, which have no SpO2, which are there twice. */
export function CaseListPanel(): JSX.Element {
  const session = useSession();
  const state = useStore(session.caseList);
  const result = state.kind === 'ready' || state.kind === 'working' ? state.result : null;
  return (
    <div className="page case-list">
      <h1>Case list</h1>
      {state.kind === 'failed' ? (
        <Notice tone="problem" title="The list could not be read." live>
          <p>{state.problem.message}</p>
          {state.problem.remedy === null ? null : <p>What to do: {state.problem.remedy}</p>}
        </Notice>
      ) : null}
      {result === null && state.kind !== 'working' ? <Choose /> : null}
      {state.kind === 'working' && result === null ? <Waiting>Reading the list…</Waiting> : null}
      {result === null ? null : <Result result={result} decisions={state.kind === 'ready' ? state.decisions : []} problem={state.kind === 'ready' ? state.problem : null} isWorking={state.kind === 'working'} />}
    </div>
  );
}

function Choose(): JSX.Element {
  const session = useSession();
  const inputRef = useRef<HTMLInputElement>(null);
  const [isOver, setIsOver] = useState(false);
  const start = (file: File | undefined): void => {
    if (file !== undefined) void session.caseList.open(file);
  };
  const onDrop = (event: DragEvent): void => {
    event.preventDefault();
    setIsOver(false);
    start(event.dataTransfer.files[0]);
  };
  return (
    <>
      <p className="case-list-prose">
        A list of cases from elsewhere, such as the plan of the theatres or the book of operations, tells what the library lacks. Rows are matched by the identifier of the case; names and record numbers are not kept, only codes made with the key of this library.
      </p>
      <div
        className={`drop-zone${isOver ? ' drop-zone-over' : ''}`}
        onDragOver={(event) => {
          event.preventDefault();
          setIsOver(true);
        }}
        onDragLeave={() => setIsOver(false)}
        onDrop={onDrop}
      >
        <p className="drop-title">Drop a list here</p>
        <p className="soft">delimited text or a workbook, one row for each case, with headings</p>
        <Button look="primary" onClick={() => inputRef.current?.click()}>Choose a list…</Button>
        <input
          ref={inputRef} type="file" hidden data-testid="case-list-input"
          onChange={(event) => {
            const file = event.target.files?.[0];
            event.target.value = ''; // choosing the same file a second time must count as a choice
            start(file);
          }}
        />
      </div>
    </>
  );
}

interface ResultProps {
  readonly result: CaseListResult;
  readonly decisions: readonly ListDecision[];
  readonly problem: Problem | null;
  readonly isWorking: boolean;
}

function Result({ result, problem, isWorking }: ResultProps): JSX.Element {
  const session = useSession();
  const [view, setView] = useState<ListView>(result.counts['to be decided'] > 0 ? 'to be decided' : 'missing');
  const [shown, setShown] = useState(ROWS_SHOWN);
  const { list } = result;
  const cases = casesOf(result, view);
  const rows = rowsOf(result, view);
  const save = async (): Promise<void> => {
    const text = await session.caseList.text();
    if (text === null) return;
    try {
      saveFile('case-list.csv', new Blob([text], { type: 'text/csv' }));
    } catch (error) {
      session.messages.add('problem', problemText(describeProblem(error, 'Saving the table')));
    }
  };
  return (
    <>
      <p role="status" className="case-list-counts">{isWorking ? 'Reading the list again…' : headlineText(result)}</p>
      {problem === null ? null : <Notice tone="problem" title="That did not go through; the list stands as before." live><p>{problem.message} {problem.remedy ?? ''}</p></Notice>}
      <div className="row case-list-choices">
        {list.tables.length < 2 ? null : <SelectField label="Table" value={list.table} choices={list.tables.map((name) => ({ value: name, label: name }))} onChange={(table) => void session.caseList.choose({ table })} />}
        <SelectField label="Column that names the cases" value={list.idColumn} choices={withCurrent(list.idColumns, list.idColumn)} onChange={(idColumn) => void session.caseList.choose({ idColumn })} />
        {list.dateColumn === null ? null : <SelectField label="Column of the date" value={list.dateColumn} choices={list.dateColumns.map(columnChoice)} onChange={(dateColumn) => void session.caseList.choose({ dateColumn })} />}
        <Button onClick={() => void save()}>Save as CSV</Button>
        <Button look="quiet" onClick={() => void session.caseList.close()}>Another list…</Button>
      </div>
      <p className="soft">{list.file}: {list.encoding}, cells parted by {list.delimiter}. “{list.idColumn}” was taken because {list.idBecause}.</p>
      {list.notes.length === 0 ? null : <Disclosure summary="How the list was read"><ul>{list.notes.slice(0, MAX_NOTES).map((note) => <li key={note}>{note}</li>)}{list.notes.length > MAX_NOTES ? <li>and {numberText(list.notes.length - MAX_NOTES)} more</li> : null}</ul></Disclosure>}
      <SelectField
        label="Show" value={view} choices={LIST_VIEWS.map((name) => ({ value: name, label: viewText(result, name) }))}
        onChange={(name) => {
          setView(LIST_VIEWS.find((one) => one === name) ?? 'every row');
          setShown(ROWS_SHOWN);
        }}
      />
      {cases === null ? <Rows view={view} rows={rows.slice(0, shown)} isWorking={isWorking} /> : <LibraryCases view={view} cases={cases.slice(0, shown)} />}
      <MoreRows missing={(cases ?? rows).length - shown} onMore={() => setShown(shown + ROWS_SHOWN)}>Show more of {numberText((cases ?? rows).length)}</MoreRows>
      <p className="soft case-list-prose">
        A case that the library lacks may have been cancelled, recorded elsewhere, or left out of the export: the list does not tell. Cases that are missing not by chance make every figure of the library wrong in a way that no interval shows.
      </p>
    </>
  );
}

function columnChoice({ key, filled, fits, isCoded }: ListColumnChoice): { readonly value: string; readonly label: string } {
  return { value: key, label: `${key}: ${numberText(fits)} of ${numberText(filled)} fit${isCoded ? ', kept as codes' : ''}` };
}

/** A column that was chosen by its name is among the choices, also where nothing in it could tell cases apart. */
function withCurrent(columns: readonly ListColumnChoice[], current: string): { readonly value: string; readonly label: string }[] {
  const choices = columns.map(columnChoice);
  return choices.some(({ value }) => value === current) ? choices : [{ value: current, label: current }, ...choices];
}

function Rows({ view, rows, isWorking }: { readonly view: ListView; readonly rows: readonly ReconciledRow[]; readonly isWorking: boolean }): JSX.Element {
  if (rows.length === 0) return <p>No row of the list is in this state.</p>;
  return (
    <div className="grid-scroll" tabIndex={0} role="group" aria-label={`Rows of the list: ${view}`}>
      <table className="plain-table">
        <thead>
          <tr><th scope="col" className="align-right">Row</th><th scope="col">In the list</th><th scope="col">Date</th><FigureHead figure="case-list-row">State</FigureHead><FigureHead figure="case-list-row">Why</FigureHead><th scope="col">Case of the library</th></tr>
        </thead>
        <tbody>
          {rows.map((row) => (
            <tr key={row.line} data-line={row.line}>
              <th scope="row" className="align-right">{numberText(row.line)}</th>
              <td>{row.key === '' ? '–' : row.key}</td>
              <td>{row.date ?? '–'}</td>
              <td><span aria-hidden="true" className="case-list-sign">{STATE_SIGNS[row.state]}</span> {row.state}</td>
              <td>{row.reason === '' ? '–' : row.reason}</td>
              <td><MatchedCase row={row} isWorking={isWorking} /></td>
            </tr>
          ))}
        </tbody>
      </table>
    </div>
  );
}

function MatchedCase({ row, isWorking }: { readonly row: ReconciledRow; readonly isWorking: boolean }): JSX.Element {
  const session = useSession();
  const { caseList } = session;
  const { line, caseKey, caseId, proposals, decision } = row;
  if (row.state === 'to be decided') {
    return (
      <span className="row">
        {proposals.map((one) => <Button key={one.caseKey} disabled={isWorking} aria-label={`Row ${line} is case ${one.caseId}`} onClick={() => void caseList.decide(line, one.caseKey)}>It is {one.caseId}{one.date === null ? '' : ` of ${one.date}`}</Button>)}
        <Button look="quiet" disabled={isWorking} aria-label={`Row ${line} is none of the proposed cases`} onClick={() => void caseList.decide(line, null)}>None of these</Button>
      </span>
    );
  }
  return (
    <span className="row">
      {caseKey === null || caseId === null ? '–' : <Button look="link" onClick={() => session.openCase(caseKey)}>{caseId}</Button>}
      {decision === null ? null : <Button look="quiet" disabled={isWorking} aria-label={`Take back what was decided about row ${line}`} onClick={() => void caseList.decide(line, undefined)}>Decide anew</Button>}
    </span>
  );
}

function LibraryCases({ view, cases }: { readonly view: ListView; readonly cases: readonly ReconciledCase[] }): JSX.Element {
  const session = useSession();
  if (cases.length === 0) return <p>No case of the library is in this state.</p>;
  return (
    <div className="grid-scroll" tabIndex={0} role="group" aria-label={`Cases of the library: ${view}`}>
      <table className="plain-table">
        <thead><tr><th scope="col">Case of the library</th><th scope="col">Date</th><FigureHead figure="case-list-row">State</FigureHead><FigureHead figure="case-list-row">Why</FigureHead></tr></thead>
        <tbody>
          {cases.map(({ caseKey, caseId, date, state, reason }) => (
            <tr key={`${caseKey} ${reason}`}>
              <th scope="row"><Button look="link" onClick={() => session.openCase(caseKey)}>{caseId}</Button></th>
              <td>{date ?? '–'}</td>
              <td><span aria-hidden="true" className="case-list-sign">{STATE_SIGNS[state]}</span> {state}</td>
              <td>{reason === '' ? '–' : reason}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </div>
  );
}
