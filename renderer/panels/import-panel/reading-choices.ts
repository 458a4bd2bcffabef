import { SOURCE_KINDS } from '../../../core/model/case.ts';
import { COLUMN_ROLES, type ColumnReading, type ReadingRules } from '../../../core/model/mapping.ts';
import { QUANTITIES, QUANTITY_FACTS } from '../../../core/model/quantity.ts';
import { SITES, type Site } from '../../../core/model/site.ts';
import { clockOffsetText } from '../../format/time-text.ts';
import type { Overrule } from '../../state/overrules.ts';
import type { Choice } from '../../widgets/field.tsx';
import { delimiterText, kindText } from './report-text.ts';

/** A field of the reading rules that a person can settle for a whole file, with what can be chosen. */
export interface FileChoice {
  readonly field: 'kind' | 'dateOrder' | 'decimalMark' | 'delimiter' | 'encoding' | 'timeKind';
  readonly label: string;
  readonly choices: readonly { readonly value: string; readonly label: string; readonly rules: ReadingRules }[];
}

/** Everything that can be settled for a whole file by choosing from a list. */
export const FILE_CHOICES: readonly FileChoice[] = [
  {
    field: 'kind', label: 'The file holds',
    choices: SOURCE_KINDS.filter((kind) => kind !== 'unknown').map((kind) => ({ value: kind, label: kindText(kind), rules: { kind } })),
  },
  {
    field: 'dateOrder', label: 'Order in dates',
    choices: [
      { value: 'dmy', label: 'day, month, year', rules: { dateOrder: 'dmy' } },
      { value: 'mdy', label: 'month, day, year', rules: { dateOrder: 'mdy' } },
      { value: 'ymd', label: 'year, month, day', rules: { dateOrder: 'ymd' } },
    ],
  },
  {
    field: 'decimalMark', label: 'Decimal mark',
    choices: [
      { value: '.', label: 'point (97.5)', rules: { decimalMark: '.' } },
      { value: ',', label: 'comma (97,5)', rules: { decimalMark: ',' } },
    ],
  },
  {
    field: 'delimiter', label: 'Sign between cells',
    choices: [',', ';', '\t', '|', ' ', '^', 'aligned'].map((delimiter) => ({ value: delimiter, label: delimiterText(delimiter), rules: { delimiter } })),
  },
  {
    field: 'encoding', label: 'Encoding',
    choices: [
      { value: 'utf-8', label: 'UTF-8', rules: { encoding: 'utf-8' } },
      { value: 'utf-16le', label: 'UTF-16 (little end first)', rules: { encoding: 'utf-16le' } },
      { value: 'utf-16be', label: 'UTF-16 (big end first)', rules: { encoding: 'utf-16be' } },
      { value: 'windows-1252', label: 'Latin-1 (Windows 1252)', rules: { encoding: 'windows-1252' } },
    ],
  },
  {
    field: 'timeKind', label: 'The time column holds',
    choices: [
      { value: 'timestamp', label: 'date and time', rules: { timeKind: 'timestamp' } },
      { value: 'time of day', label: 'time of day', rules: { timeKind: 'time of day' } },
      { value: 'elapsed s', label: 'seconds from the start', rules: { timeKind: 'elapsed s' } },
      { value: 'elapsed min', label: 'minutes from the start', rules: { timeKind: 'elapsed min' } },
      { value: 'elapsed hms', label: 'hours:minutes:seconds from the start', rules: { timeKind: 'elapsed hms' } },
      { value: 'elapsed m:ss', label: 'minutes:seconds from the start', rules: { timeKind: 'elapsed m:ss' } },
      { value: 'unix s', label: 'Unix seconds', rules: { timeKind: 'unix s' } },
      { value: 'unix ms', label: 'Unix milliseconds', rules: { timeKind: 'unix ms' } },
      { value: 'excel day', label: 'spreadsheet day numbers', rules: { timeKind: 'excel day' } },
    ],
  },
];

/** Returns the overrule for one choice of a whole file, or null when the value is not among the choices. */
export function fileOverrule(choice: FileChoice, value: string): Overrule | null {
  const chosen = choice.choices.find((entry) => entry.value === value);
  return chosen === undefined ? null : { field: choice.field, label: `${choice.label}: ${chosen.label}`, rules: chosen.rules };
}

/** Returns the overrule that sets a file's clock by hand, or null for 0: its times stay as they are. Positive: the clock is behind. */
export function clockOffsetOverrule(seconds: number): Overrule | null {
  return seconds === 0 ? null : { field: 'clockOffsetS', label: `Its ${clockOffsetText(seconds * 1000)}`, rules: { clockOffsetS: seconds } };
}

const ROLE_CHOICES: readonly Choice[] = [
  { value: 'role:ignore', label: 'leave it out' },
  { value: 'role:time', label: 'the time' },
  { value: 'role:date', label: 'the date' },
  { value: 'role:end time', label: 'the time of the end' },
  { value: 'role:case', label: 'the case' },
  { value: 'role:name', label: 'the name of the quantity' },
  { value: 'role:number', label: 'the value' },
  { value: 'role:unit', label: 'the unit' },
  { value: 'role:site', label: 'the sensor’s site' },
  { value: 'role:sensor', label: 'the sensor’s name' },
  { value: 'role:flag', label: 'a flag beside the value' },
  { value: 'role:drug', label: 'the drug' },
  { value: 'role:dose', label: 'the dose' },
  { value: 'role:dose unit', label: 'the unit of the dose' },
  { value: 'role:rate', label: 'the infusion rate' },
  { value: 'role:rate unit', label: 'the unit of the rate' },
  { value: 'role:route', label: 'the route' },
  { value: 'role:action', label: 'the kind of entry (start, stop …)' },
  { value: 'role:text', label: 'a text (event, note)' },
];

/** What a column can be read as: quantities first, then the parts that a column can play. */
export const COLUMN_CHOICES: readonly Choice[] = [
  ...QUANTITIES.filter((quantity) => quantity !== 'other').map((quantity) => ({ value: `quantity:${quantity}`, label: QUANTITY_FACTS[quantity].name })),
  { value: 'quantity:other', label: 'another number, kept as it is' },
  ...ROLE_CHOICES,
];

/** Returns whether a column choice is a quantity made by an oximeter sensor, so that a site belongs to it. */
export function takesSite(choice: string): boolean {
  const quantity = QUANTITIES.find((name) => `quantity:${name}` === choice);
  return quantity !== undefined && QUANTITY_FACTS[quantity].ofSensor;
}

/** Returns the reading for a column choice and a site ('' for none stated), with its words; null for an unknown choice. */
export function columnReading(choice: string, site: string): { readonly reading: ColumnReading; readonly words: string } | null {
  const quantity = QUANTITIES.find((name) => `quantity:${name}` === choice);
  if (quantity !== undefined) {
    const knownSite: Site | undefined = takesSite(choice) ? SITES.find((name) => name === site) : undefined;
    const words = `${QUANTITY_FACTS[quantity].name}${knownSite === undefined ? '' : `, ${knownSite}`}`;
    return { reading: knownSite === undefined ? { role: 'value', quantity } : { role: 'value', quantity, site: knownSite }, words };
  }
  const role = COLUMN_ROLES.find((name) => `role:${name}` === choice);
  if (role === undefined) return null;
  return { reading: { role }, words: ROLE_CHOICES.find((entry) => entry.value === choice)?.label ?? role };
}

/** Returns the zones that this computer knows; an empty list where it cannot say (a text field is offered then). */
export function knownZones(): string[] {
  if (typeof Intl.supportedValuesOf !== 'function') return [];
  const zones = Intl.supportedValuesOf('timeZone');
  return zones.includes('UTC') ? zones : ['UTC', ...zones];
}
