import { useState, type JSX } from 'react';
import type { ColumnChoice } from '../../../../core/model/quality-chart.ts';
import type { GroupingColumn } from '../../../../core/model/unit-funnel.ts';
import { countText } from '../../../format/number-text.ts';
import { Button } from '../../../widgets/button.tsx';
import { SelectField, TextField } from '../../../widgets/field.tsx';

export interface ColumnChoicesProps {
  readonly columns: readonly GroupingColumn[];
  readonly choice: readonly ColumnChoice[];
  readonly onChoice: (choice: readonly ColumnChoice[]) => void;
}

const REFUSALS: Readonly<Record<NonNullable<GroupingColumn['refusedBecause']>, string>> = {
  'names persons': 'it names persons', 'one value': 'it has one value only', 'a value for almost every case': 'it has a value of its own for almost every case',
};

/** Returns the choice of cases by columns of the case list: a column and the values that are taken. */
export function ColumnChoices({ columns, choice, onChoice }: ColumnChoicesProps): JSX.Element {
  const usable = columns.filter((one) => one.refusedBecause === null);
  const refused = columns.filter((one) => one.refusedBecause !== null);
  const [column, setColumn] = useState('');
  const [values, setValues] = useState('');
  const chosen = usable.find((one) => one.column === column)?.column ?? usable[0]?.column ?? '';
  const wanted = values.split(';').map((value) => value.trim()).filter((value) => value !== '');
  return (
    <>
      {usable.length === 0 ? <p className="soft">No column of a case list is at hand to choose cases by.</p> : (
        <div className="cohort-controls">
          <SelectField label="Column" value={chosen} choices={usable.map((one) => ({ value: one.column, label: `${one.column} (${countText(one.values, 'value', 'values')})` }))} onChange={setColumn} />
          <TextField label="Values taken, parted by semicolons" value={values} onChange={setValues} />
          <Button
            disabled={wanted.length === 0}
            onClick={() => {
              onChoice([...choice.filter((one) => one.column !== chosen), { column: chosen, values: wanted }]);
              setValues('');
            }}
          >
            Take only these
          </Button>
        </div>
      )}
      {choice.length === 0 ? null : (
        <ul>{choice.map((one) => <li key={one.column}>{one.column}: {one.values.join(', ')} <Button look="link" aria-label={`Do not choose by ${one.column}`} onClick={() => onChoice(choice.filter((other) => other.column !== one.column))}>Take away</Button></li>)}</ul>
      )}
      {refused.length === 0 ? null : <p className="soft">Not offered: {refused.map((one) => `${one.column}, because ${one.refusedBecause === null ? '' : REFUSALS[one.refusedBecause]}`).join('; ')}.</p>}
    </>
  );
}
