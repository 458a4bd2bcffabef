import { areLongNumbers, identifierOfCells } from '../identity/identifier-cells.ts';
import { identifierOfHeading, namesStayOrPatient, type IdentifierKind } from '../identity/identifier-heading.ts';
import type { ReadingRules } from '../model/mapping.ts';
import { plainHeading, roleOfHeading } from './heading-words.ts';
import { columnRule } from './plan-table.ts';
import type { ColumnPlan } from './table-plan.ts';

/** Numbers of stays and patients with fewer figures are ordinary codes. Common practice without source. */
const REGISTER_FIGURES = 5;
/** The same for the case number of a record system, which an ordinary case code may equal in form. */
const CASE_FIGURES = 7;
/** A column of long numbers that change as rarely as this identifies something; a measurement changes more often. */
const ROWS_PER_NUMBER = 20;

/**
 * Returns what a heading, as the file has it, says that its column holds of a person; null for none. "Name" alone says nothing:
 * in long tables it heads the names of measurements.
 */
export function identityOfHeading(heading: string): IdentifierKind | null {
  if (/^\s*name\s*$/i.test(heading)) return null;
  const plain = plainHeading(heading);
  const kind = identifierOfHeading(plain);
  if (kind !== null) return kind;
  return roleOfHeading(heading) === 'identifier' ? (/no\b|nr\b|num|id\b|record|card|chart|ssn/.test(plain) ? 'record number' : 'name') : null;
}

/**
 * Decides which columns identify persons, and what is done with them: from the heading, from the shape of the cells, and from what
 * a person said. Comes after roles are given and before the kind of table is decided.
 */
export function placeIdentifiers(columns: readonly ColumnPlan[], headings: readonly string[], rules: ReadingRules | null, keepIdentifiers: boolean): void {
  for (const column of columns) {
    const rule = columnRule(column, rules);
    const heading = headings[column.index] ?? '';
    const isTime = column.role === 'time' || column.role === 'clock' || column.role === 'end time';
    const isSaid = rule?.role !== undefined || rule?.quantity !== undefined;
    const byHeading = identityOfHeading(heading);
    const kind = rule?.identifier === 'leave out' ? (byHeading ?? 'other number') : isTime || isSaid ? (column.role === 'case' ? caseIdentity(column, heading) : null) : column.role === 'case' ? caseIdentity(column, heading) : (byHeading ?? identityOfContent(column, heading));
    if (kind === null || (isTime && rule?.identifier !== 'leave out')) continue;
    column.identity = kind;
    if (keepIdentifiers || rule?.identifier === 'keep') {
      column.handling = 'kept';
      if (column.role === 'identifier') column.role = 'attribute';
    } else if (column.role === 'case') {
      column.handling = 'replaced by a code';
    } else if (kind === 'age' && rule?.identifier !== 'leave out') {
      column.handling = 'grouped';
      column.role = 'attribute';
      column.quantity = null;
    } else {
      column.handling = 'left out';
      column.role = 'identifier';
      column.quantity = null;
      column.because = 'identifies a person';
    }
  }
}

/** What the key of the cases is, null for an ordinary case code. */
function caseIdentity(column: ColumnPlan, heading: string): IdentifierKind | null {
  const byHeading = identityOfHeading(heading);
  if (byHeading !== null && byHeading !== 'age') return byHeading;
  const cells = column.profile.distinct;
  const plain = plainHeading(heading);
  if (namesStayOrPatient(plain) && areLongNumbers(cells.keys(), /^fall/.test(plain) ? CASE_FIGURES : REGISTER_FIGURES)) return 'record number';
  return identifierOfCells(cells.keys());
}

/** What the cells of a column say where its heading says nothing of persons. */
function identityOfContent(column: ColumnPlan, heading: string): IdentifierKind | null {
  const { role, profile } = column;
  const cells = profile.distinct;
  if (namesStayOrPatient(plainHeading(heading)) && areLongNumbers(cells.keys(), REGISTER_FIGURES)) return 'record number';
  if (role === 'value') {
    if (column.quantity !== 'other' || roleOfHeading(heading) !== null || profile.hasMoreDistinct) return null;
    return cells.size > 0 && cells.size * ROWS_PER_NUMBER <= profile.nRows && areLongNumbers(cells.keys(), 6) ? 'other number' : null;
  }
  if (role !== 'attribute' && role !== 'ignore' && role !== 'text' && role !== 'name' && role !== 'sensor') return null;
  return identifierOfCells(cells.keys());
}
