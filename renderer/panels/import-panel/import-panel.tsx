import { useRef, useState, type DragEvent, type JSX } from 'react';
import type { ImportResult, StagedMatch } from '../../../core/protocol/host-api.ts';
import { byteText, countText, numberText } from '../../format/number-text.ts';
import { instantText, isKnownZone } from '../../format/time-text.ts';
import { filesFromDrop, filesFromInput, type ChosenFile } from '../../state/dropped-files.ts';
import type { ImportProgress, ImportState } from '../../state/import-session.ts';
import { countOverrules, mergeOverrules, sameOverrules } from '../../state/overrules.ts';
import { describeProblem } from '../../state/problem.ts';
import { useSession } from '../../state/session.ts';
import { useStore } from '../../state/store.ts';
import { Button } from '../../widgets/button.tsx';
import { Dialog } from '../../widgets/dialog.tsx';
import { SelectField, TextField } from '../../widgets/field.tsx';
import { Notice } from '../../widgets/notice.tsx';
import { Progress } from '../../widgets/progress.tsx';
import { MappingOffers } from '../mapping/mapping-offers.tsx';
import { MappingScreen } from '../mapping/mapping-screen.tsx';
import { SavedMappingList } from '../mapping/saved-mapping-list.tsx';
import { UnsureFiles } from '../mapping/unsure-files.tsx';
import { unchangedText } from './change-text.ts';
import { ChangedCases } from './changed-cases.tsx';
import { CoverageTable } from './coverage-table.tsx';
import { FileSection } from './file-section.tsx';
import { InterruptedImports } from './interrupted-imports.tsx';
import { doneText } from './progress-text.ts';
import { knownZones } from './reading-choices.ts';
import { filesByConcern, headlineText, openGuesses, rowsText, sumReports } from './report-text.ts';

/** Returns the import: choosing, reading, and the report. */
export function ImportPanel(): JSX.Element {
  const session = useSession();
  const state = useStore(session.imports);
  const trial = useStore(session.desk);
  if (state.kind === 'report' && trial !== null) return <MappingScreen key={trial.file} trial={trial} said={state.overrules.get(trial.file) ?? []} />;
  switch (state.kind) {
    case 'working':
      return <Working progress={state.progress} isCancelling={state.cancelling} nEarlier={state.earlier.length} />;
    case 'known':
      return <Known earlier={state.earlier} byteLength={state.byteLength} />;
    case 'report':
      return <Report state={state} />;
    case 'idle':
      return <Choose />;
    case 'cancelled':
      return <Choose notice={<Notice tone="note" title="The import was cancelled." live><p>Nothing of it was stored. The files you chose were not changed.</p></Notice>} />;
    case 'failed':
      return (
        <Choose
          notice={
            <Notice tone="problem" title="The import did not go through." live>
              <p>{state.problem.message}</p>
              {state.problem.remedy === null ? null : <p>What to do: {state.problem.remedy}</p>}
            </Notice>
          }
        />
      );
  }
}

function Choose({ notice }: { readonly notice?: JSX.Element }): JSX.Element {
  const session = useSession();
  const filesRef = useRef<HTMLInputElement>(null);
  const folderRef = useRef<HTMLInputElement>(null);
  const [isOver, setIsOver] = useState(false);
  const [remark, setRemark] = useState<string | null>(null);
  const start = (files: readonly ChosenFile[]): void => {
    if (files.length === 0) setRemark('There was no file in what you chose.');
    else void session.imports.start(files);
  };
  const onDrop = (event: DragEvent): void => {
    event.preventDefault();
    setIsOver(false);
    filesFromDrop(event.dataTransfer.items).then(start, (error: unknown) => setRemark(describeProblem(error, 'Reading what was dropped').message));
  };
  const onInput = (input: HTMLInputElement): void => {
    const chosen = filesFromInput(input.files ?? []);
    input.value = ''; // choosing the same files a second time must count as a choice
    start(chosen);
  };
  return (
    <div className="page import">
      <h1>Import</h1>
      {notice ?? null}
      <InterruptedImports />
      {remark === null ? null : <Notice tone="problem" live><p>{remark}</p></Notice>}
      <div
        className={`drop-zone${isOver ? ' drop-zone-over' : ''}`} data-testid="drop-zone"
        onDragOver={(event) => {
          event.preventDefault();
          setIsOver(true);
        }}
        onDragLeave={() => setIsOver(false)}
        onDrop={onDrop}
      >
        <p className="drop-title">Drop files or folders here</p>
        <p className="soft">or choose them</p>
        <div className="row">
          <Button look="primary" onClick={() => filesRef.current?.click()}>Choose files…</Button>
          <Button onClick={() => folderRef.current?.click()}>Choose a folder…</Button>
        </div>
        <input ref={filesRef} type="file" multiple hidden data-testid="file-input" onChange={(event) => onInput(event.target)} />
        <input ref={folderRef} type="file" hidden data-testid="folder-input" onChange={(event) => onInput(event.target)} {...{ webkitdirectory: '' }} />
      </div>
      <div className="prose import-help">
        <h2>What can be read</h2>
        <ul>
          <li>Delimited text: comma, semicolon, tab or upright stroke between cells; decimal point or comma; the usual encodings. Printed logs.</li>
          <li>XLSX workbooks with every sheet; HL7 FHIR R4 as JSON, NDJSON or XML; HL7 v2 results; EDF and EDF+; tables of codes beside the files that use them; and any of these in a zip archive or gzip file.</li>
          <li>Values over time (wide or long tables), drugs given, events, and lists of cases. What a file holds is found from its content, not from its name.</li>
          <li>What identifies persons is recognised and left out: names, record numbers and birth dates, and what looks like them in texts. The report lists it, and each column can be kept.</li>
          <li>Files in one folder that name no case belong to one case, named after the folder. A file with a case column may hold many.</li>
        </ul>
        <p className="soft">
          Your files are read, never changed. Afterwards the report says for every file what it was read as, which rows were rejected and why, and what had to be guessed; each guess can be overruled.
        </p>
      </div>
      <SavedMappingList />
    </div>
  );
}

const STAGE_TEXT: Readonly<Record<ImportProgress['stage'], string>> = {
  'handing over': 'Handing over',
  'reading': 'Reading',
  'analysing': 'Analysing',
  'writing': 'Storing',
};

function Working({ progress, isCancelling, nEarlier }: { readonly progress: ImportProgress; readonly isCancelling: boolean; readonly nEarlier: number }): JSX.Element {
  const session = useSession();
  return (
    <div className="page import">
      <h1>Import</h1>
      <Progress label={`${STAGE_TEXT[progress.stage]} ${progress.file}`} done={progress.bytesDone} total={progress.bytesTotal} />
      <p className="soft">{doneText(progress)}</p>
      <p className="visually-hidden" role="status">{STAGE_TEXT[progress.stage]}</p>
      {nEarlier === 0 ? null : <p>{countText(nEarlier, 'of these files was', 'of these files were')} read before; the report will say into which cases. Nothing is stored twice.</p>}
      <Button disabled={isCancelling} onClick={() => void session.imports.cancel()}>{isCancelling ? 'Stopping…' : 'Cancel'}</Button>
      <p className="soft">You can go on looking at cases meanwhile.</p>
    </div>
  );
}

/** Says that every file was read before, and asks whether to read them again. */
function Known({ earlier, byteLength }: { readonly earlier: ImportResult['earlier']; readonly byteLength: number }): JSX.Element {
  const session = useSession();
  return (
    <div className="page import">
      <h1>Import</h1>
      <ReadBefore earlier={earlier} live />
      <p>Not one byte differs. To read {byteText(byteLength)} again takes its time and stores nothing twice; it only makes sense where the files are to be read otherwise, or where a case was removed.</p>
      <div className="row">
        <Button look="primary" onClick={() => void session.imports.finish()}>Leave it</Button>
        <Button onClick={() => void session.imports.readKnown()}>Read again all the same</Button>
      </div>
    </div>
  );
}

/** Files of an import up to this many are all shown opened when they give reason to look. */
const OPENED_FILES = 6;

function Report({ state }: { readonly state: Extract<ImportState, { kind: 'report' }> }): JSX.Element {
  const session = useSession();
  const { result, overrules } = state;
  const [isFinishing, setIsFinishing] = useState(false);
  const sums = sumReports(result.files);
  const isUnread = !sameOverrules(overrules, state.appliedOverrules) || state.zone !== state.appliedZone;
  const waiting = result.changed.filter(({ decision }) => decision === null).length;
  const said = countOverrules(overrules) + (state.zone === null ? 0 : 1);
  const finish = (): void => void session.imports.finish();
  return (
    <div className="page import">
      <div className="page-head">
        <h1>Import report</h1>
        <Button onClick={() => (isUnread || waiting > 0 ? setIsFinishing(true) : finish())}>Done, import something else</Button>
      </div>
      <p className="lead" role="status">{headlineText(sums, result.cases.length)}.</p>
      <p>
        {rowsText(sums)}.
        {sums.openGuesses === 0 ? ' Nothing had to be guessed.' : ` ${countText(sums.openGuesses, 'guess is', 'guesses are')} worth a look: ${sums.openGuesses === 1 ? 'it' : 'each'} is shown with its file and can be overruled.`}
        {result.replaced.length === 0 ? '' : ` In the library as a copy that could not be read, and replaced: ${result.replaced.join(', ')}.`}
      </p>
      {state.problem === null ? null : (
        <Notice tone="problem" title="This did not go through; the report below is the earlier one." live><p>{state.problem.message} {state.problem.remedy ?? ''}</p></Notice>
      )}
      <MappingOffers reports={result.files} overrules={overrules} />
      <UnsureFiles reports={result.files} overrules={overrules} />
      {said === 0 && !isUnread ? null : (
        <div className={`read-again${isUnread ? ' read-again-due' : ''}`}>
          <span>
            {isUnread ? `${countText(said, 'overrule', 'overrules')} in force. The figures below are from before your last change.` : `Read with ${countText(said, 'overrule', 'overrules')} of yours.`}
          </span>
          <Button look="primary" disabled={!isUnread} onClick={() => void session.imports.readAgain()}>Read again</Button>
        </div>
      )}
      {state.again === null ? null : <TakenAgain again={state.again} />}
      {result.earlier.length === 0 ? null : <ReadBefore earlier={result.earlier} />}
      {result.unchanged.length === 0 ? null : <Unchanged result={result} />}
      {result.changed.length === 0 ? null : <ChangedCases result={result} isDeciding={state.isDeciding} />}
      {result.cases.length === 0 ? null : (
        <section>
          <h2>Cases</h2>
          <CoverageTable cases={result.cases} />
        </section>
      )}
      <section>
        <h2>Files</h2>
        <ZoneChoice zone={state.zone} onZone={session.imports.sayZone} />
        {filesByConcern(result.files).map((report) => (
          <FileSection
            key={report.file} report={report} rejectedRows={result.rejectedRows} rejectedRowsCut={result.rejectedRowsCut} said={overrules.get(report.file) ?? []}
            isOpen={report.failure !== null || (result.files.length <= OPENED_FILES && (report.rows_rejected > 0 || openGuesses(report).length > 0))}
            othersAreIn={sums.files > sums.failed}
            onSay={(overrule) => session.imports.say(report.file, overrule)}
            onUnsay={(field) => session.imports.unsay(report.file, field)}
            onLayOut={(atLine) => session.desk.open(report.file, mergeOverrules(overrules.get(report.file) ?? []), atLine)}
          />
        ))}
        {result.rejectedRowsCut ? <p className="soft">Of the rejected rows {numberText(result.rejectedRows.length)} are carried to this window; the counts are complete.</p> : null}
      </section>
      {isFinishing ? (
        <Dialog
          title={isUnread ? 'Leave without reading again?' : 'Leave without deciding?'} onClose={() => setIsFinishing(false)}
          actions={
            <>
              <Button onClick={() => setIsFinishing(false)}>Stay</Button>
              <Button look="primary" onClick={finish}>Leave</Button>
            </>
          }
        >
          {isUnread ? <p>What you overruled since the last reading has not been applied. The cases stay in the library as the report shows them.</p> : null}
          {waiting === 0 ? null : <p>{countText(waiting, 'case', 'cases')} of this import {waiting === 1 ? 'differs' : 'differ'} from the library and {waiting === 1 ? 'waits' : 'wait'} for a decision. If you leave, the library keeps the earlier {waiting === 1 ? 'one' : 'ones'}.</p>}
        </Dialog>
      ) : null}
    </div>
  );
}

/** Cases named in a sentence. */
const NAMED = 12;

function Unchanged({ result }: { readonly result: ImportResult }): JSX.Element {
  const { unchanged } = result;
  const named = unchanged.slice(0, NAMED).map(unchangedText).join(', ');
  return (
    <Notice tone="note" title={`${countText(unchanged.length, 'case is', 'cases are')} in the library already; nothing was stored a second time.`}>
      <p>{named}{unchanged.length > NAMED ? ` and ${unchanged.length - NAMED} more` : ''}. To have the files read otherwise, overrule the reading below and read again.</p>
    </Notice>
  );
}

function ReadBefore({ earlier, live = false }: { readonly earlier: ImportResult['earlier']; readonly live?: boolean }): JSX.Element {
  const session = useSession();
  const openEntry = (importId: string, run: number): void => {
    session.importPart.set('ledger');
    void session.ledger.open(importId, run);
  };
  return (
    <Notice tone="note" title={`${countText(earlier.length, 'file was', 'files were')} read before.`} live={live}>
      <ul>
        {earlier.slice(0, NAMED).map(({ file, reading }) => (
          <li key={file}>
            {file}: already read on {instantText(reading.at)}{reading.file === file ? '' : ` as ${reading.file}`} into {reading.caseIds.length === 0 ? 'no case' : `${reading.caseIds.length === 1 ? 'case' : 'cases'} ${reading.caseIds.slice(0, 3).join(', ')}${reading.caseIds.length > 3 ? ` and ${reading.caseIds.length - 3} more` : ''}`}.{' '}
            <Button look="link" className="only-screen" onClick={() => openEntry(reading.importId, reading.run)} aria-label={`Show that import of ${file}`}>Show that import</Button>
          </li>
        ))}
      </ul>
      {earlier.length > NAMED ? <p>and {earlier.length - NAMED} more; the ledger has them all.</p> : null}
    </Notice>
  );
}

function TakenAgain({ again }: { readonly again: StagedMatch }): JSX.Element {
  const { matched, missing, foreign } = again;
  return (
    <Notice tone={missing.length + foreign.length > 0 ? 'caution' : 'note'} title={`${countText(matched.length, 'file', 'files')} of an earlier import taken in again, as read then.`}>
      <p>Correct the reading of a file below, then press Read again: rows that were rejected come in, and cases that change are shown before they are replaced.</p>
      {missing.length === 0 ? null : <p>Not chosen: {missing.slice(0, NAMED).map(({ file }) => file).join(', ')}. Cases made from them as well lack what they hold; choose all files together to keep it.</p>}
      {foreign.length === 0 ? null : <p>Left out, because their content is not that of any file of that import: {foreign.slice(0, NAMED).join(', ')}.</p>}
    </Notice>
  );
}

function ZoneChoice({ zone, onZone }: { readonly zone: string | null; readonly onZone: (zone: string | null) => void }): JSX.Element {
  const [zones] = useState(knownZones);
  const [text, setText] = useState(zone ?? '');
  const hint = 'Applies to every clock time that states no zone of its own. Without it UTC is taken, and the report says so.';
  if (zones.length > 0) {
    return (
      <SelectField
        label="Time zone of these files" hint={hint} value={zone ?? ''} onChange={(value) => onZone(value === '' ? null : value)}
        choices={[{ value: '', label: 'not stated' }, ...zones.map((name) => ({ value: name, label: name }))]}
      />
    );
  }
  const fault = text.trim() !== '' && !isKnownZone(text.trim()) ? 'this computer knows no zone of that name (write it as Europe/London).' : null;
  return (
    <TextField
      label="Time zone of these files" hint={hint} value={text} error={fault}
      onChange={(value) => {
        setText(value);
        const wanted = value.trim();
        if (wanted === '') onZone(null);
        else if (isKnownZone(wanted)) onZone(wanted);
      }}
    />
  );
}
