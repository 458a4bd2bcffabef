import type { JSX } from 'react';
import type { ColumnReport, Withheld } from '../../../core/model/import-report.ts';
import { countText, numberText } from '../../format/number-text.ts';
import { FigureHead } from '../../help/figure-help.tsx';
import { columnOverrule, type Overrule } from '../../state/overrules.ts';
import { SelectField } from '../../widgets/field.tsx';

export interface KeptOutProps {
  readonly withheld: readonly Withheld[];
  readonly columns: readonly ColumnReport[];
  readonly said: readonly Overrule[];
  readonly onSay: (overrule: Overrule) => void;
  readonly onUnsay: (field: string) => void;
}

const CHOICES = [
  { value: '', label: 'as decided' },
  { value: 'keep', label: 'keep it' },
  { value: 'leave out', label: 'leave it out' },
];

/** Returns what of a file identifies persons and what was done with it, with a choice for every column; nothing where nothing was recognised. */
export function KeptOut({ withheld, columns, said, onSay, onUnsay }: KeptOutProps): JSX.Element | null {
  if (withheld.length === 0) return null;
  const headings = new Set(columns.map((column) => column.heading));
  return (
    <section className="kept-out">
      <h3 className="small-heading">{keptOutText(withheld)}</h3>
      <table className="plain-table kept-out-table">
        <thead>
          <tr><th scope="col">Where</th><FigureHead figure="kept-out">Looks like</FigureHead><FigureHead figure="kept-out">What was done</FigureHead><FigureHead figure="kept-out" className="align-right">How often</FigureHead><FigureHead figure="kept-out" className="align-right">First line</FigureHead><th scope="col">Overrule</th></tr>
        </thead>
        <tbody>
          {withheld.map((entry) => (
            <tr key={`${entry.heading} ${entry.looksLike} ${entry.done}`}>
              <th scope="row">{entry.heading === '' ? 'in texts' : entry.heading}</th>
              <td>{entry.looksLike}</td>
              <td>{entry.done}</td>
              <td className="align-right">{numberText(entry.count)}</td>
              <td className="align-right">{entry.firstLine === null ? '–' : numberText(entry.firstLine)}</td>
              <td>{headings.has(entry.heading) && entry.heading !== '' ? <IdentifierChoice heading={entry.heading} said={said} onSay={onSay} onUnsay={onUnsay} /> : <span className="soft">no choice</span>}</td>
            </tr>
          ))}
        </tbody>
      </table>
      <p className="soft">Recognition misses some names and takes a word for one now and then. What is kept on purpose stands in the library and in every table made from it.</p>
    </section>
  );
}

/** Says in one line how much was kept out. */
function keptOutText(withheld: readonly Withheld[]): string {
  const out = withheld.filter((entry) => entry.done !== 'kept');
  const columns = new Set(out.flatMap((entry) => (entry.heading === '' ? [] : [entry.heading])));
  const places = out.filter((entry) => entry.heading === '').reduce((sum, entry) => sum + entry.count, 0);
  const parts = [columns.size === 0 ? '' : [...columns].slice(0, 6).join(', ') + (columns.size > 6 ? ` and ${columns.size - 6} more` : ''), places === 0 ? '' : countText(places, 'place in texts', 'places in texts')].filter((part) => part !== '');
  return parts.length === 0 ? 'Kept, as asked for' : `Kept out: ${parts.join('; ')}`;
}

function IdentifierChoice({ heading, said, onSay, onUnsay }: Omit<KeptOutProps, 'withheld' | 'columns'> & { readonly heading: string }): JSX.Element {
  const field = `columns.${heading}`;
  const current = said.find((overrule) => overrule.field === field)?.rules.columns?.[heading]?.identifier ?? '';
  return (
    <SelectField
      label={`Keep ${heading} or leave it out`} labelHidden value={current} choices={CHOICES}
      onChange={(value) => {
        if (value === 'keep' || value === 'leave out') onSay(columnOverrule(heading, { identifier: value }, value === 'keep' ? `“${heading}” is kept` : `“${heading}” is left out`));
        else onUnsay(field);
      }}
    />
  );
}
