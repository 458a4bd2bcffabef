import { useEffect, useId, useState, type JSX } from 'react';
import { EVENT_KINDS } from '../../../core/model/event.ts';
import type { KnownTerms } from '../../../core/model/known-terms.ts';
import type { PhraseReading } from '../../../core/model/mapping.ts';
import { SITES } from '../../../core/model/site.ts';
import { countText, numberText } from '../../format/number-text.ts';
import { withPhrase } from '../../state/rules-edit.ts';
import { useSession } from '../../state/session.ts';
import { CheckField, SelectField, TextField } from '../../widgets/field.tsx';
import { EVENT_CHOICES } from './rules-text.ts';
import type { TrialProps } from './trial-props.ts';

/** Stands in a text for what may name a person. */
const WITHHELD = '[withheld]';
const NO_TERMS: KnownTerms = { drugs: [], events: [] };

/** Returns the phrases that nothing is known of, and those that were explained, each with a choice of what it means. */
export function PhraseControls({ rules, preview, onChange }: TrialProps): JSX.Element {
  const session = useSession();
  const [terms, setTerms] = useState(NO_TERMS);
  useEffect(() => {
    let isCurrent = true;
    session.host.listKnownTerms().then(
      (known) => {
        if (isCurrent) setTerms(known);
      },
      () => undefined, // names can be typed without the list
    );
    return () => {
      isCurrent = false;
    };
  }, [session]);
  // A phrase that is being explained stays where it was; it would jump away under the hand otherwise.
  const [order, setOrder] = useState<readonly string[]>([]);
  // What was blanked in a phrase cannot be found again in the file, so that nothing can be said of it.
  const unknown = new Map(preview.unknownPhrases.filter(({ text }) => !text.includes(WITHHELD)).map((phrase) => [phrase.text, phrase]));
  const nBlanked = preview.unknownPhrases.length - unknown.size;
  const blankedText = nBlanked === 0 ? '' : ` ${countText(nBlanked, 'text holds', 'texts hold')} what may name a person and stay plain notes.`;
  const explained = Object.keys(rules.phrases ?? {});
  const all = [...new Set([...order, ...unknown.keys(), ...explained])].filter((text) => unknown.has(text) || explained.includes(text));
  if (all.length === 0) return <p className="soft">Every drug and event in the first rows is known{preview.isWhole ? '' : '; after the next reading the report lists those of the whole file'}.{blankedText}</p>;
  return (
    <div className="mapping-controls">
      <p className="soft">What is not explained stays as it is: a drug is drawn under its own words and never counts as an exposure, a text is a plain note.{blankedText}</p>
      {all.map((text) => {
        const phrase = unknown.get(text);
        return (
          <PhraseEntry
            key={text} text={text} terms={terms} reading={rules.phrases?.[text] ?? null}
            where={phrase === undefined ? '' : `${countText(phrase.count, 'entry', 'entries')}, first in line ${numberText(phrase.firstLine)}; taken for ${phrase.kind === 'drug' ? 'a drug' : 'a note'}`}
            onSay={(reading, step) => {
              setOrder(all);
              onChange(withPhrase(rules, text, reading), step === undefined ? undefined : `phrase ${text} ${step}`);
            }}
          />
        );
      })}
    </div>
  );
}

interface PhraseEntryProps {
  readonly text: string;
  readonly where: string;
  readonly terms: KnownTerms;
  readonly reading: PhraseReading | null;
  readonly onSay: (reading: PhraseReading | null, step?: string) => void;
}

function PhraseEntry({ text, where, terms, reading, onSay }: PhraseEntryProps): JSX.Element {
  const listId = useId();
  // A drug without a name says nothing yet: it is kept here until one is typed.
  const [isNaming, setIsNaming] = useState(false);
  const means = reading?.means ?? (isNaming ? 'drug' : '');
  const choose = (value: string): void => {
    setIsNaming(value === 'drug');
    if (value === 'note') onSay({ means: 'note' });
    else if (value === 'event') onSay({ means: 'event', kind: 'position' });
    else onSay(null);
  };
  return (
    <fieldset className="phrase">
      <legend><code>{text}</code></legend>
      {where === '' ? null : <p className="soft">{where}</p>}
      <div className="row">
        <SelectField
          label={`${text} means`} labelHidden value={means} onChange={choose}
          choices={[{ value: '', label: 'not explained' }, { value: 'drug', label: 'a drug' }, { value: 'event', label: 'an event' }, { value: 'note', label: 'a plain note' }]}
        />
        {means === 'drug' ? <DrugName text={text} terms={terms} reading={reading?.means === 'drug' ? reading : null} listId={listId} onSay={onSay} /> : null}
        {reading?.means === 'event' ? <EventName text={text} terms={terms} reading={reading} listId={listId} onSay={onSay} /> : null}
      </div>
    </fieldset>
  );
}

function DrugName({ text, terms, reading, listId, onSay }: { readonly text: string; readonly terms: KnownTerms; readonly reading: Extract<PhraseReading, { means: 'drug' }> | null; readonly listId: string; readonly onSay: PhraseEntryProps['onSay'] }): JSX.Element {
  const inn = reading?.inn ?? '';
  const known = terms.drugs.find((drug) => drug.inn === inn.trim().toLowerCase());
  return (
    <>
      <TextField label={`Drug that ${text} is`} labelHidden placeholder="international name" value={inn} list={listId} onChange={(value) => onSay(value.trim() === '' ? null : { ...reading, means: 'drug', inn: value }, 'inn')} />
      <datalist id={listId}>{terms.drugs.map((drug) => <option key={drug.inn} value={drug.inn}>{drug.isVasopressor ? 'vasopressor or inotrope' : ''}</option>)}</datalist>
      {reading === null ? null : known !== undefined ? <span className="soft">{known.isVasopressor ? 'counts as an exposure' : 'is drawn only'}</span> : (
        <CheckField label="a vasopressor or inotrope" checked={reading.isVasopressor ?? false} onChange={(checked) => onSay({ ...reading, isVasopressor: checked ? true : undefined })} />
      )}
    </>
  );
}

function EventName({ text, terms, reading, listId, onSay }: { readonly text: string; readonly terms: KnownTerms; readonly reading: Extract<PhraseReading, { means: 'event' }>; readonly listId: string; readonly onSay: PhraseEntryProps['onSay'] }): JSX.Element {
  const isOfSensor = reading.kind.startsWith('sensor');
  return (
    <>
      <SelectField label={`Kind of event of ${text}`} labelHidden value={reading.kind} choices={EVENT_CHOICES} onChange={(value) => onSay({ means: 'event', kind: EVENT_KINDS.find((kind) => kind === value) ?? reading.kind })} />
      <TextField label={`Name of the event of ${text}`} labelHidden placeholder="name, such as arms tucked" value={reading.term ?? ''} list={listId} onChange={(value) => onSay({ ...reading, term: value === '' ? undefined : value }, 'term')} />
      <datalist id={listId}>{terms.events.filter((event) => event.kind === reading.kind).map((event) => <option key={event.term} value={event.term} />)}</datalist>
      <SelectField
        label={`Phase of the event of ${text}`} labelHidden value={reading.phase ?? ''}
        choices={[{ value: '', label: 'as is usual for it' }, { value: 'start', label: 'begins' }, { value: 'end', label: 'ends' }, { value: 'moment', label: 'is a moment' }]}
        onChange={(value) => onSay({ ...reading, phase: value === 'start' || value === 'end' || value === 'moment' ? value : undefined })}
      />
      {isOfSensor ? (
        <SelectField label={`Site of the event of ${text}`} labelHidden value={reading.site ?? ''} choices={[{ value: '', label: 'no site' }, ...SITES.map((site) => ({ value: site, label: site }))]} onChange={(value) => onSay({ ...reading, site: SITES.find((site) => site === value) })} />
      ) : null}
    </>
  );
}
