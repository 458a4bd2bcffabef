import { useRef, useState, type JSX } from 'react';
import type { TakenDefinitions, TakenKind } from '../../../core/protocol/library-calls.ts';
import { saveFile } from '../../charts/save-file.ts';
import { countText, numberText } from '../../format/number-text.ts';
import { describeProblem, type Problem } from '../../state/problem.ts';
import { useSession } from '../../state/session.ts';
import { Button } from '../../widgets/button.tsx';
import { Notice } from '../../widgets/notice.tsx';

/** As the schema of the call has it. */
const MAX_FILE_BYTES = 16_000_000;

const KINDS: readonly { readonly kind: keyof TakenDefinitions; readonly one: string; readonly many: string }[] = [
  { kind: 'mappings', one: 'mapping', many: 'mappings' },
  { kind: 'parameterSets', one: 'set of definitions', many: 'sets of definitions' },
  { kind: 'protocols', one: 'protocol', many: 'protocols' },
  { kind: 'charts', one: 'quality chart', many: 'quality charts' },
];

/** Returns the part that gives the library's definitions away without patients, and takes in those of another. */
export function SharePart(): JSX.Element {
  const session = useSession();
  const inputRef = useRef<HTMLInputElement>(null);
  const [isWorking, setIsWorking] = useState(false);
  const [problem, setProblem] = useState<(Problem & { readonly doing: string }) | null>(null);
  const [notShared, setNotShared] = useState<readonly { readonly what: string; readonly why: string }[] | null>(null);
  const [taken, setTaken] = useState<TakenDefinitions | null>(null);
  const run = async (act: () => Promise<void>, doing: string): Promise<void> => {
    setIsWorking(true);
    [setProblem, setNotShared, setTaken].forEach((set) => set(null));
    try {
      await act();
    } catch (error) {
      setProblem({ ...describeProblem(error, doing), doing });
    }
    setIsWorking(false);
  };
  const save = (): Promise<void> =>
    run(async () => {
      const { text } = await session.host.shareDefinitions();
      saveFile('lacuna-definitions.json', new Blob([text], { type: 'application/json' }));
      const { notShared: left } = JSON.parse(text) as { readonly notShared: readonly { readonly what: string; readonly why: string }[] }; // the host has just written it by its schema
      setNotShared(left);
    }, 'Saving the definitions');
  const take = (file: File): Promise<void> =>
    run(async () => {
      if (file.size > MAX_FILE_BYTES) throw new Error(`${file.name} is too large to be a file of definitions.`);
      setTaken(await session.host.takeDefinitions({ text: await file.text() }));
    }, `Taking in ${file.name}`);
  return (
    <section aria-labelledby="share-heading">
      <h2 id="share-heading">Definitions without patients</h2>
      <p>Mappings, sets of definitions, protocols and the definitions of quality charts, in one file for another department. No case, no review, no count and no file name goes out; the file itself lists what was left out.</p>
      <div className="row">
        <Button disabled={isWorking} onClick={() => void save()}>Save the definitions…</Button>
        <Button disabled={isWorking} onClick={() => inputRef.current?.click()}>Take in definitions…</Button>
      </div>
      <input
        ref={inputRef} type="file" accept=".json,application/json" hidden data-testid="definitions-input"
        onChange={(event) => {
          const [file] = event.target.files ?? [];
          event.target.value = '';
          if (file !== undefined) void take(file);
        }}
      />
      {problem === null ? null : <Notice tone="problem" title={`${problem.doing} did not succeed.`} live><p>{problem.message} {problem.remedy ?? ''}</p></Notice>}
      {notShared === null ? null : (
        <Notice tone="note" title="Saved as lacuna-definitions.json. Not in it:" live>
          <ul>{notShared.map(({ what, why }) => <li key={what}>{what} <span className="soft">({why})</span></li>)}</ul>
        </Notice>
      )}
      {taken === null ? null : <Taken taken={taken} />}
    </section>
  );
}

function Taken({ taken }: { readonly taken: TakenDefinitions }): JSX.Element {
  return (
    <Notice tone="note" title="Taken in. Nothing of this library was replaced." live>
      {KINDS.every(({ kind }) => isEmpty(taken[kind])) ? <p>The file holds no definition: there was nothing to take in.</p> : null}
      <ul>
        {KINDS.filter(({ kind }) => !isEmpty(taken[kind])).map(({ kind, one, many }) => (
          <li key={kind}>
            {kindText(taken[kind], one, many)}
            {taken[kind].leftOut.length === 0 ? null : <ul>{taken[kind].leftOut.map(({ name, why }) => <li key={name}>“{name}” was left out: {why}</li>)}</ul>}
          </li>
        ))}
      </ul>
    </Notice>
  );
}

function isEmpty({ added, alreadyThere, leftOut }: TakenKind): boolean {
  return added.length + alreadyThere.length + leftOut.length === 0;
}

/** Only what there is: "2 mappings added, 1 was here already". */
function kindText({ added, alreadyThere, leftOut }: TakenKind, one: string, many: string): string {
  const rest = [
    ...(alreadyThere.length === 0 ? [] : [`${numberText(alreadyThere.length)} ${alreadyThere.length === 1 ? 'was' : 'were'} here already`]),
    ...(leftOut.length === 0 ? [] : [`${numberText(leftOut.length)} ${leftOut.length === 1 ? 'was' : 'were'} left out`]),
  ];
  return [`${countText(added.length, one, many)} added`, ...rest].join(', ');
}
