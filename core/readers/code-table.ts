import { roleOfHeading } from './heading-words.ts';
import type { ColumnPlan } from './table-plan.ts';
import type { ColumnProfile } from './sample-table.ts';

/** A table that says what the codes of other tables mean. Plain data that can cross a thread. */
export interface CodeTable {
  /** Path below the chosen folder, and the folder that it lies in. */
  readonly file: string;
  readonly folder: string;
  /** Columns of codes, each with one code for each label; '' where a row has none. */
  readonly columns: readonly { readonly heading: string; readonly codes: readonly string[] }[];
  readonly labels: readonly string[];
}

/** A column of a table that holds codes and nothing that this program knows. */
export interface CodeColumn {
  readonly heading: string;
  /** Different codes of its first rows. */
  readonly codes: readonly string[];
}

const MAX_EXAMPLES = 60;
const CODE = /^[A-Za-z]{0,12}[-_.:]?\d{1,15}$|^[A-Z][A-Z0-9_.-]{1,30}$/;
const LABEL = /^(?:(?:item|param(?:eter)?|code|short|long|full)? ?(?:label|name|description|display|title|text|term|meaning)|bezeichnung|beschreibung|libelle|item|concept)$/i;

function nFilled(profile: ColumnProfile): number {
  return profile.nRows - profile.nEmpty;
}

function isOfCodes(profile: ColumnProfile): boolean {
  return nFilled(profile) > 0 && profile.texts.every((text) => CODE.test(text));
}

/** Returns which columns hold codes and which their labels, null where the table is no list of codes: each code stands once. */
export function codePlan(columns: readonly ColumnPlan[]): { readonly codes: readonly ColumnPlan[]; readonly label: ColumnPlan } | null {
  const codes = columns.filter(({ heading, profile }) => roleOfHeading(heading) !== 'counter' && nFilled(profile) === profile.nRows && profile.nRows >= 3 && isOfCodes(profile) && (profile.hasMoreDistinct || profile.distinct.size === profile.nRows));
  const texts = columns.filter(({ profile }) => nFilled(profile) >= profile.nRows * 0.7 && profile.nText >= nFilled(profile) * 0.8 && !isOfCodes(profile) && (profile.hasMoreDistinct || profile.distinct.size >= profile.nRows * 0.5));
  const label = texts.find(({ heading }) => LABEL.test(heading.replace(/[_-]+/g, ' ').trim())) ?? texts[0];
  return codes.length === 0 || label === undefined ? null : { codes, label };
}

/** Returns the columns of a table whose cells may be codes that another file explains. */
export function codeColumnsOf(columns: readonly ColumnPlan[]): CodeColumn[] {
  return columns
    .filter(({ role, quantity, handling, profile }) => handling === null && (role === 'ignore' || role === 'attribute' || role === 'name' || role === 'drug' || (role === 'value' && quantity === 'other')) && !profile.hasMoreDistinct && isOfCodes(profile))
    .map(({ heading, profile }) => ({ heading, codes: [...profile.distinct.keys()].slice(0, MAX_EXAMPLES) }));
}

function fold(heading: string): string {
  return heading.trim().toLowerCase();
}

/** What the codes of one column mean. */
export interface CodeLabels {
  readonly file: string;
  readonly labelHeading: string;
  readonly labels: ReadonlyMap<string, string>;
}

/**
 * Returns what the codes of a column mean by the first of some tables that knows nearly all of them: under the same heading, or
 * any when there are at least five. Null when none does.
 */
export function labelsFor(column: CodeColumn, tables: readonly CodeTable[]): CodeLabels | null {
  for (const table of tables) {
    for (const { heading, codes } of table.columns) {
      if (fold(heading) !== fold(column.heading) && column.codes.length < 5) continue;
      const labels = new Map<string, string>();
      codes.forEach((code, i) => {
        const label = table.labels[i] ?? '';
        if (code !== '' && label !== '' && !labels.has(code)) labels.set(code, label);
      });
      const known = column.codes.filter((code) => labels.has(code)).length;
      if (known > 0 && known >= column.codes.length * 0.9) return { file: table.file, labelHeading: heading, labels };
    }
  }
  return null;
}

/** Returns the tables that lie in a folder or in one around it. */
export function tablesOf(folder: string, tables: readonly CodeTable[]): CodeTable[] {
  return tables.filter((table) => table.folder === '' || table.folder === folder || folder.startsWith(`${table.folder}/`));
}
