import { countWords } from '../base/count-words.ts';
import type { IdentifierKind } from '../identity/identifier-heading.ts';
import { MARK } from '../model/channel.ts';
import type { ColumnReport, Guess } from '../model/import-report.ts';
import { QUANTITY_FACTS, type Quantity } from '../model/quantity.ts';
import type { Site } from '../model/site.ts';
import { findDrug } from '../terms/find-drug.ts';
import { findSite } from '../terms/find-site.ts';
import { parseDose } from '../terms/parse-dose.ts';
import { parseEvent } from '../terms/parse-event.ts';
import { assignSensors, type SensorEntry } from './assign-sensors.ts';
import { ByteMap } from './byte-map.ts';
import { isFillerWord, parseStatus } from './cell-words.ts';
import { channelWords } from './channel-words.ts';
import { readAdministration, readNote } from './entry-text.ts';
import { GrowableFloat64, GrowableUint32, GrowableUint8 } from './growable.ts';
import { roleOfHeading } from './heading-words.ts';
import { identityOfHeading } from './place-identifiers.ts';
import { orderRows, type ValueColumn } from './order-rows.ts';
import { CELL, NumberReader, parseNumberText } from './parse-number.ts';
import { columnRule, quantityOfName } from './plan-table.ts';
import type { CaseReading, RawChannel, RawDrug, RawEvent } from './reading.ts';
import type { RowView } from './row-splitter.ts';
import { isFillerNumber, settleChannel } from './settle-channel.ts';
import { Spill } from './spill.ts';
import type { CellStatement } from './stated-words.ts';
import { CaseSlots, TableReader, type TableContext, type TableResult } from './table-reader.ts';
import type { TimeColumn } from './time-column.ts';

/** A word of three letters and no digit: nothing that a number was meant by. */
const SAYS_WORDS = /^(?=.*\p{L}{3})[^\d]+$/u;

/** Headings of columns in which 1 says that the value beside it is none. */
const SAYS_LOST = /artefa[ck]t|artifact|invalid|off|error|lost|fault|disconnect|reject/i;

/** What rows of one name are. */
interface NameTarget {
  readonly id: number;
  readonly name: string;
  readonly kind: 'quantity' | 'drug' | 'event' | 'status' | 'identifier' | 'ignore';
  readonly identity: IdentifierKind | null;
  readonly quantity: Quantity;
  readonly ofSensor: boolean;
  readonly site: Site;
  readonly sensor: string;
  readonly unit: string;
  readonly said: CellStatement | null;
  nValues: number;
  nMissing: number;
  /** Rows that were read as drugs or events by their text. */
  nTexts: number;
}

/** The samples of one name (at one site, in one unit) of one case. */
interface Series extends SensorEntry {
  readonly target: NameTarget;
  readonly unitText: string;
  readonly siteText: string;
  readonly sensorText: string;
  readonly tMs: GrowableFloat64;
  readonly line: GrowableUint32;
  readonly value: GrowableFloat64;
  readonly mark: GrowableUint8;
}

interface CaseContent {
  readonly series: Map<string, Series>;
  /** The series that each name went to last, by the name's id: on most rows it is the same again. */
  readonly lastOf: (Series | undefined)[];
  readonly events: RawEvent[];
  readonly drugs: RawDrug[];
  /** What names with texts for values said last. */
  readonly saidBefore: Map<NameTarget, string>;
  readonly lostAt: { readonly tMs: number; readonly site: Site; readonly sensor: string }[];
}

/** Reads tables in which each row is one value of one named quantity (and, among them, drugs and events). */
export class LongReader extends TableReader {
  private readonly cases: CaseSlots<CaseContent>;
  private readonly targets = new ByteMap<NameTarget>(50_000);
  private readonly targetsByName = new Map<string, NameTarget>();
  private readonly numbers: NumberReader;
  private readonly time: TimeColumn;
  private readonly name: number;
  private readonly number: number;
  private readonly unit: number;
  private readonly site: number;
  private readonly sensor: number;
  private readonly flags: readonly { readonly column: number; readonly isOneLost: boolean }[];
  private readonly route: number;
  private readonly text: number;
  private readonly width: number;
  private readonly spill: Spill | null;
  /** No name of the table says SpO2: what it calls SaO2 is the oximeter's. */
  private readonly isPulseNamedSaO2: boolean;
  private readonly lostTexts: readonly ByteMap<boolean>[];
  private readonly marks = new Map<string, number>();
  private nFlagged = 0;
  private nFlaggedCells = 0;
  private flaggedValue = NaN;
  private nRepeatedTexts = 0;
  private nWordsForValues = 0;

  constructor(context: TableContext, time: TimeColumn) {
    super(context);
    this.time = time;
    this.spill = Spill.of(context.shelf);
    const { columns } = context.plan;
    const at = (role: string): number => columns.find((column) => column.role === role)?.index ?? -1;
    this.name = at('name');
    this.number = at('number');
    this.unit = at('unit');
    this.site = at('site');
    this.sensor = at('sensor');
    this.flags = columns.filter((column) => column.role === 'flag').map(({ index, heading }) => ({ column: index, isOneLost: SAYS_LOST.test(heading) }));
    this.lostTexts = this.flags.map(() => new ByteMap<boolean>(5000));
    this.route = at('route');
    this.text = at('text');
    this.width = columns.length;
    this.isPulseNamedSaO2 = ![...(columns[this.name]?.profile.distinct.keys() ?? [])].some((name) => quantityOfName(name)?.quantity === 'spo2');
    this.numbers = new NumberReader(context.plan.decimal, context.decoder);
    this.cases = new CaseSlots<CaseContent>(columns, context.rules, context.decoder, () => ({ series: new Map(), lastOf: [], events: [], drugs: [], saidBefore: new Map(), lostAt: [] }));
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
    if (row.n > this.width) {
      for (let i = this.width; i < row.n; i += 1) {
        if (row.isEmpty(i)) continue;
        account.reject(row, 'more cells than there are headings');
        return;
      }
    }
    const target = this.targetOf(row);
    if (target === null) {
      account.reject(row, 'no name of a measurement');
      return;
    }
    const content = slot.content;
    switch (target.kind) {
      case 'quantity':
        this.useValue(row, tMs, target, content);
        return;
      case 'drug':
        this.useDrug(row, tMs, target, content);
        return;
      case 'status':
        this.useStatus(row, tMs, target, content);
        return;
      case 'event':
        this.useEvent(row, tMs, target, content);
        return;
      case 'identifier':
        this.context.watch.named(target.name, target.identity ?? 'other number', [this.textAt(row, this.number), this.textAt(row, this.text)], row.line);
        target.nValues += 1;
        account.accept();
        return;
      case 'ignore':
        target.nValues += 1;
        account.accept();
    }
  }

  private useValue(row: RowView, tMs: number, target: NameTarget, content: CaseContent): void {
    const { account } = this.context;
    if (this.number >= row.n) {
      account.reject(row, 'no value');
      return;
    }
    const value = this.numbers.read(row.buf, row.starts[this.number] as number, row.ends[this.number] as number); // number < n
    const code = this.numbers.code;
    let kept = value;
    let mark: number = MARK.none;
    if (code === CELL.number) {
      const { said } = target;
      if (said !== null && said.takesNumber(value)) {
        kept = NaN;
        mark = MARK.sentinel;
      } else if (said !== null && this.numbers.marks !== '' && said.withoutFlag(this.numbers.marks) !== null) {
        mark = MARK.flagged;
        this.nFlaggedCells += 1;
      } else if (this.numbers.marks !== '') this.marks.set(this.numbers.marks, (this.marks.get(this.numbers.marks) ?? 0) + 1);
      if (!Number.isNaN(kept) && isFillerNumber(value, target.quantity)) {
        kept = NaN;
        mark = MARK.sentinel;
      }
    } else if (code === CELL.empty) {
      mark = MARK.empty;
    } else if (target.said !== null && target.said.takesText(this.textAt(row, this.number))) {
      mark = MARK.sentinel;
    } else if (target.said?.hasFlags === true && this.readFlagged(row, target)) {
      kept = this.flaggedValue;
      mark = Number.isNaN(kept) ? MARK.sentinel | MARK.flagged : MARK.flagged;
      this.nFlaggedCells += 1;
    } else if (code === CELL.unreadable) {
      if (target.quantity === 'other') {
        const text = this.textAt(row, this.number);
        if (content.saidBefore.get(target) === text) {
          this.nRepeatedTexts += 1;
          target.nValues += 1;
          account.accept();
          return;
        }
        content.saidBefore.set(target, text);
        this.useEvent(row, tMs, target, content);
        return;
      }
      const text = this.textAt(row, this.number);
      if (!SAYS_WORDS.test(text)) {
        account.reject(row, 'no value that can be read');
        return;
      }
      // Words in the place of a value ("Skin temperature: warm") are a note, not a value.
      this.nWordsForValues += 1;
      this.useEvent(row, tMs, target, content);
      return;
    } else {
      mark = MARK.sentinel;
    }
    if (this.flags.length > 0 && this.isLost(row)) {
      mark |= MARK.flagged;
      this.nFlagged += 1;
    }
    const series = this.seriesOf(row, target, content);
    series.tMs.push(tMs);
    series.line.push(row.line);
    series.value.push(kept);
    series.mark.push(mark);
    if (Number.isNaN(kept)) target.nMissing += 1;
    else target.nValues += 1;
    account.accept();
  }

  /** Reads a cell in which a word that a person stated as an artefact mark stands; its number goes to `flaggedValue`. */
  private readFlagged(row: RowView, target: NameTarget): boolean {
    const rest = target.said?.withoutFlag(this.textAt(row, this.number)) ?? null;
    if (rest === null) return false;
    const { value, code } = parseNumberText(rest, this.context.plan.decimal);
    this.flaggedValue = code === CELL.number && !isFillerNumber(value, target.quantity) && target.said?.takesNumber(value) !== true ? value : NaN;
    return true;
  }

  private useDrug(row: RowView, tMs: number, target: NameTarget, content: CaseContent): void {
    const unit = this.textAt(row, this.unit);
    const valueText = this.textAt(row, this.number);
    const value = this.number < row.n ? this.numbers.read(row.buf, row.starts[this.number] ?? 0, row.ends[this.number] ?? 0) : NaN;
    const isSaidFiller = valueText !== '' && target.said?.takesText(valueText) === true;
    const isNumber = this.numbers.code === CELL.number && !Number.isNaN(value) && !isSaidFiller;
    const read = readAdministration(
      {
        drug: target.name,
        dose: isNumber || isSaidFiller || isFillerWord(valueText) ? '' : valueText,
        doseUnit: unit,
        rate: '',
        rateUnit: '',
        route: this.textAt(row, this.route),
        action: '',
        text: this.textAt(row, this.text),
        doseValue: isNumber ? value : NaN,
        rateValue: NaN,
      },
      tMs,
      null,
      row.line,
      this.context.phrases,
    );
    if (read.drug === null) content.events.push(read.event, ...read.more);
    else content.drugs.push(read.drug);
    target.nValues += 1;
    this.context.account.accept();
  }

  private useEvent(row: RowView, tMs: number, target: NameTarget, content: CaseContent): void {
    const own = this.textAt(row, this.number);
    const extra = this.textAt(row, this.text);
    const says = [own, extra].filter((part) => part !== '' && !isFillerWord(part) && target.said?.takesText(part) !== true).join(' ');
    const isGeneric = roleOfHeading(target.name) !== null;
    const text = isGeneric ? says : says === '' || /^[01]$/.test(says) ? target.name : `${target.name}: ${says}`;
    if (text === '') {
      this.context.account.reject(row, 'entry without text');
      return;
    }
    const read = readNote(text, tMs, row.line, this.context.phrases, null, isGeneric ? [] : [says, target.name]);
    if (read.drug !== null) content.drugs.push(read.drug);
    else content.events.push(read.event, ...read.more);
    target.nValues += 1;
    target.nTexts += 1;
    this.context.account.accept();
  }

  private useStatus(row: RowView, tMs: number, target: NameTarget, content: CaseContent): void {
    const text = this.textAt(row, this.number);
    if (parseStatus(text) === 'lost' || (target.said?.withoutFlag(text) ?? null) !== null) {
      const site = this.site === -1 ? null : findSite(this.textAt(row, this.site));
      content.lostAt.push({ tMs, site: site?.site ?? target.site, sensor: site?.sensor ?? target.sensor });
    }
    target.nValues += 1;
    this.context.account.accept();
  }

  private isLost(row: RowView): boolean {
    return this.flags.some((flag, k) => this.saysLost(row, flag, k));
  }

  private saysLost(row: RowView, { column, isOneLost }: LongReader['flags'][number], k: number): boolean {
    if (column >= row.n) return false;
    const start = row.trimmedStart(column);
    const end = row.trimmedEnd(column);
    if (start >= end) return false;
    const words = this.lostTexts[k] as ByteMap<boolean>; // one per column of flags
    const known = words.get(row.buf, start, end);
    if (known !== undefined) return known;
    const text = this.context.decoder.decode(row.buf, start, end);
    const isLost = (isOneLost && /^1(?:[.,]0+)?$/.test(text)) || parseStatus(text) === 'lost' || (this.statements[column]?.withoutFlag(text) ?? null) !== null;
    words.set(row.buf, start, end, isLost);
    return isLost;
  }

  private targetOf(row: RowView): NameTarget | null {
    if (this.name >= row.n) return null;
    const start = row.trimmedStart(this.name);
    const end = row.trimmedEnd(this.name);
    if (start >= end) return null;
    const known = this.targets.get(row.buf, start, end);
    if (known !== undefined) return known;
    const name = this.context.decoder.decode(row.buf, start, end).replace(/\s+/g, ' ').trim();
    let target = this.targetsByName.get(name);
    if (target === undefined) {
      target = this.planName(name);
      this.targetsByName.set(name, target);
    }
    this.targets.set(row.buf, start, end, target);
    return target;
  }

  /** Decides what rows of a name are: a measurement, a drug, an event, a status; unknown numbers are kept as `other`. */
  private planName(name: string): NameTarget {
    const rule = columnRule({ heading: name, index: -2 }, this.context.rules);
    const numberColumn = this.context.plan.columns[this.number];
    const numberRule = numberColumn === undefined ? undefined : columnRule(numberColumn, this.context.rules);
    const make = (kind: NameTarget['kind'], quantity: Quantity = 'other', site: Site = 'unstated', sensor = '', unit = ''): NameTarget => ({
      id: this.targetsByName.size,
      name,
      kind,
      identity: null,
      quantity,
      ofSensor: QUANTITY_FACTS[quantity].ofSensor,
      site,
      sensor,
      unit,
      said: this.context.words.of(numberRule, rule),
      nValues: 0,
      nMissing: 0,
      nTexts: 0,
    });
    if (rule?.role === 'ignore') return make('ignore');
    const identity = rule?.identifier === 'leave out' ? (identityOfHeading(name) ?? 'other number') : rule === undefined ? identityOfHeading(name) : null;
    if (identity !== null && !this.context.keepIdentifiers) return { ...make('identifier'), identity };
    if (rule?.role === 'drug' || rule?.role === 'flag') return make(rule.role === 'drug' ? 'drug' : 'status', rule.quantity, rule.site ?? 'unstated', rule.sensor ?? '');
    if (rule?.role === 'text') return make('event');
    const stated = this.context.phrases.meaningOf(name);
    if (stated !== null) return make(stated.reading.means === 'drug' ? 'drug' : 'event');
    if (rule?.quantity !== undefined) return make('quantity', rule.quantity, rule.site ?? 'unstated', rule.sensor ?? '', rule.unit ?? '');
    const found = quantityOfName(name) ?? (this.isPulseNamedSaO2 && /^SaO2$/i.test(name) ? quantityOfName('SpO2') : null);
    if (found !== null) return make('quantity', found.quantity, rule?.site ?? found.site ?? 'unstated', rule?.sensor ?? found.sensor, rule?.unit ?? found.unit);
    const role = roleOfHeading(name);
    // A limit of an alarm is a number that somebody set, not what the sensor says.
    if (role === 'flag' && !/\b(?:low|high|lower|upper|limit|min|max)\b/i.test(name)) {
      const site = findSite(name);
      return make('status', 'other', site?.site ?? 'unstated', site?.sensor ?? /\d+/.exec(name.replace(/sp\s?o2/gi, ''))?.[0] ?? '');
    }
    if (role === 'text') return make('event');
    const drug = findDrug(name);
    if (drug.term !== null || drug.ambiguous.length > 0 || parseDose(name).drug !== null) return make('drug');
    if (parseEvent(name).kind !== 'note') return make('event');
    return make('quantity', 'other');
  }

  private seriesOf(row: RowView, target: NameTarget, content: CaseContent): Series {
    const ofSensor = target.ofSensor;
    const unitText = this.unit === -1 ? '' : this.textAt(row, this.unit);
    const siteText = this.site !== -1 && (ofSensor || target.quantity === 'heart-rate') ? this.textAt(row, this.site) : '';
    const sensorText = this.sensor !== -1 && ofSensor ? this.textAt(row, this.sensor) : '';
    const last = content.lastOf[target.id];
    if (last !== undefined && last.unitText === unitText && last.siteText === siteText && last.sensorText === sensorText) return last;
    const key = `${target.id}\u0000${unitText}\u0000${siteText}\u0000${sensorText}`;
    let series = content.series.get(key);
    if (series === undefined) {
      const found = siteText === '' ? null : findSite(siteText);
      const rule = columnRule({ heading: target.name, index: -2 }, this.context.rules);
      series = {
        target,
        // A heart rate at a site of a sensor is its pulse rate (as findQuantity has it for headings).
        quantity: target.quantity === 'heart-rate' && found !== null ? 'pulse-rate' : target.quantity,
        // What a person said of a name goes before the cells of a column of sites.
        site: rule?.site ?? found?.site ?? (siteText === '' || !ofSensor ? target.site : 'other'),
        sensor: rule?.sensor !== undefined ? rule.sensor : sensorText !== '' ? sensorText : found !== null && found.sensor !== '' ? found.sensor : target.sensor,
        unitText,
        siteText,
        sensorText,
        tMs: new GrowableFloat64(this.spill),
        line: new GrowableUint32(this.spill),
        value: new GrowableFloat64(this.spill),
        mark: new GrowableUint8(this.spill),
      };
      content.series.set(key, series);
    }
    content.lastOf[target.id] = series;
    return series;
  }

  finish(): TableResult {
    const guesses: Guess[] = [];
    const notes: string[] = [];
    const seen = new Set<string>();
    const readAs = new Map<NameTarget, { words: string; quantity: Quantity; site: Site | null }>();
    const cases: CaseReading[] = [];
    for (const slot of this.cases.slots) {
      const content = slot.content;
      let nDuplicates = 0;
      let nConflicts = 0;
      let firstConflictLine: number | null = null;
      const list = [...content.series.values()];
      for (const note of assignSensors(list.filter((series) => QUANTITY_FACTS[series.quantity].ofSensor))) if (!notes.includes(note)) notes.push(note);
      const channels: RawChannel[] = [];
      for (const series of list) {
        const column: ValueColumn = { quantity: series.quantity, value: series.value.take(), mark: series.mark.take() };
        const ordered = orderRows(series.tMs.take(), series.line.take(), [column]);
        nDuplicates += ordered.nDuplicates;
        nConflicts += ordered.nConflicts;
        if (ordered.firstConflictLine !== null) firstConflictLine = Math.min(firstConflictLine ?? Infinity, ordered.firstConflictLine);
        if (series.quantity === 'other' && isConstant(column.value)) continue;
        const statedUnit = columnRule({ heading: series.target.name, index: -2 }, this.context.rules)?.unit;
        const unitText = statedUnit ?? (series.unitText === '' ? series.target.unit : series.unitText);
        const settled = settleChannel(series.target.name, series.quantity, unitText, column.value, column.mark, statedUnit !== undefined);
        if (settled.guess !== null && !seen.has(settled.guess.field)) {
          seen.add(settled.guess.field);
          guesses.push(settled.guess);
        }
        if (settled.note !== null && !notes.includes(settled.note)) notes.push(settled.note);
        const ofSensor = QUANTITY_FACTS[settled.quantity].ofSensor;
        for (const lost of content.lostAt) if (ofSensor && fits(lost, series)) flagAt(ordered.tMs, column.mark, lost.tMs);
        channels.push({
          quantity: settled.quantity,
          label: series.target.name,
          unit: settled.unit,
          site: ofSensor ? series.site : null,
          sensor: ofSensor ? series.sensor : '',
          layout: 'long',
          tMs: ordered.tMs,
          value: column.value,
          mark: column.mark,
          line: ordered.line,
        });
        if (!readAs.has(series.target)) {
          const site = this.site === -1 ? series.site : null;
          readAs.set(series.target, { words: channelWords(settled.quantity, ofSensor ? site : null, ofSensor ? series.sensor : '', settled.unit), quantity: settled.quantity, site: ofSensor ? series.site : null });
        }
      }
      const reading: CaseReading = { caseKey: slot.key, channels, events: content.events, drugs: content.drugs, attributes: {}, nDuplicates, nConflicts, firstConflictLine };
      cases.push(this.context.shelf?.setAside(reading) ?? reading);
      content.series.clear();
    }
    for (const target of this.targetsByName.values()) {
      const assumption = target.kind === 'quantity' ? (quantityOfName(target.name)?.assumption ?? null) : null;
      if (assumption === null || columnRule({ heading: target.name, index: -2 }, this.context.rules) !== undefined) continue;
      guesses.push({
        field: `columns.${target.name}`,
        taken: `"${target.name}" is read as ${QUANTITY_FACTS[target.quantity].name}.`,
        because: assumption,
        certainty: 'assumed',
        alternatives: [{ label: 'Leave these rows out', rules: { columns: { [target.name]: { role: 'ignore' } } } }],
      });
    }
    for (const target of this.targetsByName.values()) {
      if (target.quantity !== 'spo2' || !/^SaO2$/i.test(target.name) || columnRule({ heading: target.name, index: -2 }, this.context.rules) !== undefined) continue;
      guesses.push({
        field: `columns.${target.name}`,
        taken: `"${target.name}" is read as SpO2.`,
        because: 'the table has no other saturation, and arterial samples are not charted again and again',
        certainty: 'assumed',
        alternatives: [{ label: 'Leave these rows out', rules: { columns: { [target.name]: { role: 'ignore' } } } }],
      });
    }
    for (const [marks, count] of this.marks) notes.push(`The mark ${marks} stands beside ${countWords(count, 'value; the value was', 'values; the values were')} kept.`);
    if (this.nRepeatedTexts > 0) notes.push(`${countWords(this.nRepeatedTexts, 'text only repeats', 'texts only repeat')} what the same name said before; each was kept once, where it begins.`);
    if (this.nWordsForValues > 0) notes.push(`${countWords(this.nWordsForValues, 'row holds words in the place of a number; it was', 'rows hold words in the place of a number; they were')} kept as notes.`);
    if (this.nFlagged > 0) notes.push(`${countWords(this.nFlagged, 'row carries', 'rows carry')} the export's own flag that the sensor gave no current value; ${this.nFlagged === 1 ? 'its values' : 'their values'} are kept and marked.`);
    if (this.nFlaggedCells > 0) notes.push(`${countWords(this.nFlaggedCells, 'cell carries', 'cells carry')} a word or sign that the mapping says marks an artefact; ${this.nFlaggedCells === 1 ? 'its value is' : 'their values are'} kept and marked.`);
    return { cases, columns: [...this.context.plan.columns.map((column) => this.plainColumnReport(column)), ...this.reportNames(readAs)], guesses, notes };
  }

  private reportNames(readAs: ReadonlyMap<NameTarget, { words: string; quantity: Quantity; site: Site | null }>): ColumnReport[] {
    return [...this.targetsByName.values()].map((target) => {
      const read = readAs.get(target);
      const words =
        target.kind === 'drug' ? 'drug' : target.kind === 'event' ? 'event' : target.kind === 'status' ? 'status of the sensor' : target.kind === 'identifier' ? `not kept (${target.identity ?? 'identifies a person'})` : target.kind === 'ignore' ? 'not used (as stated)' : (read !== undefined ? `${read.words}${target.nTexts > 0 ? '; words as events' : ''}` : target.nTexts > 0 ? 'events' : 'not used (the same in every row)');
      return { heading: target.name, readAs: words, quantity: read?.quantity ?? null, site: read?.site ?? null, values: target.nValues, missing: target.nMissing };
    });
  }
}

function isConstant(value: Float64Array): boolean {
  let first = NaN;
  for (let i = 0; i < value.length; i += 1) {
    const v = value[i] as number; // i < length
    if (v !== v) continue; // only NaN differs from itself
    if (Number.isNaN(first)) first = v;
    else if (v !== first) return false;
  }
  return true;
}

function fits(lost: { readonly site: Site; readonly sensor: string }, series: SensorEntry): boolean {
  return (lost.site === 'unstated' || lost.site === series.site) && (lost.sensor === '' || lost.sensor === series.sensor);
}

/** Marks the sample at an instant, if there is one. */
function flagAt(tMs: Float64Array, mark: Uint8Array, at: number): void {
  let lo = 0;
  let hi = tMs.length;
  while (lo < hi) {
    const mid = (lo + hi) >>> 1;
    if ((tMs[mid] ?? 0) < at) lo = mid + 1;
    else hi = mid;
  }
  if (tMs[lo] === at) mark[lo] = (mark[lo] ?? 0) | MARK.flagged;
}
