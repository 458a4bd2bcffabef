import { useEffect, useState, type JSX } from 'react';
import type { NextStudyOptions } from '../../../core/model/next-study.ts';
import { STUDY_EFFECTS, STUDY_OUTCOMES } from '../../../core/model/next-study.ts';
import type { AnalysisParameters } from '../../../core/model/parameters.ts';
import type { KeptProtocol, ProtocolContent } from '../../../core/model/study-protocol.ts';
import { PROTOCOL_DESIGNS } from '../../../core/model/study-protocol.ts';
import { saveFile } from '../../charts/save-file.ts';
import { definitionText } from '../../format/definition-text.ts';
import { plainNumberText } from '../../format/number-text.ts';
import { instantText } from '../../format/time-text.ts';
import { FigureHead, FigureHelp } from '../../help/figure-help.tsx';
import { describeProblem, problemText } from '../../state/problem.ts';
import { useSession } from '../../state/session.ts';
import { useStore } from '../../state/store.ts';
import { Button } from '../../widgets/button.tsx';
import { Waiting } from '../../widgets/empty-state.tsx';
import { CheckField, NumberField, SelectField, TextAreaField, TextField } from '../../widgets/field.tsx';
import { Notice } from '../../widgets/notice.tsx';
import { siteText } from '../case-view/case-facts.ts';
import { effectText } from './study-text.ts';

/** Returns the protocols of the library, and the form in which one is fixed. */
export function ProtocolsTab({ options, siteKeys }: { readonly options: NextStudyOptions; readonly siteKeys: readonly string[] }): JSX.Element {
  const session = useSession();
  const { protocols, problem } = useStore(session.protocols);
  const { saved } = useStore(session.definitions);
  const [edit, setEdit] = useState<{ readonly before: KeptProtocol['protocol'] | null } | null>(null);
  useEffect(() => {
    void session.protocols.load();
  }, [session]);
  return (
    <div className="protocols">
      <p className="next-study-prose">
        A protocol fixes the question and the whole definition of a dropout before results are looked at, so that nobody, yourself included, can choose the definition by its result. It never changes: a change is a new version with its reason, and both are kept.
      </p>
      {problem === null ? null : (
        <Notice tone="problem" title={protocols === null ? 'The protocols could not be read.' : 'That did not go through.'} live>
          <p>{problem.message} {problem.remedy ?? ''}</p>
          {edit === null ? <Button onClick={() => void session.protocols.load()}>Read the protocols again</Button> : null}
        </Notice>
      )}
      {protocols === null && problem === null ? <Waiting>Reading the protocols…</Waiting> : null}
      {protocols !== null && protocols.length > 0 ? <ProtocolTable protocols={protocols} onRevise={(before) => setEdit({ before })} /> : null}
      {protocols !== null && protocols.length === 0 && edit === null && problem === null ? <p>No protocol was fixed in this library yet.</p> : null}
      {edit !== null && saved !== null ? (
        <ProtocolForm key={edit.before?.digest ?? 'new'} before={edit.before} first={edit.before === null ? firstContent(options, saved) : contentOf(edit.before)} parameters={saved} siteKeys={siteKeys} onDone={() => setEdit(null)} />
      ) : <Button look="primary" disabled={saved === null} onClick={() => setEdit({ before: null })}>Write a protocol…</Button>}
    </div>
  );
}

function firstContent(options: NextStudyOptions, parameters: AnalysisParameters): ProtocolContent {
  const { design, outcome, effect, effectSize, firstKey, secondKey, conf, seed } = options;
  return { title: '', question: '', design, outcome, effect, effectSize, sites: [firstKey, secondKey], cases: '', n: null, analysis: '', conf, seed, parameters };
}

function contentOf({ protocolId: _id, version: _version, reason: _reason, fixedAt: _at, productVersion: _product, digest: _digest, ...content }: KeptProtocol['protocol']): ProtocolContent {
  return content;
}

function ProtocolTable({ protocols, onRevise }: { readonly protocols: readonly KeptProtocol[]; readonly onRevise: (protocol: KeptProtocol['protocol']) => void }): JSX.Element {
  const session = useSession();
  const save = async ({ protocolId, version }: KeptProtocol['protocol'], form: 'markdown' | 'json'): Promise<void> => {
    const text = await session.protocols.text(protocolId, version, form);
    if (text === null) return;
    try {
      saveFile(`protocol-${protocolId}-${version}.${form === 'markdown' ? 'md' : 'json'}`, new Blob([text], { type: form === 'markdown' ? 'text/markdown' : 'application/json' }));
    } catch (error) {
      session.messages.add('problem', problemText(describeProblem(error, 'Saving the protocol')));
    }
  };
  const isLast = ({ protocolId, version }: KeptProtocol['protocol']): boolean => !protocols.some(({ protocol }) => protocol.protocolId === protocolId && protocol.version > version);
  return (
    <div className="grid-scroll">
      <table className="plain-table">
        <thead><tr><th scope="col">Protocol</th><FigureHead figure="protocol">Version</FigureHead><FigureHead figure="protocol">Fixed</FigureHead><th scope="col">Definition</th><th scope="col" className="only-screen">Use</th></tr></thead>
        <tbody>
          {protocols.map(({ protocol, isIntact }) => {
            const { title, version, reason, fixedAt, digest, question, parameters } = protocol;
            const name = `${title}, version ${version}`;
            return (
              <tr key={`${protocol.protocolId} ${version}`}>
                <th scope="row">{title}<span className="under soft">{question}</span></th>
                <td>{version}{reason === '' ? null : <span className="under soft">{reason}</span>}</td>
                <td className="protocol-fixed">{instantText(fixedAt)}{isIntact ? <span className="under soft">digest {digest.slice(0, 12)}…, fits</span> : <span className="under concern">digest does not fit: it was changed outside this program</span>}</td>
                <td>{definitionText(parameters)}</td>
                <td className="only-screen">
                  <span className="row protocol-use">
                    <Button look="quiet" aria-label={`Save ${name} as Markdown`} onClick={() => void save(protocol, 'markdown')}>As Markdown</Button>
                    <Button look="quiet" aria-label={`Save ${name} as a file for the run without a window`} onClick={() => void save(protocol, 'json')}>As JSON</Button>
                    {isLast(protocol) ? <Button look="quiet" aria-label={`Write a new version of ${title}`} onClick={() => onRevise(protocol)}>New version…</Button> : null}
                  </span>
                </td>
              </tr>
            );
          })}
        </tbody>
      </table>
    </div>
  );
}

interface ProtocolFormProps {
  readonly before: KeptProtocol['protocol'] | null;
  readonly first: ProtocolContent;
  /** Of the library. */
  readonly parameters: AnalysisParameters;
  readonly siteKeys: readonly string[];
  readonly onDone: () => void;
}

const DESIGN_WORDS = { paired: 'paired: both sites on each patient', parallel: 'parallel: one site per patient', description: 'description: nothing is compared' } as const;

function ProtocolForm({ before, first, parameters, siteKeys, onDone }: ProtocolFormProps): JSX.Element {
  const session = useSession();
  const [content, setContent] = useState(first);
  const [reason, setReason] = useState('');
  const [usesLibrary, setUsesLibrary] = useState(before === null);
  const change = (part: Partial<ProtocolContent>): void => setContent((now) => ({ ...now, ...part }));
  const compares = content.design !== 'description';
  const final: ProtocolContent = { ...content, parameters: usesLibrary ? parameters : first.parameters, ...(compares ? {} : { effect: null, effectSize: null, sites: content.sites.slice(0, 1) }) };
  const missing = [
    ...([['title', 'title'], ['question', 'question'], ['cases', 'cases'], ['analysis', 'analysis']] as const).flatMap(([field, name]) => (final[field].trim() === '' ? [name] : [])),
    ...(before !== null && reason.trim() === '' ? ['reason for the new version'] : []),
    ...(compares && final.sites[0] === final.sites[1] ? ['a second site'] : []),
  ];
  const fix = async (): Promise<void> => {
    if (!(await session.protocols.fix(final, before === null ? null : { protocolId: before.protocolId, reason }))) return;
    session.messages.add('note', `The protocol “${final.title.trim()}” is fixed.`);
    onDone();
  };
  const sites = [...new Set([...siteKeys, ...content.sites])].map((key) => ({ value: key, label: siteText(key) }));
  return (
    <section className="protocol-form" aria-label={before === null ? 'A new protocol' : `A new version of ${before.title}`}>
      <h2>{before === null ? 'A new protocol' : `A new version of “${before.title}”`}</h2>
      {before === null ? null : <TextAreaField label="Reason for the new version" value={reason} onChange={setReason} />}
      <TextField label="Title" value={content.title} onChange={(title) => change({ title })} />
      <TextAreaField label="Question" value={content.question} onChange={(question) => change({ question })} />
      <div className="study-form">
        <SelectField
          label="Study" value={content.design} choices={PROTOCOL_DESIGNS.map((design) => ({ value: design, label: DESIGN_WORDS[design] }))}
          onChange={(value) => {
            const design = PROTOCOL_DESIGNS.find((one) => one === value);
            if (design !== undefined) change({ design, ...(design === 'description' || content.effect !== null ? {} : { effect: 'ratio', sites: [content.sites[0] ?? 'finger', siteKeys.find((key) => key !== content.sites[0]) ?? 'ear lobe'] }) });
          }}
        />
        <SelectField
          label="Primary outcome" value={content.outcome} choices={STUDY_OUTCOMES.map((outcome) => ({ value: outcome, label: outcome }))}
          onChange={(value) => {
            const outcome = STUDY_OUTCOMES.find((one) => one === value);
            if (outcome !== undefined) change({ outcome, ...(content.effect === 'difference' && outcome !== content.outcome ? { effectSize: null } : {}) });
          }}
        />
        <SelectField label={compares ? 'First site' : 'Site'} value={content.sites[0] ?? ''} choices={sites} onChange={(key) => change({ sites: [key, ...content.sites.slice(1)] })} />
        {compares ? (
          <>
            <SelectField label="Second site" value={content.sites[1] ?? ''} choices={sites} onChange={(key) => change({ sites: [content.sites[0] ?? '', key, ...content.sites.slice(2)] })} />
            <SelectField
              label="Effect" value={content.effect ?? 'ratio'} choices={STUDY_EFFECTS.map((effect) => ({ value: effect, label: effect }))}
              onChange={(value) => {
                const effect = STUDY_EFFECTS.find((one) => one === value);
                if (effect !== undefined) change({ effect, effectSize: null });
              }}
            />
          </>
        ) : null}
        <CheckField label="The number of patients is fixed" checked={content.n !== null} onChange={(isFixed) => change({ n: isFixed ? 40 : null })} />
        {content.n === null ? null : <NumberField label={`Patients${content.design === 'parallel' ? ' per group' : ''}`} help={<FigureHelp figure="protocol" />} unit="" value={content.n} min={1} max={1_000_000} wholeOnly onChange={(n) => change({ n })} />}
        <NumberField label="Seed of the analysis" help={<FigureHelp figure="protocol" />} unit="" value={content.seed} min={0} max={4_294_967_295} wholeOnly onChange={(seed) => change({ seed })} />
      </div>
      <TextAreaField label="Cases to be included, and left out" value={content.cases} onChange={(cases) => change({ cases })} />
      <TextAreaField label="Analysis" hint="How the outcome is compared, which other outcomes are looked at, what is done with doubtful samples and missing cases." value={content.analysis} onChange={(analysis) => change({ analysis })} />
      {before === null ? null : <CheckField label="Take the definition of a dropout that the library uses now" checked={usesLibrary} onChange={setUsesLibrary} />}
      <p>The definition is copied whole: {definitionText(final.parameters)}.</p>
      <p>Fixed with it: {final.effect === null || final.effectSize === null ? 'no size of an effect' : `an effect of ${effectText(final.effectSize, { effect: final.effect, outcome: final.outcome })}`}; {plainNumberText(final.conf * 100, 1)}&nbsp;% intervals.</p>
      {missing.length === 0 ? null : <p className="soft">Still to be filled in: {missing.join(', ')}.</p>}
      <div className="row">
        <Button look="primary" disabled={missing.length > 0} onClick={() => void fix()}>Fix it</Button>
        <Button look="quiet" onClick={onDone}>Leave it</Button>
      </div>
      <p className="soft">Once fixed it stays as it is, with the time and a digest of its content.</p>
    </section>
  );
}
