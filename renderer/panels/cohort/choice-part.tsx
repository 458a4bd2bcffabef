import { useState, type JSX } from 'react';
import type { FacetValues } from '../../../core/model/cohort-flow.ts';
import { DEFAULT_COHORT_OPTIONS, UNSTATED, type CaseChoice, type CaseFacet, type CohortOptions } from '../../../core/model/cohort-options.ts';
import { countText, numberText } from '../../format/number-text.ts';
import { Button } from '../../widgets/button.tsx';
import { Disclosure } from '../../widgets/disclosure.tsx';
import { CheckField, SelectField, TextField } from '../../widgets/field.tsx';
import { facetKey, facetsToChoose, facetsUnstated, narrowings, patientColumns, toggledValue, valuesTaken, withValues } from './choice-edit.ts';
import { facetText, facetValueText, sentenceStart } from './cohort-words.ts';
import { MoreRows } from '../../widgets/more-rows.tsx';

export interface ChoicePartProps {
  readonly options: CohortOptions;
  /** What occurs in the cases; empty until it is known. */
  readonly facets: readonly FacetValues[];
  readonly onOptions: (options: CohortOptions) => void;
}

/** Values of a property listed at first; a column of free text has thousands. */
const VALUES_SHOWN = 60;
const DAY = /^\d{4}-\d{2}-\d{2}$/;

/** Returns which cases are looked at. Every value says in how many cases it occurs. */
export function ChoicePart({ options, facets, onOptions }: ChoicePartProps): JSX.Element {
  const { choice } = options;
  const choose = (next: CaseChoice): void => onOptions({ ...options, choice: next });
  const toChoose = facetsToChoose(facets, choice);
  const unstated = facetsUnstated(facets).filter(({ facet }) => facet.kind !== 'column' && facet.kind !== 'position' && facet.kind !== 'site' && facet.kind !== 'month');
  const hasNoPosition = facetsUnstated(facets).some(({ facet }) => facet.kind === 'position');
  const count = narrowings(options);
  const columns = patientColumns(facets, options.patientColumn);
  return (
    <div className="cohort-choice">
      <div className="cohort-controls">
        {columns.length === 0 ? null : (
          <SelectField
            label="One patient, several cases" value={options.patientColumn ?? ''}
            choices={[{ value: '', label: 'each case stands for itself' }, ...columns.map((column) => ({ value: column, label: `patients are named by “${column}”` }))]}
            onChange={(value) => onOptions({ ...options, patientColumn: value === '' ? null : value })}
          />
        )}
        <TextField label="From" type="date" value={choice.from ?? ''} onChange={(value) => choose({ ...choice, from: DAY.test(value) ? value : null })} />
        <TextField label="To" type="date" value={choice.to ?? ''} onChange={(value) => choose({ ...choice, to: DAY.test(value) ? value : null })} />
        {choice.from === null && choice.to === null ? null : <CheckField label="cases without a date too" checked={choice.keepUndated} onChange={(keepUndated) => choose({ ...choice, keepUndated })} />}
        {count === 0 ? null : <Button onClick={() => choose(DEFAULT_COHORT_OPTIONS.choice)}>Take every case again</Button>}
      </div>
      {toChoose.length === 0 ? null : (
        <Disclosure summary={`Narrow the cases${count === 0 ? '' : `: narrowed by ${countText(count, 'property', 'properties')}`}`}>
          <div className="cohort-facets">{toChoose.map((one) => <FacetBox key={facetKey(one.facet)} of={one} choice={choice} onChoice={choose} />)}</div>
        </Disclosure>
      )}
      {hasNoPosition ? <p className="soft cohort-unstated">No change of position is on record.</p> : null}
      {unstated.length === 0 ? null : (
        <p className="soft cohort-unstated">
          No case states {wordList(unstated.map(({ facet }) => facetText(facet)))}. A list of cases with such columns, imported beside the records, lets cases be chosen and compared by them.
        </p>
      )}
    </div>
  );
}

function FacetBox({ of, choice, onChoice }: { readonly of: FacetValues; readonly choice: CaseChoice; readonly onChoice: (choice: CaseChoice) => void }): JSX.Element {
  const taken = valuesTaken(choice, of);
  const name = facetText(of.facet);
  const isAll = taken.length === of.values.length;
  const [shown, setShown] = useState(VALUES_SHOWN);
  return (
    <fieldset className="cohort-facet">
      <legend>{sentenceStart(name)} <span className="soft">{isAll ? 'all' : `${numberText(taken.length)} of ${numberText(of.values.length)}`}</span></legend>
      <div className="cohort-facet-values">
        {of.values.slice(0, shown).map(({ value, cases }) => (
          <CheckField key={value} label={`${facetValueText(of.facet, value)} (${numberText(cases)})`} checked={taken.includes(value)} onChange={() => onChoice(toggledValue(choice, of, value))} />
        ))}
        <MoreRows missing={of.values.length - shown} onMore={() => setShown(shown + VALUES_SHOWN)} look="link">Show more ({numberText(of.values.length - shown)} further values)</MoreRows>
      </div>
      <span className="row">
        <Button look="link" aria-label={`All of ${name}`} disabled={isAll} onClick={() => onChoice(withValues(choice, of, of.values.map(({ value }) => value)))}>All</Button>
        <Button look="link" aria-label={`None of ${name}`} disabled={taken.length === 0} onClick={() => onChoice(withValues(choice, of, []))}>None</Button>
      </span>
    </fieldset>
  );
}

/** Returns the choice of what cases are compared by. */
export function CompareField({ options, facets, onOptions }: ChoicePartProps): JSX.Element {
  const groups = facets.filter(({ values }) => values.some(({ value }) => value !== UNSTATED)).map(({ facet }) => facet);
  return (
    <div className="cohort-controls">
      <SelectField
        label="Compare by" value={options.groupBy === null ? '' : facetKey(options.groupBy)}
        choices={[{ value: '', label: 'nothing' }, ...groups.map((facet) => ({ value: facetKey(facet), label: facetText(facet) }))]}
        onChange={(value) => onOptions({ ...options, groupBy: groups.find((facet) => facetKey(facet) === value) ?? null })}
      />
    </div>
  );
}

/** Returns the fields for a day from which something was done otherwise. */
export function ChangeFields({ options, onOptions }: Pick<ChoicePartProps, 'options' | 'onOptions'>): JSX.Element {
  const { change } = options;
  return (
    <div className="cohort-controls">
      <TextField label="Something was changed on" type="date" value={change?.date ?? ''} onChange={(value) => onOptions({ ...options, change: DAY.test(value) ? { date: value, text: change?.text ?? '' } : null })} />
      {change === null ? null : <TextField label="What was changed" width="words" value={change.text} onChange={(text) => onOptions({ ...options, change: { ...change, text: text.slice(0, 200) } })} />}
    </div>
  );
}

/** Returns words as a list in a sentence: "service, ASA class or age band". */
function wordList(words: readonly string[]): string {
  const last = words.at(-1) ?? '';
  return words.length < 2 ? last : `${words.slice(0, -1).join(', ')} or ${last}`;
}

/** Returns what of the cases a question looks at, in a few words, for a line under the answers. */
export function choiceText(choice: CaseChoice): string {
  const parts = choice.facets.map(({ facet, values }: { readonly facet: CaseFacet; readonly values: readonly string[] }) => `${facetText(facet)}: ${values.length === 0 ? 'none' : values.map((value) => facetValueText(facet, value)).join(', ')}`);
  if (choice.from !== null) parts.push(`from ${choice.from}`);
  if (choice.to !== null) parts.push(`to ${choice.to}`);
  if (choice.from !== null || choice.to !== null) parts.push(choice.keepUndated ? 'cases without a date too' : 'dated cases only');
  return parts.length === 0 ? 'every usable case' : parts.join('; ');
}
