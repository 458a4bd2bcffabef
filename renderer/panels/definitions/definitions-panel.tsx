import { useState, type JSX } from 'react';
import { DEFAULT_PARAMETERS, DURATION_PRESETS, FALL_RATE_PRESETS, type AnalysisParameters } from '../../../core/model/parameters.ts';
import { definitionText } from '../../format/definition-text.ts';
import { countText, numberText, plainNumberText, shareText } from '../../format/number-text.ts';
import { durationText, limitsText } from '../../format/time-text.ts';
import { sameParameters } from '../../../core/model/same-parameters.ts';
import { BLIND_KEY } from '../../../core/model/site.ts';
import { FigureHead, FigureHelp } from '../../help/figure-help.tsx';
import type { OpenCase } from '../../state/open-case.ts';
import { useSession } from '../../state/session.ts';
import { useStore } from '../../state/store.ts';
import { Button } from '../../widgets/button.tsx';
import { CheckField, ChoiceRow, NumberField, TextField } from '../../widgets/field.tsx';
import { Notice } from '../../widgets/notice.tsx';
import { Tabs } from '../../widgets/tabs.tsx';
import { siteText } from '../case-view/case-facts.ts';
import { compareAnalyses, countLinks, exceeds, type EffectSide } from './effect.ts';
import { PARAMETER_GROUPS, type LookBackEntry, type PairEntry, type ParameterEntry } from './parameter-catalog.ts';
import { PARAMETER_HELP } from './parameter-help.ts';
import { ParameterPicture } from './pictures/parameter-picture.tsx';
import { SetsTab } from './sets-tab.tsx';
import { TrialTab } from './trial/trial-tab.tsx';

type Change = (part: Partial<AnalysisParameters>) => void;

/** Returns the definitions: every parameter of the analysis, explained, with its effect on the open case beside it. */
export function DefinitionsPanel(): JSX.Element {
  const session = useSession();
  const { draft } = useStore(session.definitions);
  const [tab, setTab] = useState('each');
  return (
    <div className="page definitions">
      <h1>Definitions</h1>
      <p className="lead">In force here: {definitionText(draft)}.</p>
      <Tabs
        label="Parts of the definitions" chosen={tab} onChoose={setTab}
        tabs={[
          { id: 'each', label: 'Each definition', content: () => <EachDefinition /> },
          { id: 'trial', label: 'How much hangs on it', content: () => <TrialTab /> },
          { id: 'sets', label: 'Sets', content: () => <SetsTab /> },
        ]}
      />
    </div>
  );
}

function EachDefinition(): JSX.Element {
  const session = useSession();
  const { draft, saved, problem } = useStore(session.definitions);
  const caseState = useStore(session.cases);
  return (
      <div className="definitions-columns">
        <div className="definitions-list">
          {PARAMETER_GROUPS.map((group) => (
            <section key={group.title} className="parameter-group">
              <h2>{group.title}</h2>
              <p className="soft">{group.intro}</p>
              {group.entries.map((entry) => <Parameter key={entry.key} entry={entry} draft={draft} change={session.definitions.change} />)}
            </section>
          ))}
        </div>
        <aside className="effect" aria-label="Effect of these definitions">
          <SaveBar />
          {problem === null ? null : <Notice tone="problem" live><p>{problem.message} {problem.remedy ?? ''}</p></Notice>}
          {saved === null ? <p className="soft">What the library uses is not known yet.</p> : null}
          {caseState.kind === 'open' ? <Effect openCase={caseState.openCase} /> : (
            <p className="soft">Open a case first, and every change here is worked out for it at once, with the numbers before and after side by side.</p>
          )}
        </aside>
      </div>
  );
}

function SaveBar(): JSX.Element {
  const session = useSession();
  const { draft, saved, saving } = useStore(session.definitions);
  const isChanged = saved !== null && !sameParameters(saved, draft);
  const isDefault = sameParameters(draft, DEFAULT_PARAMETERS);
  const save = async (): Promise<void> => {
    const cases = await session.definitions.saveForLibrary();
    if (cases === null) return;
    session.library.accept(cases);
    const state = session.cases.get();
    if (state.kind === 'open') state.openCase.acceptAsBaseline();
    session.messages.add('note', `The whole library now uses these definitions; ${countText(cases.length, 'case was', 'cases were')} analysed again.`);
  };
  return (
    <div className="save-bar">
      <p role="status">
        {saving === 'working' ? 'Every case of the library is being analysed again…' : isChanged ? 'On trial: these differ from what the library uses.' : 'The library uses these.'}
        {isDefault ? ' They are the program’s defaults.' : ''}
      </p>
      <div className="row">
        <Button look="primary" disabled={!isChanged || saving === 'working'} onClick={() => void save()}>Use for the whole library</Button>
        <Button disabled={!isChanged} onClick={session.definitions.revert}>Back to the library’s</Button>
        <Button disabled={isDefault} onClick={session.definitions.resetToDefaults}>Back to the defaults</Button>
      </div>
    </div>
  );
}

function Parameter({ entry, draft, change }: { readonly entry: ParameterEntry; readonly draft: AnalysisParameters; readonly change: Change }): JSX.Element {
  return (
    <div className="parameter" data-parameter={entry.key} data-figures="">
      <div className="parameter-control"><Control entry={entry} draft={draft} change={change} /></div>
      <div className="parameter-about">
        <ParameterPicture parameterKey={entry.key} parameters={draft} />
      <p className="parameter-text">
        {entry.explanation} <span className="soft">Default: {defaultText(entry)}. Source: {entry.source}.</span>
      </p>
      </div>
    </div>
  );
}

function Control({ entry, draft, change }: { readonly entry: ParameterEntry; readonly draft: AnalysisParameters; readonly change: Change }): JSX.Element {
  switch (entry.kind) {
    case 'number':
      return (
        <>
          <NumberField
            label={entry.label} help={<FigureHelp figure={PARAMETER_HELP[entry.key]} />} unit={entry.unit} min={entry.min} max={entry.max} wholeOnly={entry.wholeOnly} value={draft[entry.key] / entry.perUnit}
            onChange={(value) => change({ [entry.key]: value * entry.perUnit })}
          />
          {entry.key === 'minDurationS' ? <DurationPresets draft={draft} change={change} /> : null}
          {entry.key === 'deviceHoldS' ? (
            <ChoiceRow
              legend="Usual settings of the device hold" legendHidden value={String(draft.deviceHoldS)} onChange={(value) => change({ deviceHoldS: Number(value) })}
              choices={[{ value: '0', label: 'none' }, { value: '10', label: '10 s' }, { value: '30', label: '30 s' }]}
            />
          ) : null}
          {entry.key === 'fallPctPerS' ? (
            <ChoiceRow
              legend="Proposed for" value={String(draft.fallPctPerS)} onChange={(value) => change({ fallPctPerS: Number(value) })}
              choices={FALL_RATE_PRESETS.map((preset) => ({ value: String(preset.pctPerS), label: preset.label, hint: preset.source }))}
            />
          ) : null}
        </>
      );
    case 'pair':
      return <PairControl entry={entry} draft={draft} change={change} />;
    case 'flag':
      return (
        <>
          <div className="field-label">{entry.label}<FigureHelp figure={PARAMETER_HELP[entry.key]} /></div>
          <CheckField label={entry.choiceLabel} checked={draft[entry.key]} onChange={(checked) => change({ [entry.key]: checked })} />
        </>
      );
    case 'look-back':
      return <LookBackControl entry={entry} draft={draft} change={change} />;
  }
}

function DurationPresets({ draft, change }: { readonly draft: AnalysisParameters; readonly change: Change }): JSX.Element {
  const continuous = DURATION_PRESETS.filter((preset) => preset.rule === 'continuous');
  return (
    <div className="presets">
      <ChoiceRow
        legend="Published and customary lengths" value={String(draft.minDurationS)} onChange={(value) => change({ minDurationS: Number(value) })}
        choices={continuous.map((preset) => ({ value: String(preset.seconds), label: preset.label, hint: preset.source }))}
      />
      <details className="disclosure">
        <summary>Where these lengths come from</summary>
        <div className="disclosure-body">
          <dl className="preset-sources">
            {DURATION_PRESETS.map((preset) => (
              <div key={preset.label}>
                <dt>{preset.label}</dt>
                <dd>
                  {preset.source}.
                  {preset.rule === 'cumulative' ? ' This is a rule about the total of a whole case, not about one loss: it filters nothing and is answered beside the open case.' : ''}
                </dd>
              </div>
            ))}
          </dl>
        </div>
      </details>
    </div>
  );
}

function PairControl({ entry, draft, change }: { readonly entry: PairEntry; readonly draft: AnalysisParameters; readonly change: Change }): JSX.Element {
  const [low, high] = draft[entry.key];
  return (
    <fieldset className="pair">
      <legend className="field-label">{entry.label}<FigureHelp figure={PARAMETER_HELP[entry.key]} /></legend>
      <NumberField label="from" unit={entry.unit} min={entry.min} max={high} value={low} onChange={(value) => change({ [entry.key]: [value, high] })} />
      <NumberField label="to" unit={entry.unit} min={low} max={entry.max} value={high} onChange={(value) => change({ [entry.key]: [low, value] })} />
    </fieldset>
  );
}

const LONGEST_LOOK_BACK_MIN = 240;
const FIRST_LOOK_BACK_S = 600;

function LookBackControl({ entry, draft, change }: { readonly entry: LookBackEntry; readonly draft: AnalysisParameters; readonly change: Change }): JSX.Element {
  const [name, setName] = useState('');
  const values = draft[entry.key];
  const names = Object.keys(values).filter((key) => key !== 'other').sort();
  const defaults = DEFAULT_PARAMETERS[entry.key];
  const wanted = name.trim().toLowerCase();
  const fault = wanted !== '' && Object.hasOwn(values, wanted) ? 'it is in the list already.' : null;
  return (
    <fieldset className="look-backs">
      <legend className="field-label">{entry.label}<FigureHelp figure={PARAMETER_HELP[entry.key]} /></legend>
      {[...names, 'other'].map((key) => (
        <div key={key} className="look-back">
          <NumberField
            label={key === 'other' ? entry.otherLabel : key} unit="min" min={0} max={LONGEST_LOOK_BACK_MIN} value={(values[key] ?? FIRST_LOOK_BACK_S) / 60}
            onChange={(minutes) => change({ [entry.key]: { ...values, [key]: Math.round(minutes * 60) } })}
          />
          {Object.hasOwn(defaults, key) ? null : (
            <Button
              look="quiet" aria-label={`Take ${key} out of the list`}
              onClick={() => change({ [entry.key]: Object.fromEntries(Object.entries(values).filter(([other]) => other !== key)) })}
            >
              Take out
            </Button>
          )}
        </div>
      ))}
      <div className="look-back-add">
        <TextField label={`Another ${entry.noun}`} value={name} onChange={setName} error={fault} />
        <Button
          disabled={wanted === '' || fault !== null}
          onClick={() => {
            change({ [entry.key]: { ...values, [wanted]: values['other'] ?? FIRST_LOOK_BACK_S } });
            setName('');
          }}
        >
          Add
        </Button>
      </div>
    </fieldset>
  );
}

function defaultText(entry: ParameterEntry): string {
  switch (entry.kind) {
    case 'number':
      return `${plainNumberText(DEFAULT_PARAMETERS[entry.key] / entry.perUnit)}${entry.unit === '' ? '' : ` ${entry.unit}`}`;
    case 'pair':
      return `${DEFAULT_PARAMETERS[entry.key].map((value) => plainNumberText(value)).join(' to ')}${entry.unit === '' ? '' : ` ${entry.unit}`}`;
    case 'flag':
      return DEFAULT_PARAMETERS[entry.key] ? 'yes' : 'no';
    case 'look-back':
      return Object.entries(DEFAULT_PARAMETERS[entry.key]).map(([key, seconds]) => `${key} ${plainNumberText(seconds / 60)} min`).join(', ');
  }
}

function Effect({ openCase }: { readonly openCase: OpenCase }): JSX.Element {
  const before = useStore(openCase.baseline);
  const after = useStore(openCase.analysis);
  const recomputing = useStore(openCase.recomputing);
  const session = useSession();
  const cumulative = DURATION_PRESETS.filter((preset) => preset.rule === 'cumulative');
  return (
    <section>
      <h2>Effect on {openCase.record.caseId}</h2>
      <p role="status" className="soft">{recomputing.kind === 'working' ? 'Working it out again…' : recomputing.kind === 'failed' ? '' : 'Worked out with these definitions.'}</p>
      {recomputing.kind === 'failed' ? <Notice tone="problem" live><p>{recomputing.problem.message} {recomputing.problem.remedy ?? ''}</p></Notice> : null}
      <table className="plain-table effect-table">
        <thead><tr><th scope="col">Site</th><FigureHead figure="definition-effect">Before</FigureHead><FigureHead figure="definition-effect">Now</FigureHead></tr></thead>
        <tbody>
          {compareAnalyses(before, after).map((row) => (
            <tr key={row.siteKey}>
              <th scope="row">{siteText(row.siteKey)}</th>
              <td><Side side={row.before} isBlind={row.siteKey === BLIND_KEY} /></td>
              <td><Side side={row.after} isBlind={row.siteKey === BLIND_KEY} /></td>
            </tr>
          ))}
          <tr>
            <th scope="row">links</th>
            <td className="figure">{numberText(countLinks(before))}</td>
            <td className="figure">{numberText(countLinks(after))}</td>
          </tr>
        </tbody>
      </table>
      {cumulative.map((preset) => (
        <div key={preset.label}>
          <h3>The rule “{preset.label}”</h3>
          <p>
            {after.sites.length === 0 ? 'No SpO2 was recorded.' : after.sites.map((site) => `${siteText(site.siteKey)}: ${exceeds(site.totals.lostMs, preset.seconds * 1000)} (${durationText(site.totals.lostMs.mid)} in all)`).join('; ')}
            . <span className="soft">Counted over the dropouts of this definition. {preset.source}.</span>
          </p>
        </div>
      ))}
      <Button look="link" className="only-screen" onClick={() => session.place.set('case')}>Go to the case</Button>
    </section>
  );
}

function Side({ side, isBlind }: { readonly side: EffectSide | null; readonly isBlind: boolean }): JSX.Element {
  if (side === null) return <>–</>;
  return (
    <>
      <span className="figure">{isBlind ? countText(side.count, 'blind interval', 'blind intervals') : countText(side.count, 'dropout', 'dropouts')}</span>
      <span className="under">{durationText(side.lostMs.mid)} lost{side.lostMs.high === 0 ? '' : ` (${limitsText(side.lostMs)})`}</span>
      <span className="under soft">{shareText(side.shareMid)} of monitored time; longest {side.count === 0 ? '–' : durationText(side.longestMidMs)}</span>
    </>
  );
}
