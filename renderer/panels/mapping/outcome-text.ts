import type { PreviewColumn, PreviewOutcome } from '../../../core/model/file-preview.ts';
import { QUANTITY_FACTS, type Quantity } from '../../../core/model/quantity.ts';
import type { Site } from '../../../core/model/site.ts';
import { doseText, plainNumberText, unitText } from '../../format/number-text.ts';

/** A short text, and how it is to be told apart; the text alone says it too. */
export interface Shown {
  readonly text: string;
  readonly tone: 'kept' | 'missing' | 'flagged' | 'unknown' | 'rejected' | 'nothing';
}

/** Returns what was measured, and where: "SpO2, ear lobe". */
export function measureText(quantity: Quantity, site: Site | null, sensor: string): string {
  const name = quantity === 'other' ? 'Not recognised, kept' : QUANTITY_FACTS[quantity].name;
  const place = site === null || site === 'unstated' ? '' : `, ${site}`;
  return `${name}${place}${sensor === '' ? '' : ` ${sensor}`}`;
}

/** Returns what stands under a heading: its quantity and site, or its part in the table. */
export function columnText(column: PreviewColumn): string {
  if (column.isWithheld) return 'not kept: names a person';
  if (column.role === 'value' || (column.role === 'name' && column.quantity !== null)) return column.quantity === null ? column.readAs : measureText(column.quantity, column.site, column.sensor);
  if (column.quantity !== null) return measureText(column.quantity, column.site, column.sensor);
  return column.readAs;
}

const CERTAINTY_TEXT: Readonly<Record<PreviewColumn['certainty'], string>> = {
  stated: 'as you said',
  known: '',
  proven: 'proven by the file',
  likely: 'likely',
  assumed: 'assumed',
  unknown: 'not known',
};

/** Returns how sure the reading of a column is, in a word or two; '' where its heading says it. */
export function columnCertaintyText(column: PreviewColumn): string {
  return column.isWithheld || (column.certainty === 'unknown' && /^not used \(/.test(column.readAs)) ? '' : CERTAINTY_TEXT[column.certainty];
}

/** Returns whether a person should look at a column: nobody knows what it is, or it was assumed. */
export function isOpenColumn(column: PreviewColumn): boolean {
  return columnCertaintyText(column) === 'not known' || column.certainty === 'assumed';
}

/** Returns the value (or its absence) of one cell with `unit`, without its quantity. */
function valueText(outcome: Extract<PreviewOutcome, { kind: 'value' | 'missing' }>, unit: string): Shown {
  const flag = outcome.isFlagged ? ', flagged' : '';
  if (outcome.kind === 'missing') return { text: `none (${outcome.why === 'empty' ? 'empty' : 'filler'}${flag})`, tone: 'missing' };
  return { text: `${plainNumberText(outcome.value, 4)}${unit === '' ? '' : ` ${unitText(unit)}`}${outcome.isConverted ? ' (converted)' : ''}${outcome.isFlagged ? ' (flagged)' : ''}`, tone: outcome.isFlagged ? 'flagged' : 'kept' };
}

const FORM_TEXT = { 'bolus': 'bolus', 'infusion start': 'infusion starts', 'infusion rate': 'infusion rate', 'infusion stop': 'infusion stops' } as const;

/** Returns what a row or cell became, in words. `within`: the column it stands under, whose quantity and site need no repeating. */
export function outcomeText(outcome: PreviewOutcome, within: PreviewColumn | null): Shown {
  switch (outcome.kind) {
    case 'value':
    case 'missing': {
      const shown = valueText(outcome, within === null && outcome.kind === 'value' ? outcome.unit : '');
      if (within !== null) return outcome.site === within.site && outcome.sensor === within.sensor ? shown : { ...shown, text: `${shown.text}, ${outcome.site ?? ''} ${outcome.sensor}`.trimEnd() };
      return { ...shown, text: `${measureText(outcome.quantity, outcome.site, outcome.sensor)}: ${shown.text}` };
    }
    case 'drug': {
      const dose = outcome.amount === null ? 'no dose' : doseText(outcome.amount, outcome.unit);
      const parts = [outcome.inn ?? `not known: ${outcome.text}`, dose, outcome.route ?? '', FORM_TEXT[outcome.form], outcome.isVasopressor ? 'vasopressor' : '', ...outcome.flags];
      return { text: parts.filter((part) => part !== '').join(', '), tone: outcome.inn === null ? 'unknown' : outcome.flags.length > 0 ? 'flagged' : 'kept' };
    }
    case 'event': {
      if (outcome.event === 'note') return { text: `plain note: ${outcome.text}`, tone: 'unknown' };
      const phase = outcome.phase === 'moment' ? '' : outcome.phase === 'start' ? 'begins' : 'ends';
      const what = outcome.term === '' || outcome.term === outcome.event ? outcome.event : `${outcome.event}: ${outcome.term}`;
      return { text: [what, phase, outcome.site ?? ''].filter((part) => part !== '').join(', '), tone: 'kept' };
    }
    case 'facts':
      return { text: 'facts of a case', tone: 'kept' };
    case 'rejected':
      return { text: `rejected: ${outcome.reason}`, tone: 'rejected' };
    case 'nothing':
      return { text: outcome.why, tone: 'nothing' };
  }
}
