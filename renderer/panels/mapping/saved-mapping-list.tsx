import { useEffect, useRef, useState, type JSX } from 'react';
import type { Mapping } from '../../../core/model/mapping.ts';
import { countText } from '../../format/number-text.ts';
import { FigureHead } from '../../help/figure-help.tsx';
import { describeProblem, type Problem } from '../../state/problem.ts';
import { countRules } from '../../state/rules-edit.ts';
import { useSession } from '../../state/session.ts';
import { useStore } from '../../state/store.ts';
import { Button } from '../../widgets/button.tsx';
import { Dialog } from '../../widgets/dialog.tsx';
import { Waiting } from '../../widgets/empty-state.tsx';
import { TextField } from '../../widgets/field.tsx';
import { Notice } from '../../widgets/notice.tsx';
import { fileNameOf, mappingText } from './mapping-file.ts';

/** A mapping file may hold a few thousand columns; anything larger is something else. */
const MAX_FILE_BYTES = 1_500_000;

type Asking = { readonly kind: 'rename' | 'remove' | 'replace'; readonly mapping: Mapping };

/** Returns the saved mappings with all that can be done to them. */
export function SavedMappingList(): JSX.Element {
  const session = useSession();
  const state = useStore(session.mappings);
  const inputRef = useRef<HTMLInputElement>(null);
  const [asking, setAsking] = useState<Asking | null>(null);
  const [problem, setProblem] = useState<Problem | null>(null);
  const [remark, setRemark] = useState<string | null>(null);
  useEffect(() => {
    void session.mappings.load();
  }, [session]);

  const done = (failed: Problem | null, words: string): void => {
    setProblem(failed);
    setRemark(failed === null ? words : null);
    if (failed === null) setAsking(null);
  };
  const keep = async (mapping: Mapping, replace: boolean): Promise<void> => done(await session.mappings.save(mapping, replace), `“${mapping.name}” is saved.`);
  const readIn = async (file: File): Promise<void> => {
    setRemark(null);
    if (file.size > MAX_FILE_BYTES) {
      setProblem({ message: `${file.name} is too large to be a mapping file.`, remedy: 'Choose the JSON file that was written here or on another computer.' });
      return;
    }
    const read = await session.mappings.read(await file.text());
    if ('problem' in read) setProblem({ ...read.problem, message: `${file.name}: ${read.problem.message}` });
    else if (state.kind === 'ready' && state.mappings.some((mapping) => mapping.name === read.mapping.name.trim())) setAsking({ kind: 'replace', mapping: { ...read.mapping, name: read.mapping.name.trim() } });
    else await keep(read.mapping, false);
  };

  return (
    <section aria-labelledby="saved-mappings">
      <h2 id="saved-mappings">Saved mappings</h2>
      {state.kind === 'loading' ? <Waiting>Looking for saved mappings…</Waiting> : null}
      {state.kind === 'failed' ? <Notice tone="problem" title="The saved mappings are not at hand." live><p>{state.problem.message} {state.problem.remedy ?? ''}</p></Notice> : null}
      {state.kind === 'ready' && state.mappings.length === 0 ? <p className="soft">None yet. What you say about a file’s columns can be saved under a name and is then offered for files of the same shape.</p> : null}
      {state.kind !== 'ready' || state.mappings.length === 0 ? null : (
        <div className="grid-scroll">
          <table className="plain-table">
            <thead><tr><th scope="col">Name</th><FigureHead figure="saved-mapping">Fits</FigureHead><th scope="col">Says</th><th scope="col"><span className="visually-hidden">What can be done</span></th></tr></thead>
            <tbody>
              {state.mappings.map((mapping) => (
                <tr key={mapping.name}>
                  <th scope="row">{mapping.name}</th>
                  <td>{mapping.files.map((file, i) => <span key={i} className="under">{matchText(file.match)}</span>)}</td>
                  <td>{mapping.files.map((file, i) => <span key={i} className="under">{countText(countRules(file.reading), 'thing', 'things')}</span>)}</td>
                  <td>
                    <span className="row">
                      <Button look="link" className="only-screen" aria-label={`Write to a file: ${mapping.name}`} onClick={() => writeOut(mapping)}>Write to a file</Button>
                      <Button look="link" className="only-screen" aria-label={`Rename ${mapping.name}`} onClick={() => setAsking({ kind: 'rename', mapping })}>Rename</Button>
                      <Button look="link" className="only-screen" aria-label={`Remove ${mapping.name}`} onClick={() => setAsking({ kind: 'remove', mapping })}>Remove</Button>
                    </span>
                  </td>
                </tr>
              ))}
            </tbody>
          </table>
        </div>
      )}
      <p><Button onClick={() => inputRef.current?.click()}>Read in a mapping file…</Button></p>
      <input
        ref={inputRef} type="file" accept=".json,application/json" hidden data-testid="mapping-input"
        onChange={(event) => {
          const [file] = event.target.files ?? [];
          event.target.value = '';
          if (file !== undefined) void readIn(file).catch((error: unknown) => setProblem(describeProblem(error, 'Reading the file')));
        }}
      />
      {problem === null || asking !== null ? null : <Notice tone="problem" title="That did not go through." live><p>{problem.message} {problem.remedy === null ? '' : `What to do: ${problem.remedy}`}</p></Notice>}
      {remark === null ? null : <p className="soft" role="status">{remark}</p>}
      {asking === null ? null : (
        <AskDialog
          asking={asking} problem={problem}
          onClose={() => {
            setAsking(null);
            setProblem(null);
          }}
          onRename={async (to) => done(await session.mappings.rename(asking.mapping.name, to), `It is called “${to.trim()}” now.`)}
          onRemove={async () => done(await session.mappings.remove(asking.mapping.name), `“${asking.mapping.name}” is removed.`)}
          onReplace={() => keep(asking.mapping, true)}
        />
      )}
    </section>
  );
}

function matchText(match: Mapping['files'][number]['match']): string {
  const parts = [
    match.headings === undefined || match.headings.length === 0 ? '' : `headings ${match.headings.slice(0, 6).join(', ')}${match.headings.length > 6 ? ' …' : ''}`,
    match.fileName === undefined || match.fileName === '' ? '' : `names like ${match.fileName}`,
  ].filter((part) => part !== '');
  return parts.length === 0 ? 'every file' : parts.join('; ');
}

function writeOut(mapping: Mapping): void {
  const address = URL.createObjectURL(new Blob([mappingText(mapping)], { type: 'application/json' }));
  const link = document.createElement('a');
  link.href = address;
  link.download = fileNameOf(mapping.name);
  link.click();
  // The browser has taken the address by the time it comes back to this page.
  setTimeout(() => URL.revokeObjectURL(address), 10_000);
}

interface AskDialogProps {
  readonly asking: Asking;
  readonly problem: Problem | null;
  readonly onClose: () => void;
  readonly onRename: (to: string) => Promise<void>;
  readonly onRemove: () => Promise<void>;
  readonly onReplace: () => Promise<void>;
}

function AskDialog({ asking, problem, onClose, onRename, onRemove, onReplace }: AskDialogProps): JSX.Element {
  const { mapping, kind } = asking;
  const [to, setTo] = useState(mapping.name);
  const words = {
    rename: { title: `Rename “${mapping.name}”`, does: 'Rename' },
    remove: { title: `Remove “${mapping.name}”?`, does: 'Remove' },
    replace: { title: `Replace “${mapping.name}”?`, does: 'Replace' },
  }[kind];
  const run = kind === 'rename' ? () => onRename(to) : kind === 'remove' ? onRemove : onReplace;
  return (
    <Dialog
      title={words.title} onClose={onClose}
      actions={
        <>
          <Button onClick={onClose}>Cancel</Button>
          <Button look="primary" disabled={kind === 'rename' && to.trim() === ''} onClick={() => void run()}>{words.does}</Button>
        </>
      }
    >
      {kind === 'rename' ? <TextField label="New name" value={to} onChange={setTo} /> : null}
      {kind === 'remove' ? <p>Cases that were read with it stay as they are. It is no longer offered.</p> : null}
      {kind === 'replace' ? <p>There is a saved mapping of this name already. The one from the file takes its place.</p> : null}
      {problem === null ? null : <Notice tone="problem" live><p>{problem.message} {problem.remedy ?? ''}</p></Notice>}
    </Dialog>
  );
}
