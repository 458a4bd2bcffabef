import { useState, type JSX } from 'react';
import type { ColumnChoice } from '../../../../core/model/quality-chart.ts';
import type { GroupingColumn } from '../../../../core/model/unit-funnel.ts';
import { numberText } from '../../../format/number-text.ts';
import { Button } from '../../../widgets/button.tsx';
import { CheckField, TextField } from '../../../widgets/field.tsx';

export interface ColumnChoicesProps {
  readonly columns: readonly GroupingColumn[];
  readonly choice: readonly ColumnChoice[];
  readonly onChoice: (choice: readonly ColumnChoice[]) => void;
}

const REFUSALS: Readonly<Record<NonNullable<GroupingColumn['refusedBecause']>, string>> = {
  'names persons': 'it names persons', 'one value': 'it has one value only', 'a value for almost every case': 'it has a value of its own for almost every case',
};

/** Returns the choice of cases by columns of the case list: of each column the values that are taken; with none picked, all. */
export function ColumnChoices({ columns, choice, onChoice }: ColumnChoicesProps): JSX.Element {
  const usable = columns.filter((one) => one.refusedBecause === null);
  const refused = columns.filter((one) => one.refusedBecause !== null);
  const take = (column: string, values: readonly string[]): void => onChoice([...choice.filter((one) => one.column !== column), ...(values.length === 0 ? [] : [{ column, values }])]);
  return (
    <>
      {usable.length === 0 ? <p className="soft">No column of a case list is at hand to choose cases by.</p> : (
        <div className="cohort-facets">
          {usable.map((of) => <ColumnBox key={of.column} of={of} taken={choice.find(({ column }) => column === of.column)?.values ?? []} onTaken={(values) => take(of.column, values)} />)}
        </div>
      )}
      {refused.length === 0 ? null : <p className="soft">Not offered: {refused.map((one) => `${one.column}, because ${one.refusedBecause === null ? '' : REFUSALS[one.refusedBecause]}`).join('; ')}.</p>}
    </>
  );
}

function ColumnBox({ of, taken, onTaken }: { readonly of: GroupingColumn; readonly taken: readonly string[]; readonly onTaken: (values: readonly string[]) => void }): JSX.Element {
  const [written, setWritten] = useState('');
  const listed = of.commonest.map(({ value }) => value);
  const others = taken.filter((value) => !listed.includes(value));
  return (
    <fieldset className="cohort-facet">
      <legend>Only these of “{of.column}” <span className="soft">{taken.length === 0 ? 'all are taken' : `${numberText(taken.length)} of ${numberText(of.values)}`}</span></legend>
      <div className="cohort-facet-values">
        {of.commonest.map(({ value, cases }) => (
          <CheckField key={value} label={`${value} (${numberText(cases)})`} checked={taken.includes(value)} onChange={(isTaken) => onTaken(isTaken ? [...taken, value] : taken.filter((one) => one !== value))} />
        ))}
        {others.map((value) => <CheckField key={value} label={value} checked onChange={() => onTaken(taken.filter((one) => one !== value))} />)}
      </div>
      {of.values <= listed.length ? null : (
        <span className="row">
          <TextField label={`One of the ${numberText(of.values - listed.length)} others`} value={written} onChange={setWritten} />
          <Button
            disabled={written.trim() === '' || taken.includes(written.trim())}
            onClick={() => {
              onTaken([...taken, written.trim()]);
              setWritten('');
            }}
          >
            Take it too
          </Button>
        </span>
      )}
      {taken.length === 0 ? null : <Button look="link" aria-label={`Take all of ${of.column} again`} onClick={() => onTaken([])}>Take all again</Button>}
    </fieldset>
  );
}
