import { countWords } from '../base/count-words.ts';
import { MARK } from '../model/channel.ts';
import type { ColumnReport, Guess } from '../model/import-report.ts';
import { QUANTITY_FACTS, type Quantity } from '../model/quantity.ts';
import type { Site } from '../model/site.ts';
import { findQuantity } from '../terms/find-quantity.ts';
import { findSite } from '../terms/find-site.ts';
import { assignSensors } from './assign-sensors.ts';
import { ByteMap } from './byte-map.ts';
import { parseStatus } from './cell-words.ts';
import { channelWords } from './channel-words.ts';
import { readAdministration, readNote } from './entry-text.ts';
import { GrowableFloat64, GrowableUint32, GrowableUint8 } from './growable.ts';
import { orderRows, type ValueColumn } from './order-rows.ts';
import { CELL, NumberReader, parseNumberText } from './parse-number.ts';
import { columnRule } from './plan-table.ts';
import type { CaseReading, RawChannel, RawDrug, RawEvent } from './reading.ts';
import type { RowView } from './row-splitter.ts';
import { isFillerNumber, settleChannel } from './settle-channel.ts';
import { Spill } from './spill.ts';
import type { CellStatement } from './stated-words.ts';
import { CaseSlots, TableReader, type TableContext, type TableResult } from './table-reader.ts';
import type { ColumnPlan, ColumnRole } from './table-plan.ts';
import type { TimeColumn } from './time-column.ts';

/** The rows of one case (and, where the site stands in a column, of one site). */
interface Block {
  readonly site: { readonly site: Site; readonly sensor: string } | null;
  readonly tMs: GrowableFloat64;
  readonly line: GrowableUint32;
  readonly values: readonly GrowableFloat64[];
  readonly marks: readonly GrowableUint8[];
}

interface CaseContent {
  readonly blocks: Map<string, Block>;
  lastSite: string;
  lastBlock: Block | null;
  readonly notes: { readonly tMs: number; readonly line: number; readonly text: string }[];
  readonly drugs: RawDrug[];
  readonly events: RawEvent[];
  /** What each text column said on the row before. */
  readonly saidBefore: string[];
}

interface FlagColumn {
  readonly column: ColumnPlan;
  /** Indexes among the value columns whose samples it flags. */
  readonly targets: readonly number[];
  /** Meaning of 0 and 1 where the column holds numbers. */
  readonly one: 'lost' | 'fine' | null;
  readonly known: ByteMap<boolean>;
}

/** Reads tables in which a row is a time and a column a quantity. */
export class WideReader extends TableReader {
  private readonly cases: CaseSlots<CaseContent>;
  private readonly valueColumns: readonly ColumnPlan[];
  private readonly said: readonly (CellStatement | null)[];
  private readonly textColumns: readonly ColumnPlan[];
  private readonly flagColumns: readonly FlagColumn[];
  private readonly numbers: NumberReader;
  private readonly spill: Spill | null;
  private readonly time: TimeColumn;
  private readonly siteColumn: number;
  private readonly sensorColumn: number;
  private readonly width: number;
  private readonly rowValues: Float64Array;
  private readonly rowMarks: Uint8Array;
  private readonly nValues: Float64Array;
  private readonly nMissing: Float64Array;
  private readonly unreadable = new Map<string, number>();
  private readonly markCounts = new Map<string, number>();
  private readonly notes: string[] = [];
  private nUnreadable = 0;
  private nShort = 0;
  private nFlagged = 0;
  private nFlaggedCells = 0;
  private nRepeatedTexts = 0;
  private readonly at: Readonly<Record<'drug' | 'dose' | 'dose unit' | 'unit' | 'rate' | 'rate unit' | 'route', number>>;

  constructor(context: TableContext, time: TimeColumn) {
    super(context);
    this.time = time;
    this.spill = Spill.of(context.shelf);
    const { columns } = context.plan;
    this.valueColumns = columns.filter((column) => column.role === 'value');
    this.said = this.valueColumns.map((column) => this.statements[column.index] ?? null);
    this.textColumns = columns.filter((column) => column.role === 'text');
    this.siteColumn = columns.find((column) => column.role === 'site')?.index ?? -1;
    this.sensorColumn = columns.find((column) => column.role === 'sensor')?.index ?? -1;
    const find = (role: ColumnRole): number => columns.find((column) => column.role === role)?.index ?? -1;
    this.at = { 'drug': find('drug'), 'dose': find('dose'), 'dose unit': find('dose unit'), 'unit': find('unit'), 'rate': find('rate'), 'rate unit': find('rate unit'), 'route': find('route') };
    this.width = columns.length;
    this.numbers = new NumberReader(context.plan.decimal, context.decoder);
    this.rowValues = new Float64Array(this.valueColumns.length);
    this.rowMarks = new Uint8Array(this.valueColumns.length);
    this.nValues = new Float64Array(this.valueColumns.length);
    this.nMissing = new Float64Array(this.valueColumns.length);
    const ofSensor = this.valueColumns.filter((column) => column.quantity !== null && QUANTITY_FACTS[column.quantity].ofSensor);
    // The quantity of a value column is never null once its role is set.
    this.notes.push(...assignSensors(ofSensor.map((column) => sensorView(column))));
    this.flagColumns = columns.filter((column) => column.role === 'flag').map((column) => this.planFlag(column));
    this.cases = new CaseSlots<CaseContent>(columns, context.rules, context.decoder, () => ({ blocks: new Map(), lastSite: '\u0000', lastBlock: null, notes: [], drugs: [], events: [], saidBefore: [] }));
  }

  protected useRow(row: RowView): void {
    const { account } = this.context;
    const slot = this.cases.of(row);
    if (slot === null) {
      if (this.isHeading(row)) account.reject(row, 'headings repeated');
      else account.reject(row, 'no case identifier');
      return;
    }
    const tMs = this.time.read(row, slot.clock);
    if (Number.isNaN(tMs)) {
      this.rejectUntimed(row);
      return;
    }
    if (row.n !== this.width) {
      if (row.n > this.width) {
        for (let i = this.width; i < row.n; i += 1) {
          if (row.isEmpty(i)) continue;
          account.reject(row, 'more cells than there are headings');
          return;
        }
      } else this.nShort += 1;
    }
    const { valueColumns, rowValues, rowMarks } = this;
    let nBad = 0;
    let nFine = 0;
    for (let k = 0; k < valueColumns.length; k += 1) {
      const column = valueColumns[k] as ColumnPlan; // k < length
      const c = column.index;
      if (c >= row.n) {
        rowValues[k] = NaN;
        rowMarks[k] = MARK.empty;
        continue;
      }
      const value = this.numbers.read(row.buf, row.starts[c] as number, row.ends[c] as number); // c < n
      const code = this.numbers.code;
      if (code === CELL.number) {
        nFine += 1;
        if (this.numbers.marks !== '') this.countMark(this.numbers.marks);
        // The fillers are nought, below it, 127, 255, above 300, or a fraction above 32.
        if ((value <= 0 || value > 300 || value === 127 || value === 255 || (value > 32 && value % 1 !== 0)) && isFillerNumber(value, column.quantity ?? 'other')) {
          rowValues[k] = NaN;
          rowMarks[k] = MARK.sentinel;
        } else {
          rowValues[k] = value;
          rowMarks[k] = MARK.none;
        }
        const said = this.said[k] as CellStatement | null; // one per value column
        if (said !== null) this.applySaid(said, k, value, this.numbers.marks);
      } else if (code === CELL.empty) {
        rowValues[k] = NaN;
        rowMarks[k] = MARK.empty;
      } else {
        rowValues[k] = NaN;
        rowMarks[k] = MARK.sentinel;
        const said = this.said[k] as CellStatement | null; // one per value column
        if (said !== null && this.readSaidCell(said, k, this.textAt(row, c))) nFine += 1;
        else if (code === CELL.unreadable) {
          nBad += 1;
          this.countUnreadable(row, column);
        } else nFine += 1;
      }
    }
    if (nBad > 0 && nFine === 0) {
      account.reject(row, 'no value that can be read');
      return;
    }
    for (const flag of this.flagColumns) {
      if (flag.targets.length === 0 || flag.column.index >= row.n || !this.isLost(row, flag)) continue;
      this.nFlagged += 1;
      for (const k of flag.targets) rowMarks[k] = (rowMarks[k] ?? 0) | MARK.flagged;
    }
    const content = slot.content;
    this.keepEntries(row, tMs, content);
    const block = this.blockOf(row, content);
    block.tMs.push(tMs);
    block.line.push(row.line);
    for (let k = 0; k < valueColumns.length; k += 1) {
      const value = rowValues[k] as number; // k < length
      (block.values[k] as GrowableFloat64).push(value); // one per value column
      (block.marks[k] as GrowableUint8).push(rowMarks[k] as number); // one per value column
      if (value === value) (this.nValues[k] as number)++; // NaN differs from itself
      else (this.nMissing[k] as number)++;
    }
    account.accept();
  }

  /** Takes a number as a filler or as marked when a person said so of its column. */
  private applySaid(said: CellStatement, k: number, value: number, marks: string): void {
    if (said.takesNumber(value)) {
      this.rowValues[k] = NaN;
      this.rowMarks[k] = MARK.sentinel;
    } else if (marks !== '' && said.withoutFlag(marks) !== null) {
      this.rowMarks[k] = (this.rowMarks[k] ?? 0) | MARK.flagged;
      this.nFlaggedCells += 1;
    }
  }

  /** Reads a cell that is no plain number by what a person said of its column; false when nothing was said of its text. */
  private readSaidCell(said: CellStatement, k: number, text: string): boolean {
    if (said.takesText(text)) return true;
    const rest = said.withoutFlag(text);
    if (rest === null) return false;
    this.nFlaggedCells += 1;
    const { value, code } = parseNumberText(rest, this.context.plan.decimal);
    const isValue = code === CELL.number && !isFillerNumber(value, this.valueColumns[k]?.quantity ?? 'other') && !said.takesNumber(value);
    this.rowValues[k] = isValue ? value : NaN;
    this.rowMarks[k] = isValue ? MARK.flagged : MARK.sentinel | MARK.flagged;
    return true;
  }

  finish(): TableResult {
    const guesses: Guess[] = [];
    const notes = this.notes;
    const seenGuesses = new Set<string>();
    const readAs = new Map<number, { words: string; quantity: Quantity; site: Site | null }>();
    const cases: CaseReading[] = [];
    const keep = this.columnsToKeep();
    for (const slot of this.cases.slots) {
      const channels: RawChannel[] = [];
      let nDuplicates = 0;
      let nConflicts = 0;
      let firstConflictLine: number | null = null;
      for (const block of slot.content.blocks.values()) {
        const values: ValueColumn[] = this.valueColumns.map((column, k) => ({
          quantity: column.quantity ?? 'other',
          value: block.values[k]?.take() ?? new Float64Array(0),
          mark: block.marks[k]?.take() ?? new Uint8Array(0),
        }));
        const ordered = orderRows(block.tMs.take(), block.line.take(), values);
        nDuplicates += ordered.nDuplicates;
        nConflicts += ordered.nConflicts;
        if (ordered.firstConflictLine !== null) firstConflictLine = Math.min(firstConflictLine ?? Infinity, ordered.firstConflictLine);
        for (const [k, own] of values.entries()) {
          const column = this.valueColumns[k];
          if (column === undefined || keep[k] !== true) continue;
          if (column.quantity !== 'spo2' && !hasAnything(own)) continue;
          if (column.quantity === 'spo2' && !hasAnything(own) && this.valueColumns.some((other, j) => other.quantity === 'spo2' && j !== k && hasAnything(values[j]))) continue;
          const settled = settleChannel(column.heading, own.quantity, this.unitOf(column), own.value, own.mark, columnRule(column, this.context.rules)?.unit !== undefined);
          if (settled.guess !== null && !seenGuesses.has(settled.guess.field)) {
            seenGuesses.add(settled.guess.field);
            guesses.push(settled.guess);
          }
          if (settled.note !== null && !notes.includes(settled.note)) notes.push(settled.note);
          const ofSensor = QUANTITY_FACTS[settled.quantity].ofSensor;
          const rule = columnRule(column, this.context.rules);
          // What a person said of a column goes before the cells of a column of sites.
          const place =
            block.site !== null && ofSensor
              ? { site: rule?.site ?? block.site.site, sensor: rule?.sensor ?? (block.site.sensor === '' ? column.sensor : block.site.sensor) }
              : { site: column.site, sensor: column.sensor };
          const site = ofSensor ? place.site : null;
          channels.push({
            quantity: settled.quantity,
            label: column.heading,
            unit: settled.unit,
            site,
            sensor: ofSensor ? place.sensor : '',
            layout: 'wide',
            tMs: ordered.tMs,
            value: own.value,
            mark: own.mark,
            line: ordered.line,
          });
          if (!readAs.has(k)) readAs.set(k, { words: channelWords(settled.quantity, block.site === null ? site : null, ofSensor ? place.sensor : '', settled.unit), quantity: settled.quantity, site });
        }
      }
      const { drugs, events } = slot.content;
      for (const note of slot.content.notes) {
        const read = readNote(note.text, note.tMs, note.line, this.context.phrases);
        if (read.drug !== null) drugs.push(read.drug);
        else events.push(read.event, ...read.more);
      }
      const reading: CaseReading = { caseKey: slot.key, channels, events, drugs, attributes: {}, nDuplicates, nConflicts, firstConflictLine };
      cases.push(this.context.shelf?.setAside(reading) ?? reading);
      slot.content.blocks.clear();
    }
    this.addAssumptions(guesses);
    return { cases, columns: this.reportColumns(readAs, keep), guesses, notes: [...notes, ...this.cellNotes()] };
  }

  /** Keeps what the row's text and drug columns say; a text that only goes on from the row before is counted, not kept again. */
  private keepEntries(row: RowView, tMs: number, content: CaseContent): void {
    for (const [i, column] of this.textColumns.entries()) {
      const text = this.textAt(row, column.index);
      const isSaid = !this.isNothing(text, column.index);
      if (isSaid && content.saidBefore[i] === text) this.nRepeatedTexts += 1;
      else if (isSaid) content.notes.push({ tMs, line: row.line, text });
      content.saidBefore[i] = isSaid ? text : '';
    }
    const { drug } = this.at;
    if (drug === -1) return;
    const name = this.textAt(row, drug);
    if (this.isNothing(name, drug)) return;
    const number = (column: number): number => {
      if (column === -1 || column >= row.n) return NaN;
      const value = this.numbers.read(row.buf, row.starts[column] ?? 0, row.ends[column] ?? 0);
      return this.numbers.code === CELL.number && this.statements[column]?.takesNumber(value) !== true ? value : NaN;
    };
    const dose = number(this.at.dose);
    const rate = number(this.at.rate);
    const own = (column: number): string => (column === -1 || this.isNothing(this.textAt(row, column), column) ? '' : this.textAt(row, column));
    const doseUnit = own(this.at['dose unit']);
    const read = readAdministration(
      {
        drug: name,
        dose: Number.isNaN(dose) ? own(this.at.dose) : '',
        doseUnit: doseUnit === '' ? own(this.at.unit) : doseUnit,
        rate: Number.isNaN(rate) ? own(this.at.rate) : '',
        rateUnit: own(this.at['rate unit']),
        route: own(this.at.route),
        action: '',
        text: '',
        doseValue: dose,
        rateValue: rate,
      },
      tMs,
      null,
      row.line,
      this.context.phrases,
    );
    if (read.drug === null) content.events.push(read.event, ...read.more);
    else content.drugs.push(read.drug);
  }

  private unitOf(column: ColumnPlan): string {
    const stated = columnRule(column, this.context.rules)?.unit;
    if (stated !== undefined) return stated;
    const found = findQuantity(column.heading, column.unit === '' ? undefined : column.unit);
    if (found !== null && found.unit !== '') return found.unit;
    return column.unit === '' ? (/[([]([^)\]]{1,12})[)\]]\s*$/.exec(column.heading)?.[1] ?? '') : column.unit;
  }

  /** Adds what the dictionary assumed beyond a heading's words. */
  private addAssumptions(guesses: Guess[]): void {
    for (const column of this.valueColumns) {
      if (columnRule(column, this.context.rules)?.quantity !== undefined) continue;
      const assumption = findQuantity(column.heading, column.unit === '' ? undefined : column.unit)?.assumption ?? null;
      if (assumption === null || column.quantity === null || column.quantity === 'other') continue;
      guesses.push({
        field: `columns.${column.heading}`,
        taken: `"${column.heading}" is read as ${QUANTITY_FACTS[column.quantity].name}.`,
        because: assumption,
        certainty: 'assumed',
        alternatives: [{ label: 'Leave this column out', rules: { columns: { [column.heading]: { role: 'ignore' } } } }],
      });
    }
  }

  /** Which value columns become channels: known quantities, and unknown ones unless they never change or only count rows. */
  private columnsToKeep(): boolean[] {
    return this.valueColumns.map((column, k) => {
      if (column.quantity !== 'other') return true;
      if ((this.nValues[k] ?? 0) === 0) {
        column.because = 'empty';
        return false;
      }
      const { numbers } = column.profile;
      const first = numbers[0] ?? 0;
      if (numbers.length > 1 && numbers.every((value) => value === first)) {
        column.because = 'the same in every row';
        return false;
      }
      if (numbers.length > 2 && column.profile.nEmpty === 0 && numbers.every((value, i) => i === 0 || value > (numbers[i - 1] ?? first))) {
        // It would stand in for "the recorder ran" even in rows in which nothing was measured.
        column.because = 'counts up from row to row';
        return false;
      }
      return true;
    });
  }

  private reportColumns(readAs: ReadonlyMap<number, { words: string; quantity: Quantity; site: Site | null }>, keep: readonly boolean[]): ColumnReport[] {
    return this.context.plan.columns.map((column) => {
      const k = this.valueColumns.indexOf(column);
      if (k === -1) return this.plainColumnReport(column);
      const read = keep[k] === true ? readAs.get(k) : undefined;
      return {
        heading: column.heading,
        readAs: read?.words ?? `not used (${column.because === '' ? 'empty' : column.because})`,
        quantity: read?.quantity ?? null,
        site: read?.site ?? null,
        values: this.nValues[k] ?? 0,
        missing: this.nMissing[k] ?? 0,
      };
    });
  }

  private cellNotes(): string[] {
    const notes: string[] = [];
    if (this.nUnreadable > 0) {
      const shown = [...this.unreadable].slice(0, 5).map(([text, count]) => `"${text}" (${count})`);
      notes.push(`${countWords(this.nUnreadable, 'cell in a column of numbers holds text that is no number and was', 'cells in columns of numbers hold text that is no number and were')} taken as "no value": ${shown.join(', ')}${this.unreadable.size > 5 ? ' and others' : ''}.`);
    }
    for (const [marks, count] of this.markCounts) notes.push(`The mark ${marks} stands beside ${countWords(count, 'value; the value was', 'values; the values were')} kept.`);
    if (this.numbers.nOtherMark > 0) notes.push(`${countWords(this.numbers.nOtherMark, 'number uses another decimal mark than the rest of the file and was', 'numbers use another decimal mark than the rest of the file and were')} read all the same.`);
    if (this.nRepeatedTexts > 0) notes.push(`${countWords(this.nRepeatedTexts, 'text only goes', 'texts only go')} on from the row before; each was kept once, where it begins.`);
    if (this.nShort > 0) notes.push(`${countWords(this.nShort, 'row has', 'rows have')} fewer cells than there are headings; the missing cells were taken as empty.`);
    if (this.nFlagged > 0) notes.push(`${countWords(this.nFlagged, 'row carries', 'rows carry')} the export's own flag that the sensor gave no current value; ${this.nFlagged === 1 ? 'its values' : 'their values'} are kept and marked.`);
    if (this.nFlaggedCells > 0) notes.push(`${countWords(this.nFlaggedCells, 'cell carries', 'cells carry')} a word or sign that the mapping says marks an artefact; ${this.nFlaggedCells === 1 ? 'its value is' : 'their values are'} kept and marked.`);
    for (const flag of this.flagColumns) {
      if (flag.targets.length === 0 && flag.column.profile.nText + flag.column.profile.nNumber > 0) notes.push(`"${flag.column.heading}" looks like a status column, but it is not clear to which sensor it belongs; it flags nothing.`);
    }
    return notes;
  }

  private countUnreadable(row: RowView, column: ColumnPlan): void {
    this.nUnreadable += 1;
    const text = this.textAt(row, column.index).slice(0, 40);
    if (this.unreadable.has(text) || this.unreadable.size < 1000) this.unreadable.set(text, (this.unreadable.get(text) ?? 0) + 1);
  }

  private countMark(marks: string): void {
    this.markCounts.set(marks, (this.markCounts.get(marks) ?? 0) + 1);
  }

  private blockOf(row: RowView, content: CaseContent): Block {
    if (this.siteColumn === -1 && this.sensorColumn === -1) {
      if (content.lastBlock === null) {
        content.lastBlock = this.newBlock(null);
        content.blocks.set('', content.lastBlock);
      }
      return content.lastBlock;
    }
    const siteText = this.textAt(row, this.siteColumn);
    const sensorText = this.textAt(row, this.sensorColumn);
    const key = `${siteText}\u0000${sensorText}`;
    if (content.lastBlock !== null && content.lastSite === key) return content.lastBlock;
    let block = content.blocks.get(key);
    if (block === undefined) {
      const found = siteText === '' ? null : findSite(siteText);
      block = this.newBlock({ site: found?.site ?? (siteText === '' ? 'unstated' : 'other'), sensor: sensorText !== '' ? sensorText : (found?.sensor ?? '') });
      content.blocks.set(key, block);
    }
    content.lastSite = key;
    content.lastBlock = block;
    return block;
  }

  private newBlock(site: Block['site']): Block {
    return {
      site,
      tMs: new GrowableFloat64(this.spill),
      line: new GrowableUint32(this.spill),
      values: this.valueColumns.map(() => new GrowableFloat64(this.spill)),
      marks: this.valueColumns.map(() => new GrowableUint8(this.spill)),
    };
  }

  private isLost(row: RowView, flag: FlagColumn): boolean {
    const start = row.trimmedStart(flag.column.index);
    const end = row.trimmedEnd(flag.column.index);
    if (start >= end) return false;
    const known = flag.known.get(row.buf, start, end);
    if (known !== undefined) return known;
    const text = this.context.decoder.decode(row.buf, start, end);
    let isLost: boolean;
    if ((this.statements[flag.column.index]?.withoutFlag(text) ?? null) !== null) isLost = true;
    else if (/^[01](?:[.,]0+)?$/.test(text.trim()) && flag.one !== null) isLost = (text.trim().startsWith('1') ? flag.one : flag.one === 'lost' ? 'fine' : 'lost') === 'lost';
    else isLost = /\d/.test(text) && !/[a-z]/i.test(text) ? false : parseStatus(text) === 'lost';
    flag.known.set(row.buf, start, end, isLost);
    return isLost;
  }

  /** Works out which samples a status column speaks of. */
  private planFlag(column: ColumnPlan): FlagColumn {
    const known = new ByteMap<boolean>(5000);
    const sensors = new Map<string, number[]>();
    for (const [k, value] of this.valueColumns.entries()) {
      if (value.quantity === null || !QUANTITY_FACTS[value.quantity].ofSensor) continue;
      const key = `${value.site}\u0000${value.sensor}`;
      sensors.set(key, [...(sensors.get(key) ?? []), k]);
    }
    const yes = /artefa[ck]t|artifact|invalid|off|error|lost|fault|disconnect|reject/i.test(column.heading);
    const no = /\bvalid|\bok\b|\bgood\b|usable/i.test(column.heading);
    const one = yes ? 'lost' : no ? 'fine' : null;
    const stated = column.quantity;
    if (stated !== null) {
      const fits = (value: ColumnPlan): boolean => value.quantity === stated && (column.site === 'unstated' || value.site === column.site) && (column.sensor === '' || value.sensor === column.sensor);
      return { column, targets: [...this.valueColumns.entries()].filter(([, value]) => fits(value)).map(([k]) => k), one, known };
    }
    const about = findQuantity(column.heading.replace(/\b(?:status|state|flags?|quality|artefa[ck]ts?|artifacts?|valid(?:ity)?|alarms?|error|message|text)\b/gi, ' ').replace(/[_-]+/g, ' ').trim());
    if (about !== null && !QUANTITY_FACTS[about.quantity].ofSensor) {
      const targets = [...this.valueColumns.entries()].filter(([, value]) => value.quantity === about.quantity).map(([k]) => k);
      return { column, targets, one, known };
    }
    if (sensors.size === 1) return { column, targets: [...sensors.values()].flat(), one, known };
    const rule = columnRule(column, this.context.rules);
    const site = rule?.site ?? about?.site ?? column.site;
    const sensor = rule?.sensor !== undefined ? rule.sensor : about !== null && about.sensor !== '' ? about.sensor : column.sensor;
    const fitting = [...sensors].filter(([key]) => {
      const [ownSite, ownSensor] = key.split('\u0000');
      return (site === 'unstated' || ownSite === site) && (sensor === '' || ownSensor === sensor);
    });
    const isSaid = site !== 'unstated' || sensor !== '';
    if (isSaid && fitting.length === 1) return { column, targets: fitting[0]?.[1] ?? [], one, known };
    const flags = this.context.plan.columns.filter((other) => other.role === 'flag');
    if (!isSaid && flags.length === sensors.size) return { column, targets: [...sensors.values()][flags.indexOf(column)] ?? [], one, known };
    return { column, targets: [], one, known };
  }
}

function hasAnything(column: ValueColumn | undefined): boolean {
  if (column === undefined) return false;
  for (let i = 0; i < column.mark.length; i += 1) {
    if (column.mark[i] !== MARK.empty) return true;
  }
  return false;
}

/** Shows a column to `assignSensors`, which moves site and sensor in place. */
function sensorView(column: ColumnPlan): { readonly quantity: Quantity; site: Site; sensor: string } {
  return {
    quantity: column.quantity ?? 'other',
    get site() {
      return column.site;
    },
    set site(site: Site) {
      column.site = site;
    },
    get sensor() {
      return column.sensor;
    },
    set sensor(sensor: string) {
      column.sensor = sensor;
    },
  };
}
