import { useState, type JSX } from 'react';
import type { LedgerImport, LedgerRun } from '../../../core/model/ledger.ts';
import { byteText, countText, numberText } from '../../format/number-text.ts';
import { instantText } from '../../format/time-text.ts';
import { FigureHead } from '../../help/figure-help.tsx';
import { useSession } from '../../state/session.ts';
import { useStore } from '../../state/store.ts';
import { Button } from '../../widgets/button.tsx';
import { Disclosure } from '../../widgets/disclosure.tsx';
import { SelectField } from '../../widgets/field.tsx';
import { Notice } from '../../widgets/notice.tsx';
import { RejectedRows } from './rejected-rows.tsx';
import { fieldText, guessLines, ledgerSums, outcomeText, shortDigest, stateText } from './ledger-text.ts';
import { MoreRows } from '../../widgets/more-rows.tsx';

/** Entries of a list shown at first, and added by each "show more". */
const SHOWN = 100;

/** Returns one import of the ledger with one of its readings. */
export function LedgerImportView({ opened }: { readonly opened: LedgerImport }): JSX.Element {
  const session = useSession();
  const { line, run, history } = opened;
  const runs = history.filter(({ kind }) => kind === 'run');
  return (
    <div className="page ledger">
      <div className="page-head">
        <h1>Import of {instantText(line.firstAt)}</h1>
        <Button onClick={() => void session.ledger.showList()}>Back to the list</Button>
      </div>
      <p className="lead">How it ended: {stateText(line)}.</p>
      {opened.damaged === 0 ? null : (
        <Notice tone="problem" title={`${countText(opened.damaged, 'entry', 'entries')} of this import cannot be read.`}>
          <p>What stands below is from the others. A newer version of the program may have written it, or the disk has damaged it; the file was left as it is.</p>
        </Notice>
      )}
      <Disclosure summary={`What was done (${history.length})`} isOpen={history.length <= 4}>
        <ul className="notes">{history.map((entry, i) => <li key={i}>{instantText(entry.at)}: {entry.words}</li>)}</ul>
      </Disclosure>
      {runs.length < 2 || run === null ? null : (
        <SelectField
          label="Reading shown" value={String(run.run)} choices={runs.map(({ run: nth, at }) => ({ value: String(nth), label: `reading ${nth}, ${instantText(at)}${nth === runs.at(-1)?.run ? ' (holds)' : ''}` }))}
          onChange={(value) => void session.ledger.open(line.importId, Number(value))}
        />
      )}
      {run === null ? <p>No reading of it went through, so that there is nothing more to show.</p> : <Reading run={run} opened={opened} />}
    </div>
  );
}

function Reading({ run, opened }: { readonly run: LedgerRun; readonly opened: LedgerImport }): JSX.Element {
  return (
    <>
      <p className="soft">
        Read by version {run.productVersion}; zone {run.zone ?? 'not stated, UTC taken where the file states none'}; {run.mapping === null ? 'no mapping for all files together' : `mapping “${run.mapping.name}”`}.
      </p>
      <Files run={run} />
      <RejectedRows run={run} />
      <Guesses run={run} />
      <Columns run={run} />
      <Cases run={run} opened={opened} />
    </>
  );
}

function Files({ run }: { readonly run: LedgerRun }): JSX.Element {
  const [shown, setShown] = useState(SHOWN);
  const sums = ledgerSums(run.files);
  return (
    <section>
      <h2>Files</h2>
      <p className="ledger-sum">
        <strong>{numberText(sums.read)} rows read = {numberText(sums.accepted)} accepted + {numberText(sums.rejected)} rejected;</strong>{' '}
        {sums.addUp ? (sums.rejected === 0 ? 'it adds up.' : `the reasons below account for all ${numberText(sums.rejectedByReason)}: it adds up.`) : 'it does not add up: report this, it is an error inside the program.'}
      </p>
      <div className="grid-scroll">
        <table className="plain-table">
          <thead>
            <tr>
              <th scope="col">File</th><FigureHead figure="ledger">Digest (SHA-256)</FigureHead><FigureHead figure="ledger" className="align-right">Size</FigureHead><FigureHead figure="ledger">Read as</FigureHead>
              <FigureHead figure="ledger" className="align-right">Rows read</FigureHead><FigureHead figure="ledger" className="align-right">Accepted</FigureHead><FigureHead figure="rejected-rows" className="align-right">Rejected</FigureHead><FigureHead figure="ledger">Cases</FigureHead>
            </tr>
          </thead>
          <tbody>
            {run.files.slice(0, shown).map((file) => (
              <tr key={file.file}>
                <th scope="row">{file.file}{file.container === undefined ? null : <span className="soft"> in {file.container.file}</span>}</th>
                <td><details className="digest only-screen"><summary>{shortDigest(file.sha256)}</summary><code>{file.sha256}</code></details><code className="digest-whole only-paper">{file.sha256 === '' ? shortDigest('') : file.sha256}</code></td>
                <td className="align-right">{byteText(file.byte_length)}</td>
                <td>{file.failure === null ? `${file.kind}, ${file.layout}` : <span className="concern">not read: {file.failure.message}</span>}</td>
                <td className="align-right">{numberText(file.rows_read)}</td>
                <td className="align-right">{numberText(file.rows_accepted)}</td>
                <td className="align-right">{numberText(file.rows_rejected)}</td>
                <td>{file.cases.length === 0 ? 'none' : `${file.cases.slice(0, 3).join(', ')}${file.cases.length > 3 ? ` and ${numberText(file.cases.length - 3)} more` : ''}`}</td>
              </tr>
            ))}
          </tbody>
          <tfoot>
            <tr>
              <th scope="row" colSpan={4}>{countText(run.files.length, 'file', 'files')} together</th>
              <td className="align-right">{numberText(sums.read)}</td><td className="align-right">{numberText(sums.accepted)}</td><td className="align-right">{numberText(sums.rejected)}</td><td />
            </tr>
          </tfoot>
        </table>
      </div>
      <MoreRows missing={run.files.length - shown} onMore={() => setShown(shown + SHOWN)}>Show more files</MoreRows>
    </section>
  );
}

function Guesses({ run }: { readonly run: LedgerRun }): JSX.Element {
  const [shown, setShown] = useState(SHOWN);
  const lines = guessLines(run);
  return (
    <section>
      <h2>Guesses and what was said instead</h2>
      {lines.length === 0 ? <p>Nothing had to be guessed, and nobody said anything.</p> : (
        <div className="grid-scroll">
          <table className="plain-table">
            <thead><tr><th scope="col">File</th><th scope="col">About</th><FigureHead figure="ledger">Taken by the program</FigureHead><th scope="col">Because</th><th scope="col">Said instead</th></tr></thead>
            <tbody>
              {lines.slice(0, shown).map((line, i) => (
                <tr key={i}>
                  <th scope="row">{line.file}</th>
                  {line.kind === 'guess' ? (
                    <><td>{fieldText(line.guess.field)}</td><td>{line.guess.taken}</td><td>{line.guess.because} ({line.guess.certainty})</td><td className="soft">nothing: it stood</td></>
                  ) : (
                    <><td>{fieldText(line.overruled.field)}</td><td>{line.overruled.taken ?? 'not read without it'}</td><td>–</td><td><strong>overruled:</strong> <code>{line.overruled.said}</code>{line.overruled.mapping === null || line.overruled.mapping === '' ? ' by hand' : ` by the mapping “${line.overruled.mapping}”`}</td></>
                  )}
                </tr>
              ))}
            </tbody>
          </table>
        </div>
      )}
      <MoreRows missing={lines.length - shown} onMore={() => setShown(shown + SHOWN)}>Show more guesses</MoreRows>
    </section>
  );
}

function Columns({ run }: { readonly run: LedgerRun }): JSX.Element {
  const [shown, setShown] = useState(SHOWN);
  const files = run.files.filter(({ columns }) => columns.length > 0);
  return (
    <section>
      <h2>What each column was read as</h2>
      {files.slice(0, shown).map((file) => (
        <Disclosure key={file.file} summary={`${file.file} (${countText(file.columns.length, 'column', 'columns')})`}>
          <table className="plain-table">
            <thead><tr><th scope="col">In the file</th><FigureHead figure="ledger">Read as</FigureHead><FigureHead figure="values-read" className="align-right">Values</FigureHead><FigureHead figure="values-read" className="align-right">Without a value</FigureHead></tr></thead>
            <tbody>
              {file.columns.map((column, i) => (
                <tr key={i}><th scope="row">{column.heading === '' ? '(no heading)' : column.heading}</th><td>{column.readAs}</td><td className="align-right">{numberText(column.values)}</td><td className="align-right">{numberText(column.missing)}</td></tr>
              ))}
            </tbody>
          </table>
        </Disclosure>
      ))}
      {files.length === 0 ? <p>No file had columns.</p> : null}
      <MoreRows missing={files.length - shown} onMore={() => setShown(shown + SHOWN)}>Show more files</MoreRows>
    </section>
  );
}

function Cases({ run, opened }: { readonly run: LedgerRun; readonly opened: LedgerImport }): JSX.Element {
  const session = useSession();
  const library = useStore(session.library);
  const [shown, setShown] = useState(SHOWN);
  const keys = new Set(library.kind === 'ready' ? library.cases.map(({ caseKey }) => caseKey) : []);
  return (
    <section>
      <h2>Cases</h2>
      {run.cases.length === 0 ? <p>The files made no case.</p> : (
        <table className="plain-table">
          <thead><tr><th scope="col">Case</th><FigureHead figure="ledger">What became of it</FigureHead><th scope="col"><span className="visually-hidden">Open</span></th></tr></thead>
          <tbody>
            {run.cases.slice(0, shown).map((one, i) => (
              <tr key={i}>
                <th scope="row">{one.caseId}</th>
                <td>{outcomeText(one, opened.decisions)}</td>
                <td>{keys.has(one.caseKey) ? <Button look="link" className="only-screen" onClick={() => session.openCase(one.caseKey)} aria-label={`Open ${one.caseId}`}>Open</Button> : <span className="soft">no longer in the library</span>}</td>
              </tr>
            ))}
          </tbody>
        </table>
      )}
      <MoreRows missing={run.cases.length - shown} onMore={() => setShown(shown + SHOWN)}>Show more cases</MoreRows>
    </section>
  );
}
