import { countWords } from '../base/count-words.ts';
import { findSite } from '../terms/find-site.ts';
import { parseEvents } from '../terms/parse-event.ts';
import { readAdministration, readNote } from './entry-text.ts';
import { areAmountsOfInfusions, stopsAtEnds, withAmountsMarked } from './infusions.ts';
import { CELL, NumberReader } from './parse-number.ts';
import type { CaseReading, RawDrug, RawEvent } from './reading.ts';
import type { RowView } from './row-splitter.ts';
import { CaseSlots, TableReader, type TableContext, type TableResult } from './table-reader.ts';
import type { ColumnPlan, ColumnRole } from './table-plan.ts';
import type { TimeColumn } from './time-column.ts';

interface CaseContent {
  readonly events: RawEvent[];
  readonly drugs: RawDrug[];
}

/** What became of an entry that records nothing that was given. Rewritten: public description of the MIMIC-III tables, from memory. */
const REVOKED = /^(?:re-?written|cancel+ed|entered in error|not given|voided|deleted|storniert|annul[ée]e?)\b/i;

/** Reads tables in which each row is something given or something that happened. */
export class EntryReader extends TableReader {
  /** Rows that became drugs and rows that became events. */
  nDrugs = 0;
  nEvents = 0;
  private readonly cases: CaseSlots<CaseContent>;
  private readonly numbers: NumberReader;
  private readonly time: TimeColumn;
  private readonly textColumns: readonly ColumnPlan[];
  private readonly at: Readonly<Record<'drug' | 'dose' | 'dose unit' | 'unit' | 'rate' | 'rate unit' | 'route' | 'action' | 'site' | 'end time', number>>;
  private readonly headingUnits: { readonly dose: string; readonly rate: string };
  private readonly width: number;
  /** Column that says what became of an entry, -1 without one. */
  private readonly status: number;
  private nJoined = 0;
  private nWithoutTerm = 0;
  private nAmounts = 0;
  private nStops = 0;

  constructor(context: TableContext, time: TimeColumn) {
    super(context);
    this.time = time;
    const { columns } = context.plan;
    const find = (role: ColumnRole): number => columns.find((column) => column.role === role)?.index ?? -1;
    this.at = {
      'drug': find('drug'),
      'dose': find('dose'),
      'dose unit': find('dose unit'),
      'unit': find('unit'),
      'rate': find('rate'),
      'rate unit': find('rate unit'),
      'route': find('route'),
      'action': find('action'),
      'site': find('site'),
      'end time': find('end time'),
    };
    this.headingUnits = { dose: unitInHeading(columns[this.at.dose]), rate: unitInHeading(columns[this.at.rate]) };
    this.textColumns = columns.filter((column) => column.role === 'text');
    this.width = columns.length;
    this.status = columns.find(({ heading }) => /status ?(?:text|description|words?)?$/i.test(heading.trim()))?.index ?? -1;
    this.numbers = new NumberReader(context.plan.decimal, context.decoder);
    this.cases = new CaseSlots<CaseContent>(columns, context.rules, context.decoder, () => ({ events: [], drugs: [] }));
  }

  protected useRow(row: RowView): void {
    const { account } = this.context;
    const slot = this.cases.of(row);
    if (slot === null) {
      account.reject(row, this.isHeading(row) ? 'headings repeated' : 'no case identifier');
      return;
    }
    const tMs = this.time.read(row, slot.clock);
    if (Number.isNaN(tMs)) {
      this.rejectUntimed(row);
      return;
    }
    const status = this.textAt(row, this.status);
    if (REVOKED.test(status)) {
      account.reject(row, `marked as not given (${status.slice(0, 40)})`);
      return;
    }
    const surplus = this.surplusText(row);
    if (surplus === null) {
      account.reject(row, 'more cells than there are headings');
      return;
    }
    const texts = this.textColumns.map((column) => this.cleanAt(row, column.index)).filter((text) => text !== '');
    const text = [...texts, surplus].filter((part) => part !== '').join(texts.length > 0 && surplus !== '' ? ', ' : ' ');
    const endMs = this.endOf(row, tMs);
    const siteText = this.textAt(row, this.at.site);
    const site = siteText === '' ? null : (findSite(siteText)?.site ?? null);
    const drug = this.cleanAt(row, this.at.drug);
    const action = this.textAt(row, this.at.action);
    if (drug !== '') {
      this.useDrug(row, tMs, endMs, drug, action, text, slot.content);
    } else {
      const whole = text === '' ? action : this.at.drug === -1 && action !== '' && this.at.dose === -1 ? text : text;
      const withDose = this.withDose(row, whole);
      if (withDose === '') {
        account.reject(row, 'entry without text');
        return;
      }
      const full = text !== '' && action !== '' && parseEvents(text).length === 0 && parseEvents(`${action} ${text}`).length > 0 ? `${action} ${text}` : withDose;
      const read = readNote(full, tMs, row.line, this.context.phrases, site, full === text ? [] : [text]);
      if (read.drug !== null) {
        slot.content.drugs.push({ ...read.drug, endMs });
        this.nDrugs += 1;
      } else {
        slot.content.events.push({ ...read.event, endMs }, ...read.more);
        this.nEvents += 1;
        if (read.event.kind === 'note') this.nWithoutTerm += 1;
      }
    }
    account.accept();
  }

  private useDrug(row: RowView, tMs: number, endMs: number | null, drug: string, action: string, text: string, content: CaseContent): void {
    const dose = this.numberAt(row, this.at.dose);
    const rate = this.numberAt(row, this.at.rate);
    const unit = this.textAt(row, this.at.unit);
    const doseUnit = this.textAt(row, this.at['dose unit']);
    const rateUnit = this.textAt(row, this.at['rate unit']);
    const read = readAdministration(
      {
        drug,
        dose: Number.isNaN(dose) ? this.cleanAt(row, this.at.dose) : '',
        doseUnit: doseUnit !== '' ? doseUnit : unit !== '' ? unit : this.headingUnits.dose,
        rate: Number.isNaN(rate) ? this.cleanAt(row, this.at.rate) : '',
        rateUnit: rateUnit !== '' ? rateUnit : this.headingUnits.rate !== '' ? this.headingUnits.rate : unit,
        route: this.textAt(row, this.at.route),
        action,
        text,
        doseValue: dose,
        rateValue: rate,
        isRate: this.at.rate !== -1 && (this.at.dose === -1 || (Number.isNaN(dose) && this.cleanAt(row, this.at.dose) === '' && this.cleanAt(row, this.at.rate) !== '')),
      },
      tMs,
      endMs,
      row.line,
      this.context.phrases,
    );
    if (read.drug === null) {
      content.events.push(read.event, ...read.more);
      this.nEvents += 1;
      return;
    }
    content.drugs.push(read.drug);
    this.nDrugs += 1;
  }

  /** Returns the text with the dose of a column of its own behind it, where there is one. */
  private withDose(row: RowView, text: string): string {
    if (this.at.dose === -1) return text;
    const dose = this.cleanAt(row, this.at.dose);
    if (dose === '') return text;
    const value = this.numberAt(row, this.at.dose);
    const unit = this.textAt(row, this.at['dose unit']) || this.textAt(row, this.at.unit) || this.headingUnits.dose;
    return [text, Number.isNaN(value) ? dose : String(value), unit, this.textAt(row, this.at.route)].filter((part) => part !== '').join(' ');
  }

  /** Returns the text of a cell, '' where it is a filler. */
  private cleanAt(row: RowView, column: number): string {
    const text = this.textAt(row, column);
    return this.isNothing(text, column) ? '' : text;
  }

  private numberAt(row: RowView, column: number): number {
    if (column === -1 || column >= row.n) return NaN;
    const value = this.numbers.read(row.buf, row.starts[column] ?? 0, row.ends[column] ?? 0);
    return this.numbers.code === CELL.number && this.statements[column]?.takesNumber(value) !== true ? value : NaN;
  }

  private endOf(row: RowView, tMs: number): number | null {
    const column = this.at['end time'];
    if (column === -1 || column >= row.n || row.isEmpty(column)) return null;
    const end = this.time.readCell(row, column, -1, { last: tMs, first: NaN });
    return Number.isNaN(end) || end < tMs ? null : end;
  }

  /** Text that an unquoted comma parted from the last column; '' when there is none, null when it cannot be that. */
  private surplusText(row: RowView): string | null {
    const parts: string[] = [];
    for (let i = this.width; i < row.n; i += 1) {
      const text = this.textAt(row, i);
      if (text !== '') parts.push(text);
    }
    if (parts.length === 0) return '';
    const last = this.textColumns.at(-1);
    if (last === undefined || last.index !== this.width - 1) return null;
    this.nJoined += 1;
    return parts.join(', ');
  }

  /** Tells amounts that infusions gave from doses, and puts a stop where an infusion ends and none goes on. */
  private settleInfusions(drugs: readonly RawDrug[], areAmounts: boolean): RawDrug[] {
    const { drugs: told, nAmounts } = areAmounts ? withAmountsMarked(drugs) : { drugs, nAmounts: 0 };
    const stops = this.at['end time'] === -1 ? [] : stopsAtEnds(told);
    this.nAmounts += nAmounts;
    this.nStops += stops.length;
    return [...told, ...stops];
  }

  finish(): TableResult {
    const notes: string[] = [];
    // Where entries have an end their amounts are what each of them gave.
    const areAmounts = this.at.rate !== -1 && this.at.dose !== -1 && this.at['end time'] === -1 && areAmountsOfInfusions(this.cases.slots.map((slot) => slot.content.drugs));
    const cases = this.cases.slots.map(
      (slot): CaseReading => ({ caseKey: slot.key, channels: [], events: slot.content.events, drugs: this.settleInfusions(slot.content.drugs, areAmounts), attributes: {}, nDuplicates: 0, nConflicts: 0, firstConflictLine: null }),
    );
    if (this.nAmounts > 0) notes.push(`${countWords(this.nAmounts, 'amount is of a drug whose rates are charted beside it; it was', 'amounts are of drugs whose rates are charted beside them; they were')} taken as given by the infusion, not as a dose.`);
    if (this.nStops > 0) notes.push(`${countWords(this.nStops, 'infusion ends with its entry and no other entry goes on; its stop was', 'infusions end with their entries and no other entry goes on; their stops were')} put there.`);
    if (this.nJoined > 0) notes.push(`${countWords(this.nJoined, 'row has', 'rows have')} more cells than there are headings; the surplus was joined to the text of the last column.`);
    if (this.nDrugs > 0 && this.nEvents > 0) notes.push(`The table holds both: ${countWords(this.nDrugs, 'entry was read as a drug', 'entries were read as drugs')} and ${countWords(this.nEvents, 'as an event', 'as events')}.`);
    if (this.nWithoutTerm > 0) notes.push(`${countWords(this.nWithoutTerm, 'text names no event that this program knows; it is kept as a note', 'texts name no event that this program knows; they are kept as notes')}.`);
    const unknown = new Set<string>();
    for (const reading of cases) for (const drug of reading.drugs) if (drug.inn === null && unknown.size < 200) unknown.add(drug.text.slice(0, 40));
    if (unknown.size > 0) notes.push(`Drugs that this program does not know, kept as written: ${[...unknown].slice(0, 8).join('; ')}${unknown.size > 8 ? ' and others' : ''}.`);
    return { cases, columns: this.context.plan.columns.map((column) => this.plainColumnReport(column)), guesses: [], notes };
  }
}

/** Returns the unit in brackets (or after the last blank or underscore) of a heading such as `dose (mcg)` or `dose_mcg`. */
function unitInHeading(column: ColumnPlan | undefined): string {
  if (column === undefined) return '';
  if (column.unit !== '') return column.unit;
  const bracketed = /[([]([^)\]]+)[)\]]/.exec(column.heading)?.[1];
  return bracketed ?? /[_ ](mcg|ug|µg|μg|mg|g|ml|units?|iu|ng)$/i.exec(column.heading)?.[1] ?? '';
}
