import { useEffect, useMemo, useRef, useState, type JSX, type KeyboardEvent } from 'react';
import type { FilePreview } from '../../../core/model/file-preview.ts';
import { countText, numberText } from '../../format/number-text.ts';
import type { MappingTrial } from '../../state/mapping-desk.ts';
import { mappingOf, type Overrule } from '../../state/overrules.ts';
import { countRules, sameRules } from '../../state/rules-edit.ts';
import { useSession } from '../../state/session.ts';
import { Button } from '../../widgets/button.tsx';
import { Dialog } from '../../widgets/dialog.tsx';
import { Waiting } from '../../widgets/empty-state.tsx';
import { Notice } from '../../widgets/notice.tsx';
import { Tabs } from '../../widgets/tabs.tsx';
import { rowsText } from '../import-panel/report-text.ts';
import { ColumnControls } from './column-controls.tsx';
import { FileControls } from './file-controls.tsx';
import { KeptPart } from './kept-part.tsx';
import { isOpenColumn } from './outcome-text.ts';
import { PhraseControls } from './phrase-controls.tsx';
import { describeRows, rowsLeftOut } from './row-model.ts';
import { RowTables } from './row-tables.tsx';
import { overrulesOf } from './rules-text.ts';
import { SaveMappingDialog } from './save-mapping-dialog.tsx';

/** Returns the screen on which one file's rows are laid beside what they become, and everything about its reading is said. */
export function MappingScreen({ trial, said }: { readonly trial: MappingTrial; readonly said: readonly Overrule[] }): JSX.Element {
  const session = useSession();
  const { desk } = session;
  const { rules, preview } = trial;
  const { shown } = preview;
  const [chosen, setChosen] = useState<string | null>(null);
  const [part, setPart] = useState('column');
  const [asking, setAsking] = useState<'save' | 'leave' | null>(null);
  const [remark, setRemark] = useState<string | null>(null);
  const isChanged = !sameRules(rules, trial.atStart);

  const model = useMemo(() => (shown === null ? null : describeRows(shown)), [shown]);
  // The first thing to look at is a column that nobody is sure of.
  const first = shown === null ? null : (shown.columns.find(isOpenColumn) ?? shown.columns.find((column) => column.role === 'value') ?? shown.columns[0] ?? null);
  const current = chosen ?? first?.key ?? null;
  useEffect(() => {
    void session.mappings.load();
  }, [session]);
  const heading = useRef<HTMLHeadingElement>(null);
  // The button that opened this screen is gone: whoever uses the keyboard goes on at its head.
  useEffect(() => heading.current?.focus(), []);

  const readAgain = (): void => {
    // What a saved mapping said and nobody changed keeps the mapping's name.
    const known = new Map(said.map((overrule) => [`${overrule.field} ${JSON.stringify(overrule.rules)}`, overrule]));
    session.imports.sayAll(new Map([[trial.file, overrulesOf(rules).map((own) => known.get(`${own.field} ${JSON.stringify(own.rules)}`) ?? own)]]));
    desk.close();
    void session.imports.readAgain();
  };
  const onKeyDown = (event: KeyboardEvent): void => {
    if (!(event.ctrlKey || event.metaKey) || event.altKey || event.key.toLowerCase() !== 'z') return;
    event.preventDefault();
    if (event.shiftKey) desk.redo();
    else desk.undo();
  };
  const choose = (key: string): void => {
    setChosen(key);
    setPart('column');
  };
  const mapping = mappingOf(said);
  const change: typeof desk.change = (next, step) => {
    // The column that is being settled stays in place once it is no longer the first open one.
    setChosen(current);
    desk.change(next, step);
  };

  return (
    <div className="mapping" onKeyDown={onKeyDown}>
      <div className="mapping-bar">
        <div>
          <h1 ref={heading} tabIndex={-1}>How this file is read</h1>
          <p className="soft mapping-file">{trial.file}{mapping === null ? '' : ` — begun with the saved mapping “${mapping}”`}</p>
        </div>
        <div className="row">
          <Button disabled={!trial.canUndo} onClick={() => desk.undo()} title="Ctrl Z">Undo</Button>
          <Button disabled={!trial.canRedo} onClick={() => desk.redo()} title="Ctrl Shift Z">Redo</Button>
          <Button disabled={countRules(rules) === 0} onClick={() => desk.change({})}>Back to what Lacuna found</Button>
          <Button disabled={shown === null} onClick={() => setAsking('save')}>Save as a mapping…</Button>
          <Button look="primary" disabled={!isChanged} title={isChanged ? undefined : 'Nothing was said yet that the report does not have'} onClick={readAgain}>Read again with this</Button>
          <Button onClick={() => (isChanged ? setAsking('leave') : desk.close())}>Back to the report</Button>
        </div>
      </div>
      <StateLine trial={trial} remark={remark} onRetry={() => desk.retry()} />
      {shown === null || model === null ? (
        preview.problem === null ? <Waiting>Reading the first rows…</Waiting> : null
      ) : (
        <div className="mapping-body">
          <RowTables preview={shown} model={model} isStale={preview.isStale} chosen={current} atLine={trial.atLine} onChoose={choose} />
          <aside className="mapping-panel" aria-label="What is said about this file">
            <Tabs
              label="What is said about" chosen={part} onChoose={setPart}
              tabs={[
                { id: 'column', label: 'A column', content: () => <ColumnControls rules={rules} preview={shown} onChange={change} chosen={current} onChoose={setChosen} /> },
                { id: 'file', label: 'The file', content: () => <FileControls rules={rules} preview={shown} onChange={desk.change} /> },
                { id: 'phrases', label: shown.unknownPhrases.length === 0 ? 'Phrases' : `Phrases (${numberText(shown.unknownPhrases.length)})`, content: () => <PhraseControls rules={rules} preview={shown} onChange={desk.change} /> },
                { id: 'kept', label: 'What is kept', content: () => <KeptPart preview={shown} /> },
              ]}
            />
          </aside>
        </div>
      )}
      {asking === 'save' && shown !== null ? (
        <SaveMappingDialog
          rules={rules} preview={shown} onClose={() => setAsking(null)}
          onSaved={(name) => {
            setAsking(null);
            setRemark(`Saved as the mapping “${name}”.`);
          }}
        />
      ) : null}
      {asking === 'leave' ? (
        <Dialog
          title="Leave without reading again?" onClose={() => setAsking(null)}
          actions={
            <>
              <Button onClick={() => setAsking(null)}>Stay</Button>
              <Button onClick={() => desk.close()}>Leave</Button>
              <Button look="primary" onClick={readAgain}>Read again with this</Button>
            </>
          }
        >
          <p>What you said here is not applied yet. The report stays as it is when you leave.</p>
        </Dialog>
      ) : null}
    </div>
  );
}

function StateLine({ trial, remark, onRetry }: { readonly trial: MappingTrial; readonly remark: string | null; readonly onRetry: () => void }): JSX.Element {
  const { preview, rules } = trial;
  const { shown } = preview;
  const nSaid = countRules(rules);
  return (
    <div className="mapping-state">
      <p className="soft" role="status">
        {nSaid === 0 ? 'As Lacuna found it.' : `${countText(nSaid, 'thing', 'things')} said by you or a mapping.`} {shown === null ? '' : sampleText(shown)}{preview.isStale && shown !== null ? ' Trying your change…' : ''} {remark ?? ''}
      </p>
      {preview.problem === null ? null : <Notice tone="problem" title={shown === null ? 'The first rows could not be read.' : 'This could not be tried; the rows are from before your last change.'} live><p>{preview.problem.message} {preview.problem.remedy ?? ''}</p><Button disabled={preview.isStale} onClick={onRetry}>Try again</Button></Notice>}
      {shown === null || shown.failure === null ? null : (
        <Notice tone="caution" title="Read so, the file does not come in."><p>{shown.failure.message}{shown.rows.length === 0 ? ` ${shown.failure.remedy ?? ''}` : ' Say on the right what its columns are.'}</p></Notice>
      )}
    </div>
  );
}

function sampleText(preview: FilePreview): string {
  if (preview.rowsRead === 0) return '';
  const sum = rowsText({ rows_read: preview.rowsRead, rows_accepted: preview.rowsAccepted, rows_rejected: preview.rowsRejected });
  const missing = rowsLeftOut(preview);
  const shown = missing === 0 ? '' : ` Shown are the first rows and further ones with something to look at; ${countText(missing, 'row is', 'rows are')} left out: where a double line stands, and after the last.`;
  return preview.isWhole ? `${sum}.${shown}` : `The start of the file: ${sum}.${shown} Reading again takes all of it.`;
}
