import { countWords } from '../base/count-words.ts';
import { fail, ok, type Result } from '../base/result.ts';
import type { Guess } from '../model/import-report.ts';
import type { DateOrder, ReadingRules, TimeKind } from '../model/mapping.ts';
import { QUANTITY_FACTS, type Quantity } from '../model/quantity.ts';
import { findDrug } from '../terms/find-drug.ts';
import { findQuantity } from '../terms/find-quantity.ts';
import { findSite } from '../terms/find-site.ts';
import { parseDose } from '../terms/parse-dose.ts';
import { parseEvent } from '../terms/parse-event.ts';
import { alignedSpans, looksAligned, splitAligned } from './aligned-lines.ts';
import { saysSensorLost } from './cell-words.ts';
import { codeColumnsOf, codePlan, labelsFor, type CodeColumn, type CodeLabels, type CodeTable } from './code-table.ts';
import { DateOrderEvidence } from './date-order.ts';
import { joinedPressures, withPressures } from './joined-pressures.ts';
import { findHeadings, type HeadingBlock } from './find-headings.ts';
import { clockSenseOf, elapsedUnitOf, roleOfHeading, type HeadingRole } from './heading-words.ts';
import { chooseDecimal, chooseDelimiter, datePartsOf, modalWidth, profileColumn, sampleRows, type ColumnProfile, type SampleRow } from './sample-table.ts';
import type { ColumnPlan, ColumnRole, TablePlan, TableShape, TimeForm, TimePlan } from './table-plan.ts';
import { identityOfHeading, placeIdentifiers } from './place-identifiers.ts';
import { shiftHeadings } from './shift-headings.ts';
import { statedDelimiter } from './stated-delimiter.ts';
import { StatedWords } from './stated-words.ts';

/** What the planner is told about a file besides its first bytes. */
export interface PlanInput {
  readonly head: Uint8Array;
  /** The head is the whole file. */
  readonly isWhole: boolean;
  readonly cellEncoding: 'utf-8' | 'windows-1252';
  readonly rules: ReadingRules | null;
  readonly keepIdentifiers: boolean;
  /** Tables that may say what the codes of a column mean. */
  readonly codeTables?: readonly CodeTable[] | undefined;
  /** Told of columns of codes, and of a table that is a list of codes itself. */
  readonly onCodes?: ((found: { readonly columns: readonly CodeColumn[]; readonly table: TablePlan | null }) => void) | undefined;
}

/** A score below this means that no delimiter makes an even table. */
const LEAST_SCORE = 0.35;

/** Returns `text` as it stands as a heading, or `column N` for a column without one. */
function shownHeading(text: string, index: number): string {
  return text === '' ? `column ${index + 1}` : text;
}

function nFilled(profile: ColumnProfile): number {
  return profile.nRows - profile.nEmpty;
}

/** Share of the cells that say something (no filler) and are numbers. */
function numericShare(profile: ColumnProfile): number {
  const said = nFilled(profile) - profile.nFiller;
  return said <= 0 ? 0 : profile.nNumber / said;
}

/**
 * Returns how a file is to be read: delimiter, headings, what each column is, how its times are written, and what kind of
 * table it is, all from its content. Rules that a person gave overrule everything found.
 * Errors   `no-table`, `no-headings`, `no-times`: with the line and what to do.
 */
export function planTable(input: PlanInput): Result<TablePlan> {
  const { head, isWhole, cellEncoding, rules } = input;
  const notes: string[] = [];
  const guesses: TablePlan['guesses'] = [];
  let delimiter: number;
  let rows: readonly SampleRow[];
  let width: number;
  if (rules?.delimiter?.toLowerCase() === 'aligned') return planAligned(input, sampleRows(head, isWhole, -1, cellEncoding));
  const stated = statedDelimiter(rules);
  if (stated !== null) {
    if (!(stated < 128)) {
      return fail({ code: 'no-table', message: `The mapping names "${rules?.delimiter ?? ''}" as the delimiter; only a sign of the ASCII set can be one.`, remedy: 'Name comma, semicolon, tab, pipe, another plain sign, or aligned.' });
    }
    delimiter = stated;
    rows = sampleRows(head, isWhole, delimiter, cellEncoding);
    width = modalWidth(rows);
  } else {
    const choice = chooseDelimiter(head, isWhole, cellEncoding);
    delimiter = choice.delimiter;
    rows = choice.rows;
    width = choice.width;
    if (choice.score < LEAST_SCORE) {
      const lines = sampleRows(head, isWhole, -1, cellEncoding);
      if (looksAligned(lines)) return planAligned(input, lines);
      if (choice.score === 0) {
        return fail({
          code: 'no-table',
          message: 'No table was found in this file: no comma, semicolon, tab or pipe cuts its lines into columns.',
          line: 1,
          remedy: 'Export the data as CSV, or name the delimiter in a mapping. If it is not data, leave it out.',
        });
      }
    }
  }
  if (rows.length === 0) {
    return fail({ code: 'no-table', message: 'This file holds no complete line of a table.', line: 1, remedy: 'Export the data again as CSV.' });
  }
  const block = findHeadings(rows, width, rules?.kind === 'case list' ? 1 : 2);
  if (block === null) {
    if (rules?.columns === undefined) {
      return fail({
        code: 'no-headings',
        message: 'No headings were found: it cannot be told which column is which.',
        line: rows[0]?.line ?? 1,
        remedy: 'Export with headings, or say in a mapping what "column 1", "column 2" … are.',
      });
    }
    const bare: HeadingBlock = { firstDataIndex: 0, headingLines: [], unitLine: null, preambleLines: [], headings: Array.from({ length: width }, () => ''), units: Array.from({ length: width }, () => '') };
    return planColumns(input, delimiter, rows, bare, notes, guesses, []);
  }
  return planColumns(input, delimiter, rows, block, notes, guesses, []);
}

/** Records have tens of columns, whole archives hundreds; a line with more was broken, and each column costs memory and a line of the report. */
const MOST_COLUMNS = 5000;

/** Plans a log whose columns are aligned with blanks: the headings' words give the places of the columns. */
function planAligned(input: PlanInput, lines: readonly SampleRow[]): Result<TablePlan> {
  const spans = alignedSpans(lines, (heading) => columnRule({ heading, index: -2 }, input.rules) !== undefined);
  if (spans === null) {
    return fail({ code: 'no-headings', message: 'This looks like a printed log, but no line names its columns.', line: 1, remedy: 'Keep the heading lines in the export.' });
  }
  const headings = spans.map((span) => span.text.slice(0, 401));
  const rows = lines.map((row) => ({ line: row.line, cells: splitAligned(row.cells[0] ?? '', spans) }));
  const data = rows.filter((row, i) => !spans.some((span) => span.line === row.line) && looksLikeStamped(lines[i]?.cells[0] ?? ''));
  const block: HeadingBlock = { firstDataIndex: 0, headingLines: [], unitLine: null, preambleLines: [], headings, units: headings.map(() => '') };
  return planColumns(input, -1, data, block, ['Read as a printed log whose columns are aligned with blanks.'], [], spans);
}

function looksLikeStamped(line: string): boolean {
  return /^\s*\S*\d/.test(line) && /\d{1,2}:\d{2}/.test(line);
}

function planColumns(
  input: PlanInput,
  delimiter: number,
  rows: readonly SampleRow[],
  block: HeadingBlock,
  notes: string[],
  guesses: TablePlan['guesses'],
  spans: TablePlan['spans'],
): Result<TablePlan> {
  const { rules } = input;
  if (block.headings.length > MOST_COLUMNS) {
    return fail({
      code: 'too-many-columns',
      message: `The headings name ${block.headings.length} columns; a table with more than ${MOST_COLUMNS} is not read.`,
      line: block.headingLines[0] ?? rows[0]?.line ?? 1,
      remedy: 'Look whether the file is damaged. If every time has a column of its own, export it with a row for each time.',
    });
  }
  const written = rows.slice(block.firstDataIndex);
  const coded = codedColumn(block.headings, written, input.codeTables ?? []);
  const named = coded === null ? written : written.map((row) => ({ ...row, cells: row.cells.map((cell, i) => (i === coded.column ? (coded.labels.get(cell.trim()) ?? cell) : cell)) }));
  const width = block.headings.length;
  const pressures = joinedPressures(block.headings, named, rules);
  const data = pressures.length === 0 ? named : named.map((row) => ({ ...row, cells: withPressures(row.cells, width, pressures) }));
  const added = pressures.flatMap((joined) => joined.headings.map((heading) => ({ heading, column: joined.column })));
  const decimalChoice = chooseDecimal(data, delimiter);
  const decimal = rules?.decimalMark ?? decimalChoice.mark;
  if (rules?.decimalMark === undefined && decimal === ',') {
    guesses.push({
      field: 'decimalMark',
      taken: 'The comma is the decimal mark (97,4 is 97.4).',
      because: `${countWords(Math.ceil(decimalChoice.nComma), 'number is', 'numbers are')} written so`,
      certainty: decimalChoice.nComma >= 1 && decimalChoice.nPoint === 0 ? 'proven' : 'likely',
      alternatives: [{ label: 'The comma groups thousands; the point is the decimal mark', rules: { decimalMark: '.' } }],
    });
  }
  // Counts of these words belong to the reading of the rows, not to the look at the first of them.
  const stated = new StatedWords(rules);
  const allHeadings = [...block.headings, ...added.map(({ heading }) => heading)];
  const profiles = allHeadings.map((heading, i) => profileColumn(data, i, stated.of(columnRule({ heading: shownHeading(heading, i), index: i }, rules))));
  const shifted = pressures.length === 0 ? shiftHeadings(block.headings, profiles) : null;
  const headings = shifted === null ? allHeadings : shifted.headings;
  if (shifted !== null) {
    guesses.push({
      field: 'columns',
      taken: shifted.taken,
      because: shifted.because,
      certainty: 'likely',
      alternatives: [],
    });
  }
  const columns = headings.map((heading, index): ColumnPlan => ({
    index,
    heading: shownHeading(heading, index),
    unit: block.units[added[index - width]?.column ?? index] ?? '',
    role: 'ignore',
    quantity: null,
    site: 'unstated',
    sensor: '',
    because: '',
    identity: null,
    handling: null,
    profile: profiles[index] ?? profileColumn([], index),
  }));
  // A column of codes that have labels names things, whatever its heading says.
  const headingRoles = columns.map((column) => (column.index === coded?.column ? 'name' : headingRole(headings[column.index] ?? '')));
  const time = planTime(columns, headingRoles, rules, guesses, delimiter === -1);
  if (time !== null) {
    setRole(columns, time.column, 'time');
    if (time.clockColumn !== -1) setRole(columns, time.clockColumn, 'clock');
  }
  placeColumns(columns, headingRoles, headings, input.keepIdentifiers, input.isWhole);
  placeNamesByContent(columns, headingRoles);
  placeCase(columns, headingRoles, rules);
  applyColumnRules(columns, rules);
  if (coded !== null) freeOfNoise(columns, headingRoles);
  placeIdentifiers(columns, headings, rules, input.keepIdentifiers);
  for (const { column, headings: own } of pressures) {
    const joined = columns[column];
    if (joined === undefined) continue;
    joined.role = 'ignore';
    joined.because = `read as ${own.join(', ')}`;
  }
  if (pressures.length > 0) notes.push(`Cells that hold more than one pressure (118/64) were read as several columns: ${pressures.map(({ column, headings: own }) => `"${headings[column] ?? ''}" as ${own.map((heading) => `"${heading}"`).join(', ')}`).join('; ')}.`);
  const shape = shapeOf(columns, time, rules, coded !== null);
  if ((shape === 'wide' || shape === 'long') && time !== null && haveDaysOnly(columns, time)) {
    return fail({
      code: 'no-times',
      message: `“${columns[time.column]?.heading ?? ''}” holds days and no clock times, and many rows have the same day: they cannot be put on a timeline.`,
      line: block.headingLines[0] ?? 1,
      remedy: 'Export the time of day as well. If another column holds it, say so in a mapping ("role": "time").',
    });
  }
  const planOf = (own: TableShape): TablePlan => {
    const firstDataLine = spans.length > 0 ? 1 : (data[0]?.line ?? (block.headingLines.at(-1) ?? 0) + 1);
    const afterHeadings = Math.max(0, ...block.headingLines, block.unitLine ?? 0) + 1;
    return {
      shape: own,
      delimiter,
      decimal,
      columns,
      headings: block.headings,
      headingLines: block.headingLines,
      unitLine: block.unitLine,
      firstDataLine: Math.min(firstDataLine, afterHeadings),
      preambleLines: block.preambleLines,
      time,
      guesses,
      notes,
      sample: data,
      spans,
      codes: coded,
      pressures,
    };
  };
  if (coded === null) input.onCodes?.({ columns: codeColumnsOf(columns), table: shape === null && time === null && codePlan(columns) !== null ? planOf('code table') : null });
  if (shape === null) {
    if (time === null) {
      return fail({
        code: 'no-times',
        message: 'No column with times was found, so its rows cannot be put on a timeline.',
        line: block.headingLines[0] ?? 1,
        remedy: 'Name the time column in a mapping ("columns": {"<heading>": {"role": "time"}}), or leave the file out.',
      });
    }
    return fail({
      code: 'no-contents',
      message: 'This table has times, but no column that this program knows: neither measurements, nor drugs, nor events.',
      line: block.headingLines[0] ?? 1,
      remedy: 'Say in a mapping what its columns are.',
    });
  }
  finishShape(shape, columns, coded !== null);
  return ok(planOf(shape));
}

/** Returns the column whose cells are codes that a table explains, with what they mean; null when there is none. */
function codedColumn(headings: readonly string[], rows: readonly SampleRow[], tables: readonly CodeTable[]): (CodeLabels & { readonly column: number }) | null {
  if (tables.length === 0) return null;
  let best: (CodeLabels & { readonly column: number; readonly isNamed: boolean; readonly n: number }) | null = null;
  for (const [column, heading] of headings.entries()) {
    const profile = profileColumn(rows, column);
    const [own] = profile.hasMoreDistinct ? [] : [{ heading, codes: [...profile.distinct.keys()] }];
    const found = own === undefined ? null : labelsFor(own, tables);
    if (own === undefined || found === null) continue;
    const isNamed = found.labelHeading.trim().toLowerCase() === heading.trim().toLowerCase();
    if (best === null || (isNamed && !best.isNamed) || (isNamed === best.isNamed && own.codes.length > best.n)) best = { ...found, column, isNamed, n: own.codes.length };
  }
  return best;
}

/** Beside a column of coded names, texts that no heading calls notes only repeat or sort them: they are no notes. */
function freeOfNoise(columns: readonly ColumnPlan[], roles: readonly (HeadingRole | null)[]): void {
  for (const column of columns) {
    if (column.role !== 'text' || roles[column.index] === 'text') continue;
    column.role = 'attribute';
    column.because = 'beside coded names';
  }
}

/** Returns the role that a heading proposes; what it says of a person comes before everything else it may mean. */
function headingRole(heading: string): HeadingRole | null {
  const identity = identityOfHeading(heading);
  return identity === null || identity === 'age' ? roleOfHeading(heading) : 'identifier';
}

function setRole(columns: readonly ColumnPlan[], index: number, role: ColumnRole): void {
  const column = columns[index];
  if (column !== undefined) column.role = role;
}

/** Finds the column (or pair of columns) that says when. */
function planTime(columns: readonly ColumnPlan[], roles: readonly (HeadingRole | null)[], rules: ReadingRules | null, guesses: TablePlan['guesses'], isAligned: boolean): TimePlan | null {
  interface Candidate {
    readonly column: ColumnPlan;
    readonly what: 'stamp' | 'date' | 'clock' | 'number';
    readonly score: number;
  }
  const candidates: Candidate[] = [];
  for (const column of columns) {
    const { profile } = column;
    const filled = nFilled(profile);
    const stated = columnRule(column, rules)?.role;
    if (filled === 0 || stated === 'ignore') continue;
    const role = roles[column.index] ?? null;
    if (role === 'identifier') continue;
    if (stated !== undefined && stated !== 'time' && stated !== 'date') continue;
    let score = 0;
    let what: Candidate['what'];
    if (profile.nStamp + profile.nDate >= filled * 0.5 && profile.nStamp > 0) {
      what = 'stamp';
      score = 100;
    } else if (profile.nClock >= filled * 0.5) {
      what = 'clock';
      score = 70;
    } else if (profile.nDate >= filled * 0.5) {
      what = 'date';
      score = 50;
    } else if (profile.nNumber >= filled * 0.5) {
      what = 'number';
      const isNamed = role === 'time' || role === 'elapsed';
      const form = numericForm(column, role);
      if (form === 'timestamp' || form === 'unix s' || form === 'unix ms' || form === 'excel day') score = isNamed ? 90 : 55;
      else if (isNamed) score = 60;
      else if (stated !== undefined) score = 60;
      else if (role === null && findQuantity(column.heading, column.unit) === null && column.index === 0 && isRising(profile.numbers) && elapsedUnitOf(column.heading) !== null) score = 20;
      else continue;
    } else if (stated === 'time') {
      // A person says so: rows whose time cannot be read are rejected one by one.
      what = 'stamp';
    } else {
      continue;
    }
    if (role === 'time' || role === 'elapsed') score += 15;
    if (role === 'written') score -= 60;
    if (role === 'end time') score -= 45;
    if (profile.nEmpty > profile.nRows * 0.5) score -= 30;
    if (stated !== undefined) score += 1000;
    candidates.push({ column, what, score: score - column.index * 0.01 });
  }
  candidates.sort((a, b) => b.score - a.score);
  const best = candidates.find((candidate) => candidate.what !== 'date') ?? candidates[0];
  if (best === undefined) return null;
  const date = candidates.find((candidate) => candidate.what === 'date' && (roles[candidate.column.index] ?? null) !== 'end time');
  if (best.what === 'clock' && date !== undefined && (rules?.timeKind === undefined || rules.timeKind === 'timestamp')) {
    return withOrder({ form: 'timestamp', column: date.column.index, clockColumn: best.column.index, order: 'ymd', isOrderProven: true, resolutionMs: 1 }, columns, rules);
  }
  if (best.what === 'stamp' || best.what === 'date') {
    return withOrder({ form: 'timestamp', column: best.column.index, clockColumn: -1, order: 'ymd', isOrderProven: true, resolutionMs: 1 }, columns, rules);
  }
  const place = { column: best.column.index, clockColumn: -1, order: 'ymd' as const, isOrderProven: true };
  if (rules?.timeKind === undefined && best.what === 'clock') {
    const { form, guess, isOpen } = readClockTimes(best.column, roles[best.column.index] ?? null);
    if (!isAligned || isOpen) guesses.push(guess);
    return { ...place, form, resolutionMs: 1, ...(isOpen && form === 'elapsed hms' ? { asTimeOfDay: clockGuess(best.column, 'time of day', '', 'likely') } : {}) };
  }
  const form = rules?.timeKind ?? numericForm(best.column, roles[best.column.index] ?? null);
  if (rules?.timeKind === undefined && !isAligned) guesses.push(explainNumbers(form, best.column));
  return { ...place, form, resolutionMs: form === 'excel day' ? dayResolutionMs(best.column.profile.texts) : 1 };
}

/** Whether times are days alone, and fewer than half of the rows have one of their own. */
function haveDaysOnly(columns: readonly ColumnPlan[], time: TimePlan): boolean {
  const profile = columns[time.column]?.profile;
  if (profile === undefined || time.form !== 'timestamp' || time.clockColumn !== -1 || profile.nStamp > 0 || profile.nDate === 0) return false;
  return !profile.hasMoreDistinct && profile.distinct.size * 2 < profile.nDate;
}

/** Sets the order of the dates as far as the sample proves it. */
function withOrder(plan: TimePlan, columns: readonly ColumnPlan[], rules: ReadingRules | null): TimePlan {
  if (rules?.timeKind !== undefined && rules.timeKind !== 'timestamp') {
    const texts = columns[plan.column]?.profile.texts ?? [];
    return { ...plan, form: rules.timeKind, clockColumn: -1, resolutionMs: rules.timeKind === 'excel day' ? dayResolutionMs(texts) : 1 };
  }
  if (rules?.dateOrder !== undefined) return { ...plan, order: rules.dateOrder };
  const evidence = new DateOrderEvidence();
  for (const text of columns[plan.column]?.profile.distinct.keys() ?? []) {
    const parts = datePartsOf(text);
    if (parts !== null) evidence.add(parts, text);
  }
  const decision = evidence.decide({ hasTwelveHourClock: false });
  return { ...plan, order: decision.order, isOrderProven: evidence.isProven && !evidence.needsOrder };
}

/** Returns the step to which day numbers are rounded: their last decimal is coarser than a millisecond unless there are eight. */
function dayResolutionMs(texts: readonly string[]): number {
  let decimals = 0;
  for (const text of texts) decimals = Math.max(decimals, /[.,](\d+)$/.exec(text)?.[1]?.length ?? 0);
  return decimals >= 8 ? 1 : decimals === 7 ? 10 : decimals === 6 ? 100 : 1000;
}

/** Returns whether numbers never fall. */
function isRising(numbers: readonly number[]): boolean {
  for (let i = 1; i < numbers.length; i += 1) if ((numbers[i] ?? 0) < (numbers[i - 1] ?? 0)) return false;
  return numbers.length > 1;
}

/** Returns the seconds of a time such as 0:00:05, NaN when it is written otherwise. */
function secondsOfClock(text: string): number {
  const parts = /^(\d{1,2}):([0-5]\d)(?::([0-5]\d(?:[.,]\d+)?))?$/.exec(text);
  return parts === null ? NaN : Number(parts[1]) * 3600 + Number(parts[2]) * 60 + Number((parts[3] ?? '0').replace(',', '.'));
}

/**
 * Returns whether h:mm:ss without a date are elapsed or those of a clock.
 * `isOpen`: they start in the first minute after nought, which a clock does too when the case begins at midnight.
 */
function readClockTimes(column: ColumnPlan, role: HeadingRole | null): { form: ClockForm; guess: Guess; isOpen: boolean } {
  const { texts } = column.profile;
  const sense = role === 'elapsed' ? 'elapsed' : clockSenseOf(column.heading);
  const elapsed = (because: string, certainty: Guess['certainty'], isOpen: boolean): ReturnType<typeof readClockTimes> => {
    if (!texts.every((text) => TWO_PARTS.test(text))) return { form: 'elapsed hms', guess: clockGuess(column, 'elapsed hms', because, certainty), isOpen };
    // Two parts are hours and minutes or minutes and seconds: no recorder stores less often than every five minutes or so.
    const stepS = medianStep(texts.map(secondsOfParts));
    if (stepS > LONGEST_STEP_S) return { form: 'elapsed m:ss', guess: clockGuess(column, 'elapsed m:ss', `as hours and minutes its rows would lie ${Math.round(stepS / 60)} min apart`, 'likely'), isOpen: false };
    return { form: 'elapsed hms', guess: clockGuess(column, 'elapsed hms', `${because}; two parts may as well be minutes and seconds`, 'assumed'), isOpen };
  };
  const ofDay = (because: string, certainty: Guess['certainty'], isOpen: boolean): ReturnType<typeof readClockTimes> => ({ form: 'time of day', guess: clockGuess(column, 'time of day', because, certainty), isOpen });
  // One cell such as 99:99:99 is a slip; two that are well written and beyond a day show a duration.
  const beyondADay = texts.filter((text) => /^\d{2,4}:[0-5]\d(?::[0-5]\d|$)/.test(text) && Number(text.slice(0, text.indexOf(':'))) > 24);
  if (beyondADay.length >= 2) return elapsed('the times go beyond 24 hours', 'likely', false);
  if (sense === 'elapsed') return elapsed('the heading says so', 'likely', false);
  const first = secondsOfClock(texts[0] ?? '');
  if (!(first < 60)) return ofDay('there are clock times and no dates', 'likely', false);
  if (sense === 'clock') return ofDay('the heading says so, though they start in the first minute after midnight', 'likely', true);
  if (first === 0) return elapsed('they start at nought', 'likely', true);
  const step = Math.abs(secondsOfClock(texts.find((text) => text !== texts[0]) ?? '') - first);
  if (role === 'time' && first > step) return ofDay('the heading speaks of a time, and they start later after nought than one row takes', 'assumed', true);
  return elapsed('they start in the first minute after nought, and the heading does not say which they are', 'assumed', true);
}

type ClockForm = 'elapsed hms' | 'elapsed m:ss' | 'time of day';

const TWO_PARTS = /^\d{1,3}:[0-5]\d$/;
/** Longer steps are those of a person who charts, not of a recorder: see `docs/methods/interval.md`. Our choice. */
const LONGEST_STEP_S = 330;

function secondsOfParts(text: string): number {
  const [first = '', second = ''] = text.split(':');
  return Number(first) * 3600 + Number(second) * 60;
}

/** Returns the median of the steps between times that rise; 0 where none do. */
function medianStep(times: readonly number[]): number {
  const steps = times.flatMap((time, i) => (i > 0 && time > (times[i - 1] ?? NaN) ? [time - (times[i - 1] ?? NaN)] : [])).sort((a, b) => a - b);
  return steps[Math.floor(steps.length / 2)] ?? 0;
}

function clockGuess(column: ColumnPlan, form: ClockForm, because: string, certainty: Guess['certainty']): Guess {
  const isShort = column.profile.texts.every((text) => TWO_PARTS.test(text));
  const readings: readonly { readonly form: ClockForm; readonly label: string }[] = [
    { form: 'time of day', label: 'Clock times without a date' },
    { form: 'elapsed hms', label: isShort ? 'Hours and minutes elapsed' : 'Time elapsed' },
    ...(isShort ? [{ form: 'elapsed m:ss' as const, label: 'Minutes and seconds elapsed' }] : []),
  ];
  return { field: 'timeKind', taken: `"${column.heading}" is read as ${FORM_WORDS[form]}.`, because, certainty, alternatives: readings.filter((reading) => reading.form !== form).map((reading) => ({ label: reading.label, rules: { timeKind: reading.form } })) };
}

function numericForm(column: ColumnPlan, role: HeadingRole | null): TimeForm {
  const { numbers, texts } = column.profile;
  const [first = NaN] = numbers;
  const all = (low: number, high: number): boolean => numbers.length > 0 && numbers.every((value) => value >= low && value < high);
  if (texts.every((text) => /^(?:19|2\d)\d{2}(?:0[1-9]|1[0-2])(?:0[1-9]|[12]\d|3[01])(?:[01]\d|2[0-4])[0-5]\d(?:[0-5]\d)?$/.test(text))) return 'timestamp';
  if (all(5e8, 5e9)) return 'unix s';
  if (all(5e11, 5e12)) return 'unix ms';
  if (all(15_000, 120_000) && numbers.some((value) => value % 1 !== 0) && elapsedUnitOf(column.heading) === null) {
    const span = Math.max(...numbers) - first;
    if (span < 400) return 'excel day';
  }
  const unit = elapsedUnitOf(`${column.heading} ${column.unit}`);
  if (unit === 'min') return 'elapsed min';
  if (unit === 'ms') return 'elapsed ms';
  if (unit === 'h') return 'elapsed h';
  if (unit === null && role === 'elapsed' && /offset$/i.test(column.heading)) return 'elapsed min';
  return 'elapsed s';
}

const FORM_WORDS: Readonly<Record<TimeForm, string>> = {
  'timestamp': 'date and time',
  'time of day': 'clock times without a date',
  'elapsed s': 'seconds elapsed',
  'elapsed min': 'minutes elapsed',
  'elapsed ms': 'milliseconds elapsed',
  'elapsed h': 'hours elapsed',
  'elapsed hms': 'hours, minutes and seconds elapsed',
  'elapsed m:ss': 'minutes and seconds elapsed',
  'unix s': 'Unix time in seconds',
  'unix ms': 'Unix time in milliseconds',
  'excel day': 'spreadsheet day numbers (1900 system)',
};

function explainNumbers(form: TimeForm, column: ColumnPlan): Guess {
  const alternative = (label: string, timeKind: TimeKind): { label: string; rules: ReadingRules } => ({ label, rules: { timeKind } });
  const alternatives: { label: string; rules: ReadingRules }[] = [];
  let certainty: 'proven' | 'likely' | 'assumed' = 'likely';
  let because: string;
  if (form === 'elapsed s' || form === 'elapsed min') {
    const isStated = elapsedUnitOf(`${column.heading} ${column.unit}`) !== null;
    because = isStated ? 'the heading says so' : 'no unit is stated';
    certainty = isStated ? 'likely' : 'assumed';
    alternatives.push(form === 'elapsed s' ? alternative('Minutes elapsed', 'elapsed min') : alternative('Seconds elapsed', 'elapsed s'));
  } else if (form === 'elapsed ms' || form === 'elapsed h') {
    because = 'the heading says so';
    alternatives.push(alternative('Seconds elapsed', 'elapsed s'));
  } else {
    because = 'of the size of the numbers';
    alternatives.push(alternative('Seconds elapsed', 'elapsed s'));
  }
  return { field: 'timeKind', taken: `"${column.heading}" is read as ${FORM_WORDS[form]}.`, because, certainty, alternatives };
}

/** Gives every column but those of time and case a role, from its heading and its content. */
function placeColumns(columns: readonly ColumnPlan[], roles: readonly (HeadingRole | null)[], headings: readonly string[], keepIdentifiers: boolean, isWhole: boolean): void {
  for (const column of columns) {
    if (column.role === 'time' || column.role === 'clock') continue;
    const { profile } = column;
    const filled = nFilled(profile);
    const heading = headings[column.index] ?? '';
    const role = roles[column.index] ?? null;
    const isName = role === 'identifier' && !(/^name$/i.test(heading.trim()));
    if (isName) {
      column.role = keepIdentifiers ? 'attribute' : 'identifier';
      column.because = 'identifies a person';
      continue;
    }
    const textShare = filled === 0 ? 0 : profile.nText / filled;
    const isNumeric = numericShare(profile) >= 0.5;
    const found = findQuantity(heading, column.unit === '' ? undefined : column.unit) ?? ecgRate(heading, profile);
    if (role === 'flag') {
      column.role = filled === 0 ? 'ignore' : 'flag';
      column.because = filled === 0 ? 'empty' : '';
      placeNear(column, heading);
      continue;
    }
    if (found !== null && (role === null || role === 'rate' || role === 'action' || isNumeric) && (role !== 'number' && role !== 'dose')) {
      // Status letters under a quantity's heading are flags; numbers, or words such as "disconnected", are that quantity and its fillers.
      const saysLost = [...profile.distinct.keys()].some((text) => saysSensorLost(text));
      if (textShare >= 0.7 && profile.nNumber === 0 && profile.nStatus >= profile.nText * 0.6 && !saysLost) {
        column.role = 'flag';
        placeNear(column, heading);
        continue;
      }
      if (isNumeric || profile.nNumber > 0 || filled === profile.nFiller || filled === 0 || saysLost) {
        column.role = 'value';
        column.quantity = found.quantity;
        column.site = found.site ?? 'unstated';
        column.sensor = found.sensor ?? '';
        continue;
      }
    }
    switch (role) {
      case 'end time':
        column.role = profile.nStamp + profile.nClock > 0 ? 'end time' : 'attribute';
        continue;
      case 'written':
      case 'author':
      case 'time':
      case 'elapsed':
        column.role = 'attribute';
        column.because = role === 'written' ? 'when the entry was written, not when it happened' : role === 'author' ? 'not needed' : 'a second time';
        continue;
      case 'counter':
        column.role = 'ignore';
        column.because = 'counts rows';
        continue;
      case 'name':
      case 'identifier':
        column.role = 'name';
        continue;
      case 'number':
        column.role = 'number';
        continue;
      case 'unit':
        column.role = 'unit';
        continue;
      case 'dose unit':
        column.role = 'dose unit';
        continue;
      case 'rate unit':
        column.role = 'rate unit';
        continue;
      case 'sensor':
        column.role = 'sensor';
        continue;
      case 'site':
        column.role = sitesShare(profile) >= 0.5 ? 'site' : 'attribute';
        continue;
      case 'drug':
        column.role = 'drug';
        continue;
      case 'dose':
      case 'rate':
        column.role = role;
        continue;
      case 'route':
        column.role = 'route';
        continue;
      case 'action':
        column.role = 'action';
        continue;
      case 'text':
        column.role = 'text';
        continue;
      case 'case':
      case 'patient':
        column.role = 'attribute';
        continue;
      case null:
        break;
    }
    if (filled === 0 && isWhole) {
      column.because = 'empty';
      continue;
    }
    if (isNumeric && /(?:^|[^a-z])id$|[a-z]id$|_id\b/i.test(heading.trim()) && profile.numbers.every((value) => value % 1 === 0)) {
      column.because = 'an identifier';
      continue;
    }
    // A column that is empty so far may hold numbers further down.
    if (isNumeric || filled === 0) {
      column.role = 'value';
      column.quantity = 'other';
      continue;
    }
    if (profile.nText > 0 && profile.nStatus >= profile.nText * 0.6 && textShare >= 0.5) {
      column.role = 'flag';
      placeNear(column, heading);
      continue;
    }
    if (profile.nStamp + profile.nDate + profile.nClock >= filled * 0.5) {
      column.role = 'attribute';
      column.because = 'a second time';
      continue;
    }
    if (sitesShare(profile) >= 0.8 && profile.distinct.size <= 12) {
      column.role = 'site';
      continue;
    }
    column.role = textShare > 0.5 ? 'text' : 'attribute';
  }
}

/** Returns a heart rate for a column headed by the ECG alone whose numbers are rates; null otherwise. */
function ecgRate(heading: string, profile: ColumnProfile): ReturnType<typeof findQuantity> {
  if (!/^ecg(?:[\s_-]*\d)?$/i.test(heading.trim())) return null;
  const numbers = profile.numbers.filter((value) => value !== 0);
  if (numbers.length === 0 || !numbers.every((value) => value >= 15 && value <= 300)) return null;
  return { quantity: 'heart-rate', site: null, sensor: '', unit: '', assumption: null };
}

/** Takes the site and number of a status column from its heading (`Status 2`, `ear quality`). */
function placeNear(column: ColumnPlan, heading: string): void {
  const site = findSite(heading);
  if (site !== null) {
    column.site = site.site;
    column.sensor = site.sensor;
  }
  const number = /(?:^|\D)(\d{1,2})\s*(?:\D*)$/.exec(heading.replace(/sp\s?o2/gi, ''))?.[1];
  if (number !== undefined && column.sensor === '') column.sensor = number;
}

function sitesShare(profile: ColumnProfile): number {
  let all = 0;
  let known = 0;
  for (const [text, count] of profile.distinct) {
    all += count;
    if (findSite(text) !== null) known += count;
  }
  return all === 0 ? 0 : known / all;
}

/**
 * Makes a long table of one whose headings do not say so: a column of texts many of which name measurements, and one column of
 * numbers beside it.
 */
function placeNamesByContent(columns: readonly ColumnPlan[], roles: readonly (HeadingRole | null)[]): void {
  const isKnown = (column: ColumnPlan): boolean => column.role === 'name' || column.role === 'drug' || (column.role === 'value' && column.quantity !== null && column.quantity !== 'other');
  if (columns.some(isKnown)) return;
  const unsaid = columns.filter((column) => (roles[column.index] ?? null) === null);
  const [names] = unsaid.filter(({ role, profile }) => role === 'text' && !profile.hasMoreDistinct && namesShare(profile, null) >= LEAST_NAMES).sort((a, b) => namesShare(b.profile, null) - namesShare(a.profile, null));
  const numbers = unsaid.filter(({ profile, because }) => because !== 'an identifier' && profile.nNumber > 0 && numericShare(profile) >= 0.3);
  const number = columns.find(({ role }) => role === 'number') ?? numbers.find(({ heading }) => /(?:val(?:ue)?|wert|result|valeur)$/i.test(heading)) ?? (numbers.length === 1 ? numbers[0] : undefined);
  if (names === undefined || number === undefined || names === number) return;
  names.role = 'name';
  number.role = 'number';
  number.quantity = null;
  for (const column of unsaid) {
    if (column.role !== 'text') continue;
    column.role = 'attribute';
    column.because = 'beside the names';
  }
}

/** From this share of names of measurements on, texts are the names of a long table. Common practice without source. */
const LEAST_NAMES = 0.15;

/** Chooses the column that tells cases apart; columns of persons only where there is no other. */
function placeCase(columns: readonly ColumnPlan[], roles: readonly (HeadingRole | null)[], rules: ReadingRules | null): void {
  if (rules?.caseId !== undefined) return;
  const isFree = (column: ColumnPlan): boolean => column.role !== 'time' && column.role !== 'clock' && nFilled(column.profile) > column.profile.nRows * 0.5;
  const score = (column: ColumnPlan): number => {
    const plain = column.heading.toLowerCase();
    if (/case|fall/.test(plain)) return 5;
    if (/op|surg|anae|anest|narkose/.test(plain)) return 4;
    if (/stay|encounter|visit|episode/.test(plain)) return 3;
    return 2;
  };
  const cases = columns.filter((column) => roles[column.index] === 'case' && isFree(column) && looksLikeId(column.profile)).sort((a, b) => score(b) - score(a) || a.index - b.index);
  const patients = columns.filter((column) => roles[column.index] === 'patient' && isFree(column) && looksLikeId(column.profile));
  // Record numbers and names are the last resort: they keep patients apart, and their texts never become names of cases.
  const isFilled = (column: ColumnPlan): boolean => column.role !== 'time' && column.role !== 'clock' && nFilled(column.profile) > column.profile.nRows * 0.5 && looksLikeId(column.profile);
  const records = columns.filter((column) => identityOfHeading(column.heading) === 'record number' && isFilled(column));
  const persons = columns.filter((column) => identityOfHeading(column.heading) === 'name' && NAMES_PATIENT.test(column.heading) && isFilled(column));
  const chosen = cases[0] ?? patients[0] ?? records[0] ?? persons[0];
  if (chosen !== undefined) {
    chosen.role = 'case';
    chosen.quantity = null;
  }
}

/** Headings of a patient's whole name; names of staff tell no cases apart. */
const NAMES_PATIENT = /^(?:pat|pt\b|person|full ?name|nom du patient|nombre del paciente)/i;

/** Returns whether a column's cells could be identifiers: short, and not measurements with decimals. */
function looksLikeId(profile: ColumnProfile): boolean {
  let checked = 0;
  for (const text of profile.distinct.keys()) {
    if (text.length > 60 || /^\d+[.,]\d+$/.test(text)) return false;
    checked += 1;
    if (checked > 50) break;
  }
  return checked > 0;
}

/** Returns what a person said about a column, found by its heading or its `column N`. */
export function columnRule(column: { readonly heading: string; readonly index: number }, rules: ReadingRules | null): NonNullable<ReadingRules['columns']>[string] | undefined {
  const stated = rules?.columns;
  if (stated === undefined) return undefined;
  const own = (key: string): NonNullable<ReadingRules['columns']>[string] | undefined => (Object.hasOwn(stated, key) ? stated[key] : undefined);
  const folded = column.heading.toLowerCase();
  return own(column.heading) ?? own(`column ${column.index + 1}`) ?? Object.entries(stated).find(([key]) => key.trim().replace(/\s+/g, ' ').toLowerCase() === folded)?.[1];
}

/** Puts what a person said about columns in the place of what was found. */
function applyColumnRules(columns: readonly ColumnPlan[], rules: ReadingRules | null): void {
  for (const column of columns) {
    const rule = columnRule(column, rules);
    if (rule === undefined) continue;
    // Words that mark an artefact beside values make a column of flags of one that holds no values.
    const role = rule.role ?? (rule.flagWords !== undefined && rule.flagWords.length > 0 && column.role !== 'value' && rule.quantity === undefined ? 'flag' : undefined);
    if (role !== undefined) {
      if (role === 'time' || role === 'date') {
        if (column.role !== 'time' && column.role !== 'clock') column.role = 'ignore';
      } else column.role = role;
      if (role === 'flag') column.quantity = null;
      column.because = 'as stated';
    }
    if (rule.quantity !== undefined) {
      // A column of flags may say which quantity they are about; every other one holds it.
      if (role !== 'flag') column.role = 'value';
      column.quantity = rule.quantity;
      column.because = 'as stated';
    }
    if (column.role === 'value' && column.quantity === null) column.quantity = 'other';
    if (rule.site !== undefined) column.site = rule.site;
    if (rule.sensor !== undefined) column.sensor = rule.sensor;
  }
  for (const role of SINGLE_ROLES) {
    if (!columns.some((column) => column.role === role && columnRule(column, rules)?.role === role)) continue;
    for (const column of columns) {
      if (column.role !== role || columnRule(column, rules)?.role === role) continue;
      column.role = 'attribute';
      column.because = 'another column is stated to be that';
    }
  }
}

/** Roles that one column of a table can have: where a person gives one to a column, what was found loses it. */
const SINGLE_ROLES: readonly ColumnRole[] = ['end time', 'case', 'name', 'number', 'unit', 'site', 'sensor', 'drug', 'dose', 'dose unit', 'rate', 'rate unit', 'route', 'action'];

/** Returns what kind of table the columns make, null when none. */
function shapeOf(columns: readonly ColumnPlan[], time: TimePlan | null, rules: ReadingRules | null, isCoded: boolean): TableShape | null {
  const has = (role: ColumnRole): boolean => columns.some((column) => column.role === role);
  const known = columns.filter((column) => column.role === 'value' && column.quantity !== null && column.quantity !== 'other');
  const names = columns.find((column) => column.role === 'name');
  const isStated = (role: ColumnRole): boolean => columns.some((column) => column.role === role && columnRule(column, rules)?.role === role);
  const isLong = time !== null && names !== undefined && has('number') && (namesShare(names.profile, rules) > 0 || (isStated('name') && isStated('number')));
  if (rules?.kind === 'case list') return 'case list';
  if (rules?.kind === 'administrations' || rules?.kind === 'events') return time === null ? null : 'entries';
  if (rules?.kind === 'trends') return time === null ? null : has('name') && has('number') ? 'long' : 'wide';
  const oximeter = known.some((column) => column.quantity !== null && QUANTITY_FACTS[column.quantity].ofSensor);
  if (time !== null && known.length > 0 && (oximeter || known.length >= 2) && !isLong) return 'wide';
  if (isLong) return 'long';
  if (time !== null && names !== undefined && has('number') && known.length === 0 && namesWithDrugs(names.profile)) return 'entries';
  const cases = columns.find((column) => column.role === 'case');
  const entriesNamed = isCoded || has('drug') || columns.some((column) => column.role === 'text' && roleOfHeading(column.heading) === 'text');
  if (cases !== undefined && !has('drug') && isCaseList(columns, cases, time, entriesNamed)) return 'case list';
  if (time !== null && known.length > 0 && !has('drug')) return 'wide';
  if (time !== null && (has('drug') || has('text') || names !== undefined)) return 'entries';
  if (time !== null && has('action')) return 'entries';
  return null;
}

/** Whether each row is another case: identifiers that do not come twice, and no column of entries. */
function isCaseList(columns: readonly ColumnPlan[], cases: ColumnPlan, time: TimePlan | null, entriesNamed: boolean): boolean {
  const filled = nFilled(cases.profile);
  const isUnique = !cases.profile.hasMoreDistinct ? cases.profile.distinct.size === filled : false;
  if (time === null) return isUnique || columns.length > 2;
  return isUnique && !entriesNamed;
}

/** Share of the cells of a name column that name a measurement. */
function namesShare(profile: ColumnProfile, rules: ReadingRules | null): number {
  let all = 0;
  let known = 0;
  for (const [text, count] of profile.distinct) {
    all += count;
    const quantity = columnRule({ heading: text.replace(/\s+/g, ' ').trim(), index: -2 }, rules)?.quantity ?? quantityOfName(text)?.quantity;
    if (quantity !== undefined && quantity !== 'other') known += count;
  }
  return all === 0 ? 0 : known / all;
}

function namesWithDrugs(profile: ColumnProfile): boolean {
  for (const text of profile.distinct.keys()) {
    if (findDrug(text).term !== null || parseEvent(text).kind !== 'note' || parseDose(text).drug !== null) return true;
  }
  return false;
}

/** Returns the quantity that a name cell of a long table names: a heading, a LOINC code or an ISO/IEEE 11073 code. */
export function quantityOfName(text: string): ReturnType<typeof findQuantity> {
  const trimmed = text.trim();
  const found = findQuantity(trimmed);
  if (found !== null) return found;
  for (const [quantity, facts] of Object.entries(QUANTITY_FACTS)) {
    if (facts.loinc.includes(trimmed) || facts.mdc?.refId === trimmed || String(facts.mdc?.code ?? '') === trimmed) {
      // Object.entries widens the keys of a Record<Quantity, …>; they are quantities.
      return { quantity: quantity as Quantity, site: facts.ofSensor ? 'unstated' : null, sensor: '', unit: '', assumption: null };
    }
  }
  return null;
}

/** Frees columns whose role means nothing in this kind of table. */
function finishShape(shape: TableShape, columns: readonly ColumnPlan[], isCoded: boolean): void {
  const names = columns.find((column) => column.role === 'name');
  const isDrugs = shape === 'entries' && isCoded && names !== undefined && !columns.some((column) => column.role === 'drug') && namesWithDrugs(names.profile) && columns.some(({ role }) => role === 'dose' || role === 'rate');
  if (isDrugs) names.role = 'drug';
  for (const column of columns) {
    if (shape === 'wide') {
      const hasDrug = columns.some((other) => other.role === 'drug');
      if (column.role === 'name' || column.role === 'action') column.role = 'attribute';
      if ((column.role === 'number' || (!hasDrug && (column.role === 'dose' || column.role === 'rate'))) && numericShare(column.profile) >= 0.5) {
        column.role = 'value';
        column.quantity = 'other';
      }
    }
    if (shape === 'entries' && column.role === 'value' && column.quantity === 'other') column.role = 'attribute';
    if (shape === 'entries' && column.role === 'name') column.role = columns.some((other) => other.role === 'drug') ? 'attribute' : 'text';
    if (shape === 'entries' && column.role === 'number') column.role = isCoded || columns.some((other) => other.role === 'dose') ? 'attribute' : 'dose';
    if (shape === 'case list' && column.role !== 'case' && column.role !== 'identifier' && column.role !== 'time' && column.role !== 'clock' && column.role !== 'ignore') column.role = 'attribute';
  }
  if (shape === 'case list') return;
  for (const role of SINGLE_ROLES) {
    const [first, ...others] = columns.filter((column) => column.role === role);
    for (const column of others) {
      column.role = 'attribute';
      column.because = `"${first?.heading ?? ''}" was taken`;
    }
  }
}

/** Returns the orders a person may choose from, for the wording of a guess. */
export function orderWords(order: DateOrder): string {
  if (order === 'dmy') return 'day first';
  return order === 'mdy' ? 'month first' : 'year first';
}
