import { useRef, useState, type JSX } from 'react';
import { isReservedSetName, PARAMETER_PRESETS } from '../../../core/model/parameter-presets.ts';
import type { AnalysisParameters } from '../../../core/model/parameters.ts';
import { definitionText } from '../../format/definition-text.ts';
import { sameParameters } from '../../../core/model/same-parameters.ts';
import { useSession } from '../../state/session.ts';
import { useStore } from '../../state/store.ts';
import { Button } from '../../widgets/button.tsx';
import { TextField } from '../../widgets/field.tsx';
import { Notice } from '../../widgets/notice.tsx';

/** Returns the sets of definitions: those that come with the program and those kept under a name. */
export function SetsTab(): JSX.Element {
  const session = useSession();
  const { draft, saved, sets, problem } = useStore(session.definitions);
  return (
    <div className="sets">
      <p>Every result names the set that it was worked out with. Choosing one puts it on trial; the library keeps its own until you say so under “Each definition”.</p>
      {problem === null ? null : <Notice tone="problem" live><p>{problem.message} {problem.remedy ?? ''}</p></Notice>}
      <SaveForm />
      <table className="plain-table">
        <thead><tr><th scope="col">Set</th><th scope="col">What it is</th><th scope="col">Source</th><th scope="col" className="only-screen">Use</th></tr></thead>
        <tbody>
          {PARAMETER_PRESETS.map((preset) => (
            <SetRow key={preset.parameters.name} set={preset.parameters} about={preset.about} source={preset.source} draft={draft} saved={saved} isOwn={false} />
          ))}
          {sets.map((set) => <SetRow key={set.name} set={set} about={sentence(definitionText(set))} source="kept in this library" draft={draft} saved={saved} isOwn />)}
        </tbody>
      </table>
    </div>
  );
}

function sentence(text: string): string {
  return `${text.charAt(0).toUpperCase()}${text.slice(1)}.`;
}

interface SetRowProps {
  readonly set: AnalysisParameters;
  readonly about: string;
  readonly source: string;
  readonly draft: AnalysisParameters;
  readonly saved: AnalysisParameters | null;
  readonly isOwn: boolean;
}

function SetRow({ set, about, source, draft, saved, isOwn }: SetRowProps): JSX.Element {
  const session = useSession();
  const isDraft = sameParameters(set, draft) && set.name === draft.name;
  const marks = [isDraft ? 'looked at now' : '', saved !== null && sameParameters(set, saved) ? 'used by the library' : ''].filter(Boolean).join(', ');
  return (
    <tr>
      <th scope="row">{set.name}{marks === '' ? null : <span className="under soft">{marks}</span>}</th>
      <td>{about}</td>
      <td className="soft">{source}</td>
      <td className="only-screen">
        <span className="row">
          <Button disabled={isDraft} aria-label={`Put the set ${set.name} on trial`} onClick={() => session.definitions.choose(set)}>Put on trial</Button>
          <Button look="quiet" aria-label={`Write the set ${set.name} to a file`} onClick={() => writeFile(set)}>To a file</Button>
          {isOwn ? <Button look="quiet" aria-label={`Remove the set ${set.name}`} onClick={() => void session.definitions.removeSet(set.name)}>Remove</Button> : null}
        </span>
      </td>
    </tr>
  );
}

function SaveForm(): JSX.Element {
  const session = useSession();
  const { draft, sets } = useStore(session.definitions);
  const [name, setName] = useState('');
  const fileRef = useRef<HTMLInputElement>(null);
  const wanted = name.trim();
  const fault = isReservedSetName(wanted) ? 'this is a name of the program’s own.' : wanted.length > 200 ? 'it is longer than 200 letters.' : null;
  const replaces = sets.some((set) => set.name === wanted);
  const save = async (): Promise<void> => {
    if (!(await session.definitions.saveAs(wanted))) return;
    setName('');
    session.messages.add('note', `The set “${wanted}” is kept in this library.`);
  };
  const read = async (file: File): Promise<void> => {
    if (await session.definitions.readSet(await file.text())) session.messages.add('note', 'The set of the file is on trial; keep it under a name to have it again.');
  };
  return (
    <div className="sets-form">
      <TextField label={`Keep what is looked at now (“${draft.name}”) under the name`} value={name} onChange={setName} error={fault} />
      <Button look="primary" disabled={wanted === '' || fault !== null} onClick={() => void save()}>{replaces ? 'Replace the set of this name' : 'Keep'}</Button>
      <Button onClick={() => fileRef.current?.click()}>Read a set from a file…</Button>
      <input
        ref={fileRef} type="file" accept="application/json,.json" className="visually-hidden" tabIndex={-1} aria-label="File with a set of definitions"
        onChange={(event) => {
          const file = event.target.files?.[0];
          event.target.value = '';
          if (file !== undefined) void read(file);
        }}
      />
    </div>
  );
}

/** Hands a set over as the file that the run without a window takes with --parameters. */
function writeFile(set: AnalysisParameters): void {
  const address = URL.createObjectURL(new Blob([`${JSON.stringify(set, null, 2)}\n`], { type: 'application/json' }));
  const link = document.createElement('a');
  link.href = address;
  link.download = `definitions-${set.name.replace(/[^A-Za-z0-9]+/g, '-').toLowerCase()}.json`;
  link.click();
  URL.revokeObjectURL(address);
}
