import { blankInstants } from '../identity/blank-instants.ts';
import type { Column } from './column.ts';

/** Columns that tell when or where, beside those that end in `_at`. */
const ABSOLUTE: ReadonlySet<string> = new Set(['at', 'zone']);
/** Fields of JSON that hold no text of the input. */
const PLAIN_FIELDS: ReadonlySet<string> = new Set(['sha256', 'product_version', 'encoding', 'layout', 'kind']);

/** Returns columns that write no instant: those of instants and zones are empty, dates and clock times are taken out of texts. */
export function relativeColumns<Row>(columns: readonly Column<Row>[]): Column<Row>[] {
  return columns.map((column) => {
    if (column.type === 'number' || column.type === 'yes or no') return column;
    if (column.name.endsWith('_at') || ABSOLUTE.has(column.name)) return { ...column, cell: () => '' };
    return {
      ...column,
      cell: (row) => {
        const cell = column.cell(row);
        return cell === null ? null : blankInstants(cell);
      },
    };
  });
}

/** Returns a value with dates and clock times taken out of every text in it. */
export function withoutInstants<T>(value: T): T {
  const walk = (part: unknown, name: string): unknown => {
    if (typeof part === 'string') return PLAIN_FIELDS.has(name) ? part : name === 'zone' ? '' : blankInstants(part);
    if (Array.isArray(part)) return part.map((own) => walk(own, name));
    if (typeof part === 'object' && part !== null) return Object.fromEntries(Object.entries(part).map(([key, own]) => [blankInstants(key), walk(own, key)]));
    return part;
  };
  // The shape stays what it was: texts become texts.
  return walk(value, '') as T;
}

/** What the data dictionary says of a run for release. */
export const RELATIVE_TIME_STATEMENT = `## Relative time

This run was written with \`--relative-time\`: instants stand only as seconds from the first trend row of each case.

- Taken out: every column of instants (\`at\`, \`…_at\`), the time zone, and dates and clock times within texts, notes, names of files and cases, rejected rows and the mapping (\`[date]\`, \`[time]\`).
- Why: a date shifted by some days keeps day and month, so shifting does not meet the Safe Harbor list of 45 CFR 164.514(b)(2); relative time does for dates.
- What is left: exact durations, drugs, positions and rare procedures. Together they may still point to one person for somebody who was there. Digests of the input files let whoever has these files recognise them.
- Names, record numbers and the like are left out by recognition, which misses some. **A person has to look the files through before they are passed on**, and has to judge whether what remains identifies anybody.
`;
