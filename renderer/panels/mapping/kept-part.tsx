import type { JSX } from 'react';
import type { FilePreview } from '../../../core/model/file-preview.ts';
import { countText, numberText } from '../../format/number-text.ts';
import { FigureHead } from '../../help/figure-help.tsx';

/** Returns what of the file will be kept, and what not because it names or may name a person. */
export function KeptPart({ preview }: { readonly preview: FilePreview }): JSX.Element {
  const { withheld } = preview;
  const hidden = preview.columns.filter((column) => column.isWithheld);
  const kept = preview.columns.filter((column) => !column.isWithheld && column.role !== 'ignore' && !column.readAs.startsWith('not used') && column.readAs !== 'not understood yet');
  const dropped = preview.columns.filter((column) => !column.isWithheld && !kept.includes(column));
  return (
    <div className="mapping-controls">
      <h3 className="small-heading">Kept in the library</h3>
      {kept.length === 0 ? <p className="soft">Nothing yet: no column is understood.</p> : <ul>{kept.map((column) => <li key={column.key}>{column.heading}: {column.readAs}</li>)}</ul>}
      <h3 className="small-heading">Not kept, because it names a person or may do so</h3>
      {hidden.length === 0 && (withheld === undefined || withheld.length === 0) ? <p className="soft">Nothing of that kind was recognised in the first rows. That does not prove that there is none: look at the texts.</p> : null}
      {hidden.length === 0 ? null : <ul>{hidden.map((column) => <li key={column.key}>{column.heading}{column.role === 'case' ? ': tells the cases apart, replaced by a code' : ''}</li>)}</ul>}
      {withheld === undefined || withheld.length === 0 ? null : (
        <table className="plain-table">
          <thead><tr><th scope="col">Where</th><FigureHead figure="kept-out">Looks like</FigureHead><FigureHead figure="kept-out">What is done</FigureHead><FigureHead figure="kept-out" className="align-right">How often</FigureHead></tr></thead>
          <tbody>
            {withheld.map((entry, i) => (
              <tr key={i}>
                <th scope="row">{entry.heading === '' ? 'free text' : entry.heading}{entry.firstLine === null ? '' : `, line ${numberText(entry.firstLine)}`}</th>
                <td>{entry.looksLike}</td><td>{entry.done}</td><td className="align-right">{countText(entry.count, 'cell', 'cells')}</td>
              </tr>
            ))}
          </tbody>
        </table>
      )}
      {dropped.length === 0 ? null : (
        <>
          <h3 className="small-heading">Not used</h3>
          <p className="soft">{dropped.map((column) => column.heading).join(', ')}</p>
        </>
      )}
    </div>
  );
}
