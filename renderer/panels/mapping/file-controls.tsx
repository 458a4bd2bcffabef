import { useState, type JSX } from 'react';
import { MAX_CLOCK_OFFSET_S, MAX_DEVICE_HOLD_S, VALUE_MAKINGS, type ReadingRules } from '../../../core/model/mapping.ts';
import { clockOffsetText, isKnownZone } from '../../format/time-text.ts';
import { withFields } from '../../state/rules-edit.ts';
import { CheckField, NumberField, SelectField, TextField } from '../../widgets/field.tsx';
import { WordList } from '../../widgets/word-list.tsx';
import { FILE_CHOICES, fileOverrule, knownZones } from '../import-panel/reading-choices.ts';
import { makingText } from './rules-text.ts';
import type { TrialProps } from './trial-props.ts';
import { FigureHelp } from '../../help/figure-help.tsx';

/** Device hold offered first: devices commonly keep the last value about this long (two instructions for use). */
const USUAL_HOLD_S = 10;

/** Returns all that can be said of a whole file. */
export function FileControls({ rules, preview, onChange }: TrialProps): JSX.Element {
  const say = (change: ReadingRules, step?: string): void => onChange(withFields(rules, change), step);
  return (
    <div className="mapping-controls">
      {FILE_CHOICES.map((choice) => (
        <SelectField
          key={choice.field} label={choice.label} value={rules[choice.field] ?? ''}
          choices={[{ value: '', label: `as found${foundText(choice.field, preview)}` }, ...choice.choices]}
          onChange={(value) => say(fileOverrule(choice, value)?.rules ?? { [choice.field]: undefined })}
        />
      ))}
      <ZoneField zone={rules.zone ?? ''} onZone={(zone) => say({ zone }, 'zone')} />
      <TextField label="Name of its case" value={rules.caseId ?? ''} hint="for a file that is all of one case" onChange={(value) => say({ caseId: value === '' ? undefined : value }, 'caseId')} />
      <NumberField
        label="Its clock is behind by" help={<FigureHelp figure="clock-offset" />} unit="s (minus: ahead)" value={rules.clockOffsetS ?? 0} min={-MAX_CLOCK_OFFSET_S} max={MAX_CLOCK_OFFSET_S}
        hint={rules.clockOffsetS === undefined ? 'Seconds to add to its times; 0 leaves them.' : `Its ${clockOffsetText(rules.clockOffsetS * 1000)}.`}
        onChange={(seconds) => say({ clockOffsetS: seconds === 0 ? undefined : seconds }, 'clockOffsetS')}
      />
      <SelectField
        label="A stored value is" value={rules.valueMaking ?? ''} hint="No file tells this; ask whoever keeps the record system. It widens or narrows the bounds."
        choices={[{ value: '', label: 'not stated' }, ...VALUE_MAKINGS.map((making) => ({ value: making, label: makingText(making) }))]}
        onChange={(value) => say({ valueMaking: VALUE_MAKINGS.find((making) => making === value) })}
      />
      <div className="field">
        <CheckField label="State how long the device held its last value" checked={rules.deviceHoldS !== undefined} onChange={(checked) => say({ deviceHoldS: checked ? USUAL_HOLD_S : undefined })} />
        {rules.deviceHoldS === undefined ? null : (
          <NumberField label="Device hold" labelHidden unit="s" value={rules.deviceHoldS} min={0} max={MAX_DEVICE_HOLD_S} hint="Before it blanked. Left out, the definition’s own figure counts." onChange={(seconds) => say({ deviceHoldS: seconds }, 'deviceHoldS')} />
        )}
      </div>
      <WordList label="Cells that mean “no value”, in every column" hint="The whole cell; beside those that are known anyway." words={rules.sentinels ?? []} suggestions={[]} onChange={(words) => say({ sentinels: words })} />
      <WordList label="Words that mark an artefact, in every column" hint="The value beside them is kept and marked." words={rules.flagWords ?? []} suggestions={[]} onChange={(words) => say({ flagWords: words })} />
    </div>
  );
}

function foundText(field: (typeof FILE_CHOICES)[number]['field'], preview: TrialProps['preview']): string {
  const found = { kind: preview.kind === 'unknown' ? '' : preview.kind, dateOrder: preview.dateOrder ?? '', decimalMark: preview.decimalMark ?? '', delimiter: preview.delimiter, encoding: preview.encoding, timeKind: preview.timeForm ?? '' }[field];
  const label = FILE_CHOICES.find((choice) => choice.field === field)?.choices.find((choice) => choice.value === found)?.label ?? found;
  return label === '' ? '' : `: ${label}`;
}

function ZoneField({ zone, onZone }: { readonly zone: string; readonly onZone: (zone: string | undefined) => void }): JSX.Element {
  const [zones] = useState(knownZones);
  const [text, setText] = useState(zone);
  if (zones.length > 0) {
    const choices = zone === '' || zones.includes(zone) ? zones : [zone, ...zones];
    return <SelectField label="Time zone of this file" value={zone} choices={[{ value: '', label: 'that of all files' }, ...choices.map((name) => ({ value: name, label: name }))]} onChange={(value) => onZone(value === '' ? undefined : value)} />;
  }
  const wanted = text.trim();
  return (
    <TextField
      label="Time zone of this file" value={text} error={wanted !== '' && !isKnownZone(wanted) ? 'this computer knows no zone of that name (write it as Europe/London).' : null}
      onChange={(value) => {
        setText(value);
        const next = value.trim();
        if (next === '') onZone(undefined);
        else if (isKnownZone(next)) onZone(next);
      }}
    />
  );
}
