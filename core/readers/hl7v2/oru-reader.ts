import { MARK } from '../../model/channel.ts';
import type { ColumnReport, Guess, Withheld } from '../../model/import-report.ts';
import type { ReadingRules } from '../../model/mapping.ts';
import type { IdentifierKind } from '../../identity/identifier-heading.ts';
import { normalizeMeasureUnit } from '../../terms/measure-unit.ts';
import { DAY_MS } from '../../time/civil.ts';
import type { ZoneClock } from '../../time/zone-clock.ts';
import { nameOfCodings, siteOfCodings } from '../coded-name.ts';
import { IdentityNotes } from '../identity-notes.ts';
import { markManual } from '../mark-manual.ts';
import type { PhraseBook } from '../phrase-book.ts';
import type { CaseReading } from '../reading.ts';
import type { RowAccount } from '../row-account.ts';
import { readSaid, type SaidText } from '../said-text.ts';
import type { StatedWords } from '../stated-words.ts';
import { StayKeys } from '../stay-keys.ts';
import { Tally } from '../tally.ts';
import { ValueBook, type BookName, type BookSlot, type ValuePlace } from '../value-book.ts';
import { delimitersOf, readStamp, Segment, type Delimiters } from './message-text.ts';

interface Slot {
  readonly book: BookSlot;
  readonly said: SaidText[];
  bornOnDay: number | null;
}

/** What the segments before an observation say of it. */
interface Message {
  readonly signs: Delimiters;
  readonly isResult: boolean;
  /** Minutes east of UTC that the header states for times without an offset of their own, NaN when it states none. */
  readonly offsetMin: number;
  person: string;
  stay: string;
  bornOnDay: number | null;
  /** OBR-7: the time of observations that have none of their own. */
  time: string;
}

/** Result states (OBX-11) in which an observation is not to be used. Source: HL7 table 0085, from memory. */
const NOT_TO_BE_USED: ReadonlyMap<string, string> = new Map([['D', 'deleted'], ['W', 'marked as wrong'], ['N', 'not asked for'], ['I', 'pending']]);
/** Flags of OBX-8 that say against the value beside them, and that there is none. Source: IHE device enterprise communication, from memory. */
const DOUBTED: ReadonlySet<string> = new Set(['INV', 'QUES', 'TEST', 'DEMO', 'CAL']);
const NOT_AVAILABLE = 'NAV';
/** Fields that identify persons. Source: HL7 v2.5.1 chapters 3 and 4, from memory; Safe Harbor, 45 CFR 164.514(b)(2)(i). */
const IDENTIFYING: ReadonlyMap<string, readonly (readonly [number: number, kind: IdentifierKind])[]> = new Map([
  ['PID', [[2, 'record number'], [3, 'record number'], [4, 'record number'], [5, 'name'], [6, 'name'], [7, 'birth date'], [9, 'name'], [11, 'address'], [13, 'contact'], [14, 'contact'], [18, 'record number'], [19, 'record number'], [20, 'record number'], [21, 'record number'], [23, 'address']]],
  ['NK1', [[2, 'name'], [4, 'address'], [5, 'contact'], [6, 'contact'], [30, 'name'], [31, 'contact'], [32, 'address']]],
  ['PV1', [[5, 'record number'], [7, 'name'], [8, 'name'], [9, 'name'], [17, 'name'], [19, 'record number'], [50, 'record number'], [52, 'name']]],
  ['IN1', [[2, 'record number'], [16, 'name'], [18, 'birth date'], [19, 'address'], [36, 'record number'], [49, 'record number']]],
  ['GT1', [[2, 'record number'], [3, 'name'], [5, 'address'], [6, 'contact'], [12, 'record number']]],
  ['OBR', [[10, 'name'], [16, 'name'], [17, 'contact'], [28, 'name'], [32, 'name'], [33, 'name'], [34, 'name'], [35, 'name']]],
  ['OBX', [[16, 'name'], [18, 'other number']]],
]);
const WORDS: ReadonlySet<string> = new Set(['ST', 'TX', 'FT']);
const CODES: ReadonlySet<string> = new Set(['CE', 'CWE', 'CNE']);
const NUMBER = /^[-+]?(?:\d+\.?\d*|\.\d+)$/;

export interface OruResult {
  readonly cases: readonly CaseReading[];
  readonly columns: readonly ColumnReport[];
  readonly guesses: readonly Guess[];
  readonly notes: readonly string[];
  readonly areKeysMasked: boolean;
  readonly withheld: readonly Withheld[];
  readonly identifiersSeen: readonly string[];
}

/**
 * Takes the segments of one file in order. Rows are the observations (OBX) of result messages (ORU^R01), and what is no segment.
 * Source: HL7 v2.5.1 chapters 2 and 7, from memory; codes: handbook 8.1 and 8.2.
 */
export class OruReader {
  /** First offset from UTC met, NaN before, and the times without one. */
  offsetMin = NaN;
  nLocal = 0;
  private nMessages = 0;
  private readonly book: ValueBook;
  private readonly slots = new Map<string, Slot>();
  private readonly keys = new StayKeys();
  private readonly otherMessages = new Tally();
  private readonly comparators = new Tally();
  private readonly absent = new Tally();
  private readonly identity: IdentityNotes;
  private message: Message | null = null;
  private nDateOnly = 0;
  private nDoubted = 0;
  private nCorrected = 0;

  constructor(
    private readonly account: RowAccount,
    private readonly zone: ZoneClock | null,
    private readonly rules: ReadingRules | null,
    private readonly phrases: PhraseBook,
    words: StatedWords,
    private readonly keepIdentifiers: boolean,
  ) {
    this.book = new ValueBook(rules, words);
    this.identity = new IdentityNotes(!keepIdentifiers);
  }

  /** Takes one segment as text. */
  segment(text: string, line: number): void {
    if (/^(?:MSH|FHS|BHS)/.test(text)) {
      this.header(text, line);
      return;
    }
    if (!/^[A-Z][A-Z0-9]{2}(?![A-Za-z0-9])/.test(text)) {
      this.account.rejectText(line, 'no segment', '');
      return;
    }
    const { message } = this;
    if (message === null) {
      if (text.startsWith('OBX')) this.account.rejectText(line, 'observation before any message header', '');
      return;
    }
    if (!message.isResult) return;
    const segment = new Segment(text, message.signs);
    this.noteIdentity(segment, line);
    switch (segment.id) {
      case 'PID': {
        const born = readStamp(segment.component(7)).ms;
        message.bornOnDay = Number.isNaN(born) ? null : Math.floor(born / DAY_MS);
        message.person = segment.component(3) !== '' ? `patient ${segment.component(3)}` : segment.component(2) !== '' ? `patient ${segment.component(2)}` : '';
        if (message.stay === '' && segment.component(18) !== '') message.stay = `account ${segment.component(18)}`;
        return;
      }
      case 'PV1':
        if (segment.component(19) !== '') message.stay = `visit ${segment.component(19)}`;
        return;
      case 'OBR':
        message.time = segment.component(7);
        return;
      case 'OBX':
        this.observation(segment, message, line);
    }
  }

  /** Counts the fields that identify patient, relatives and staff, and remembers what they say. */
  private noteIdentity(segment: Segment, line: number): void {
    for (const [number, kind] of IDENTIFYING.get(segment.id) ?? []) {
      const isKey = (segment.id === 'PID' && (number === 3 || number === 18)) || (segment.id === 'PV1' && number === 19);
      for (const one of segment.repetitions(number)) {
        const parts = one.split(segment.componentSign).map((part) => segment.plain(part)).filter((part) => part !== '');
        if (parts.length === 0) continue;
        this.identity.take(`${segment.id}-${number}`, kind, parts.slice(0, kind === 'name' ? 3 : 1).join(' '), line, isKey ? 'replaced by a code' : 'left out');
        for (const part of parts.slice(0, 6)) if (part.length >= 4 || kind === 'name') this.identity.see(part);
      }
    }
  }

  private header(text: string, line: number): void {
    const signs = delimitersOf(text);
    if (signs === null) {
      this.message = null;
      this.account.rejectText(line, 'message header that declares no separators', '');
      return;
    }
    if (!text.startsWith('MSH')) return;
    const segment = new Segment(text, signs);
    const kind = [segment.component(9, 1), segment.component(9, 2)].filter((part) => part !== '').join('^');
    const isResult = kind === 'ORU^R01' || kind === 'ORU';
    if (isResult) this.nMessages += 1;
    else this.otherMessages.add(kind);
    this.message = { signs, isResult, offsetMin: readStamp(segment.component(7)).offsetMin, person: '', stay: '', bornOnDay: null, time: '' };
  }

  private observation(segment: Segment, message: Message, line: number): void {
    const codings = segment.codings(3);
    const reject = (reason: string): void => this.account.rejectText(line, reason, ['OBX', codings[0]?.display ?? '', codings[0]?.code ?? '', segment.component(14)].filter((part) => part !== '').join(' | '));
    const status = segment.component(11);
    const refused = NOT_TO_BE_USED.get(status);
    if (refused !== undefined) {
      reject(refused);
      return;
    }
    if (codings.length === 0) {
      reject('no code that says what was measured');
      return;
    }
    const own = segment.component(14);
    const tMs = this.timeOf(own === '' ? message.time : own, message);
    if (Number.isNaN(tMs)) {
      reject(own === '' && message.time === '' ? 'no time' : 'time not readable');
      return;
    }
    const name = this.book.name(codings.map(({ system, code, display }) => `${system} ${code === '' ? display : code}`).join(' '), () => nameOfCodings(codings, ''));
    const problem = this.value(segment, message, name, tMs, status, line);
    if (problem !== null) {
      reject(problem);
      return;
    }
    if (status === 'C') this.nCorrected += 1;
    this.account.accept();
  }

  private timeOf(text: string, message: Message): number {
    const stamp = readStamp(text);
    if (Number.isNaN(stamp.ms)) return NaN;
    if (!stamp.hasClock) this.nDateOnly += 1;
    const offsetMin = Number.isNaN(stamp.offsetMin) ? message.offsetMin : stamp.offsetMin;
    if (!Number.isNaN(offsetMin)) {
      if (Number.isNaN(this.offsetMin)) this.offsetMin = offsetMin;
      return Number.isNaN(stamp.offsetMin) ? stamp.ms - offsetMin * 60_000 : stamp.ms;
    }
    this.nLocal += 1;
    return this.zone === null ? stamp.ms : this.zone.toUtc(stamp.ms, -Infinity);
  }

  /** Takes the value of an observation; returns why it cannot be used, null when it was. */
  private value(segment: Segment, message: Message, name: BookName, tMs: number, status: string, line: number): string | null {
    const type = segment.component(2);
    const flags = segment.repetitions(8).map((flag) => segment.plain(flag));
    const isMissing = status === 'X' || flags.includes(NOT_AVAILABLE);
    const isDoubted = flags.some((flag) => DOUBTED.has(flag) || (flag !== '' && (name.said?.withoutFlag(flag) ?? null) !== null));
    const add = (value: number, mark: number): string | null => {
      if (isDoubted) this.nDoubted += 1;
      return this.book.add(this.slotOf(message).book, name, placeOf(segment), unitOf(segment), tMs, value, isDoubted ? mark | MARK.flagged : mark, line);
    };
    if (isMissing) {
      this.absent.add(status === 'X' ? 'could not be obtained' : 'not available');
      return add(NaN, MARK.sentinel);
    }
    if (type === 'NA' || type === 'MA') return 'an array of numbers, not a trend';
    const isWords = WORDS.has(type);
    if (!isWords && segment.repetitions(5).length > 1) return 'several values in one observation';
    if (type === 'SN' && segment.component(5, 3) !== '') return 'a range or ratio, not one value';
    // Structured numerics carry a sign and a number; codes a code and its text; lines of a text are repetitions.
    const comparator = type === 'SN' ? segment.component(5, 1) : '';
    const text = type === 'SN' ? segment.component(5, 2) : CODES.has(type) ? segment.component(5, 2) || segment.component(5, 1) : segment.repetitions(5).map((one) => segment.plain(one)).join(' ').trim();
    if (text === '') return add(NaN, MARK.empty);
    if (text === '""') return add(NaN, MARK.sentinel);
    if (NUMBER.test(text) && Number.isFinite(Number(text))) {
      if (comparator !== '' && comparator !== '=') this.comparators.add(comparator);
      return add(Number(text), MARK.none);
    }
    const taken = this.book.addText(this.slotOf(message).book, name, placeOf(segment), tMs, text, isDoubted ? MARK.flagged : MARK.none, line);
    if (taken !== undefined) return taken;
    if (type === 'NM' || type === 'SN' || name.quantity !== 'other') return 'no value that can be read';
    this.slotOf(message).said.push({ words: name.words, text, tMs, line });
    name.nValues += 1;
    name.readAs ??= { words: 'events', quantity: 'other', site: null };
    return null;
  }

  private slotOf(message: Message): Slot {
    const key = this.keys.see(message.stay, message.person);
    let slot = this.slots.get(key);
    if (slot === undefined) {
      slot = { book: this.book.slot(), said: [], bornOnDay: null };
      this.slots.set(key, slot);
    }
    slot.bornOnDay ??= message.bornOnDay;
    return slot;
  }

  /** Returns what was read. Called once, after the last segment. */
  finish(): OruResult {
    const isFixed = this.rules?.caseId !== undefined;
    const slots = new Map<string, Slot>();
    const caseOf = this.keys.cases();
    for (const [key, slot] of this.slots) {
      const target = isFixed ? '' : (caseOf.get(key) ?? key);
      const own = slots.get(target);
      if (own === undefined) {
        slots.set(target, slot);
        continue;
      }
      this.book.merge(slot.book, own.book);
      for (const said of slot.said) own.said.push(said);
      own.bornOnDay ??= slot.bornOnDay;
    }
    let nRepeated = 0;
    const guesses: Guess[] = [];
    const cases = [...slots].map(([key, slot]): CaseReading => {
      const settled = this.book.settle(slot.book, () => null);
      const { drugs, events, nDropped } = readSaid(slot.said, this.phrases);
      nRepeated += nDropped;
      return {
        caseKey: isFixed ? (this.rules.caseId ?? null) : key === '' ? null : key,
        events,
        drugs,
        attributes: {},
        ...(slot.bornOnDay === null ? {} : { bornOnDay: slot.bornOnDay }),
        ...settled,
      };
    });
    const marked = markManual(cases, guesses);
    return {
      cases: marked,
      columns: this.book.columns(),
      guesses: [...this.book.guesses, ...guesses],
      notes: [...this.book.notes, ...this.countNotes(nRepeated, slots)],
      withheld: this.identity.entries(),
      identifiersSeen: this.identity.seen,
      areKeysMasked: !isFixed && !this.keepIdentifiers && this.keys.hasKeys,
    };
  }

  private countNotes(nRepeated: number, slots: ReadonlyMap<string, Slot>): string[] {
    const notes = [`Result messages (ORU^R01): ${this.nMessages}.`];
    if (this.otherMessages.total > 0) notes.push(`Messages of other kinds were left out: ${this.otherMessages.words()}.`);
    if (!this.keepIdentifiers && this.keys.hasKeys && this.rules?.caseId === undefined) notes.push('Numbers of patients and visits only keep cases apart; they are not kept, nor is anything else of PID and PV1.');
    if (slots.size > 1 && slots.has('')) notes.push('Some messages name neither visit nor patient: they make a case of their own, named after the folder.');
    if (this.absent.total > 0) notes.push(`Values that are missing for a stated reason: ${this.absent.words()}.`);
    if (this.nDoubted > 0) notes.push(`${this.nDoubted} values carry a flag that says against them; they are kept and marked.`);
    if (this.comparators.total > 0) notes.push(`A sign stands before values (${this.comparators.words()}); the values were kept.`);
    if (this.nCorrected > 0) notes.push(`${this.nCorrected} observations are corrections of earlier ones.`);
    if (this.nDateOnly > 0) notes.push(`${this.nDateOnly} times are a date without a clock time; they stand at its midnight.`);
    if (nRepeated > 0) notes.push(`${nRepeated} texts only repeat what was said before; each was kept once, where it begins.`);
    return notes;
  }
}

/** The unit in the first spelling that is known, else as written. */
function unitOf(segment: Segment): string {
  const spellings = [1, 2, 4, 5].map((component) => segment.component(6, component)).filter((spelling) => spelling !== '');
  return spellings.find((spelling) => normalizeMeasureUnit(spelling) !== null) ?? spellings[0] ?? '';
}

/** OBX-20 names the site; OBX-18, or the device part of OBX-4 (`1.2.3.4`: system, device, channel, metric), the device. */
function placeOf(segment: Segment): ValuePlace {
  const site = siteOfCodings(segment.codings(20), '');
  const contained = /^(\d+\.\d+\.\d+)\.\d+$/.exec(segment.component(4))?.[1] ?? '';
  return { site: site?.site ?? null, sensor: site?.sensor ?? '', device: segment.component(18) !== '' ? segment.component(18) : contained };
}
