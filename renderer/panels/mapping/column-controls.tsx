import type { JSX } from 'react';
import type { PreviewColumn } from '../../../core/model/file-preview.ts';
import type { ColumnReading } from '../../../core/model/mapping.ts';
import { QUANTITIES, QUANTITY_FACTS } from '../../../core/model/quantity.ts';
import { SITES } from '../../../core/model/site.ts';
import { unitText } from '../../format/number-text.ts';
import { withColumn } from '../../state/rules-edit.ts';
import { Button } from '../../widgets/button.tsx';
import { SelectField, TextField } from '../../widgets/field.tsx';
import { WordList } from '../../widgets/word-list.tsx';
import { COLUMN_CHOICES, columnReading } from '../import-panel/reading-choices.ts';
import { columnCertaintyText, columnText, isOpenColumn } from './outcome-text.ts';
import type { TrialProps } from './trial-props.ts';

export interface ColumnControlsProps extends TrialProps {
  /** The column that is being settled, as rules call it. */
  readonly chosen: string | null;
  readonly onChoose: (key: string) => void;
}

/** Returns the choice of a column and all that can be said of it. */
export function ColumnControls({ rules, preview, onChange, chosen, onChoose }: ColumnControlsProps): JSX.Element {
  const column = preview.columns.find((own) => own.key === chosen) ?? preview.columns[0];
  if (column === undefined) return <p className="soft">This file has no columns to settle.</p>;
  const open = preview.columns.filter((own) => isOpenColumn(own) && own !== column);
  return (
    <div className="mapping-controls">
      <SelectField
        label="Column" value={column.key} onChange={onChoose}
        choices={preview.columns.map((own) => ({ value: own.key, label: columnLabel(own, preview.layout) }))}
      />
      {open.length === 0 ? null : (
        <p className="mapping-open">
          Not sure of: {open.slice(0, OPEN_NAMED).map((own) => <Button key={own.key} look="link" title={own.heading} onClick={() => onChoose(own.key)}>{shortHeading(own.heading)}</Button>)}{open.length > OPEN_NAMED ? ` and ${open.length - OPEN_NAMED} more` : ''}
        </p>
      )}
      <ColumnSettings key={column.key} rules={rules} column={column} onChange={onChange} />
    </div>
  );
}

/** Other columns that are not sure, named at most. */
const OPEN_NAMED = 6;
/** Longer headings are cut in that list: it stands above what is settled. */
const HEADING_LENGTH = 20;

function shortHeading(heading: string): string {
  return heading.length <= HEADING_LENGTH ? heading : `${heading.slice(0, HEADING_LENGTH - 1)}…`;
}

/** Returns whether a cell may stand for “no value”: no number, or one that is negative or made of nines. */
function isOddCell(text: string): boolean {
  return !/^\+?\d+(?:[.,]\d+)?$/.test(text) || /^9{3,}$/.test(text) || text === '0';
}

function columnLabel(column: PreviewColumn, layout: string): string {
  if (column.index === -1) return layout === 'long' ? `in the rows: ${column.heading}` : column.heading;
  return column.key === column.heading ? column.heading : `${column.heading} (${column.key})`;
}

/** Returns the choice that stands for what is said of a column; '' where nothing is. */
function choiceOf(reading: ColumnReading): string {
  if (reading.quantity !== undefined) return `quantity:${reading.quantity}`;
  return reading.role === undefined ? '' : `role:${reading.role}`;
}

function ColumnSettings({ rules, column, onChange }: { readonly rules: TrialProps['rules']; readonly column: PreviewColumn; readonly onChange: TrialProps['onChange'] }): JSX.Element {
  const { key: heading } = column;
  const said = rules.columns?.[heading] ?? {};
  const say = (change: ColumnReading, step?: string): void => onChange(withColumn(rules, heading, change), step === undefined ? undefined : `${heading} ${step}`);
  const quantity = said.quantity ?? (said.role === undefined || said.role === 'value' ? column.quantity : null);
  const isMeasure = quantity !== null;
  const isOfSensor = quantity !== null && QUANTITY_FACTS[quantity].ofSensor;
  const certainty = columnCertaintyText(column);
  const isAName = column.index === -1;
  const choices = isAName ? COLUMN_CHOICES.filter(({ value }) => value.startsWith('quantity:') || value === 'role:ignore') : COLUMN_CHOICES;
  return (
    <>
      <p className="mapping-now" role="status">
        Read as <strong>{columnText(column)}</strong>{column.unit === '' || column.quantity === null ? '' : `, ${unitText(column.unit)}`}{certainty === '' ? '' : ` — ${certainty}`}
        {column.because === '' ? '' : `: ${column.because}`}.
      </p>
      <SelectField
        label="What it is" value={choiceOf(said)}
        choices={[{ value: '', label: 'as found' }, ...choices]}
        onChange={(value) => {
          const read = columnReading(value, '');
          const wanted = QUANTITIES.find((name) => `quantity:${name}` === value);
          const keepsSite = wanted !== undefined && QUANTITY_FACTS[wanted].ofSensor;
          say({ role: read?.reading.role, quantity: read?.reading.quantity, ...(keepsSite || value === '' ? {} : { site: undefined, sensor: undefined }) });
        }}
      />
      {isOfSensor ? (
        <div className="row mapping-pair">
          <SelectField
            label="Site of the sensor" value={said.site ?? ''}
            choices={[{ value: '', label: 'as found' }, ...SITES.map((site) => ({ value: site, label: site }))]}
            onChange={(value) => say({ site: SITES.find((site) => site === value) })}
          />
          <TextField label="Sensor" value={said.sensor ?? ''} placeholder={column.sensor} width="short" hint="where a site has two" onChange={(value) => say({ sensor: value === '' ? undefined : value }, 'sensor')} />
        </div>
      ) : null}
      {isMeasure ? (
        <TextField
          label="Unit in the file" value={said.unit ?? ''} placeholder={unitText(column.unit)} width="short" hint="left empty: as found. A fraction is 1, kilopascal kPa."
          onChange={(value) => say({ unit: value === '' ? undefined : value }, 'unit')}
        />
      ) : null}
      {isMeasure && !isAName ? (
        <>
          <WordList label="Cells that mean “no value”" hint="The whole cell; beside those that are known anyway." words={said.sentinels ?? []} suggestions={column.examples.filter(isOddCell)} onChange={(words) => say({ sentinels: words })} />
          <WordList label="Words that mark an artefact" hint="Beside the number, or in a cell of their own. The value is kept and marked." words={said.flagWords ?? []} suggestions={column.examples.filter((text) => !/\d/.test(text))} onChange={(words) => say({ flagWords: words })} />
        </>
      ) : null}
      {!isMeasure && !isAName && said.role === 'flag' ? (
        <WordList label="Words that mark an artefact" hint="Cells of this column that say so." words={said.flagWords ?? []} suggestions={column.examples.slice(0, 6)} onChange={(words) => say({ flagWords: words })} />
      ) : null}
      {isAName ? null : (
        <SelectField
          label="Does it identify a person?" value={said.identifier ?? ''}
          choices={[{ value: '', label: column.isWithheld ? 'as found: yes, not kept' : 'as found: not recognised as such' }, { value: 'leave out', label: 'yes: leave it out' }, { value: 'keep', label: 'no, or it may be kept: keep it as it stands' }]}
          onChange={(value) => say({ identifier: value === 'keep' || value === 'leave out' ? value : undefined })}
        />
      )}
      {column.examples.length === 0 ? null : <p className="soft mapping-examples">In the file: {column.examples.map((text, i) => <code key={i}>{text}</code>)}</p>}
      {Object.keys(said).length === 0 ? null : <Button look="link" className="only-screen" onClick={() => onChange(withColumn(rules, heading, Object.fromEntries(Object.keys(said).map((field) => [field, undefined]))))}>Take back all that is said of this column</Button>}
    </>
  );
}
