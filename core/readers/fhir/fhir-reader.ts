import { MARK } from '../../model/channel.ts';
import type { ColumnReport, Guess, Withheld } from '../../model/import-report.ts';
import type { ReadingRules } from '../../model/mapping.ts';
import type { Site } from '../../model/site.ts';
import { daysFromCivil } from '../../time/civil.ts';
import { findDrug } from '../../terms/find-drug.ts';
import { findSite } from '../../terms/find-site.ts';
import { parseEvents } from '../../terms/parse-event.ts';
import { nameOfCodings, siteOfCodings, type Coding } from '../coded-name.ts';
import { readAdministration, readNote, type ReadEntry } from '../entry-text.ts';
import { IdentityNotes } from '../identity-notes.ts';
import { markManual } from '../mark-manual.ts';
import type { PhraseBook } from '../phrase-book.ts';
import type { CaseReading, RawDrug, RawEvent } from '../reading.ts';
import type { RowAccount } from '../row-account.ts';
import { readSaid, type SaidText } from '../said-text.ts';
import type { StatedWords } from '../stated-words.ts';
import { StayKeys } from '../stay-keys.ts';
import { Tally } from '../tally.ts';
import { ValueBook, type BookName, type BookSlot, type ValuePlace } from '../value-book.ts';
import { asNode, DECIMAL, nodeAt, nodesAt, numberAt, textAt, textsAt, type FhirNode } from './element.ts';
import type { FhirTime, FhirSpan } from './fhir-time.ts';
import { addressKey, codingsOf, referenceKey, wordsOfConcept } from './references.ts';
import { readSampledData } from './sampled-data.ts';

/** Samples closer than this are a wave, not a trend. Common practice without source: trends are stored once a second at most. */
const WAVE_PERIOD_MS = 500;
/** A dose given over longer than this is an infusion of a total dose. Common practice without source. */
const LONGEST_BOLUS_MS = 300_000;
/** Names of drugs and procedures are cut off here. */
const MAX_WORDS = 500;

interface Given {
  readonly resource: FhirNode;
  readonly span: FhirSpan;
  readonly medication: string;
  readonly codings: readonly Coding[];
  readonly words: string;
  readonly line: number;
}

interface Slot {
  readonly book: BookSlot;
  readonly said: SaidText[];
  readonly given: Given[];
  readonly events: RawEvent[];
  subject: string;
}

interface Medication {
  readonly codings: readonly Coding[];
  readonly words: string;
}

export interface FhirResult {
  readonly cases: readonly CaseReading[];
  readonly columns: readonly ColumnReport[];
  readonly guesses: readonly Guess[];
  readonly notes: readonly string[];
  readonly areKeysMasked: boolean;
  readonly withheld: readonly Withheld[];
  readonly identifiersSeen: readonly string[];
}

/** Types of persons. */
const PERSONS: ReadonlySet<string> = new Set(['Patient', 'Practitioner', 'PractitionerRole', 'RelatedPerson', 'Person']);
/** Types that say nothing that is kept as a value, a drug or an event, but that others point to. */
const POINTED_TO: ReadonlySet<string> = new Set(['Device', 'DeviceMetric', 'Medication', 'Encounter']);

/**
 * Takes the resources of one file in any order and makes cases of them. An Observation, a MedicationAdministration and a
 * Procedure are rows: accepted, or rejected with a reason. Other resources are counted; nothing of a Patient is kept.
 * Source: HL7 FHIR R4; handbook 8.5.
 */
export class FhirReader {
  private readonly book: ValueBook;
  private readonly slots = new Map<string, Slot>();
  private readonly keys = new StayKeys();
  private readonly devices = new Map<string, string>();
  private readonly medications = new Map<string, Medication>();
  private readonly identity: IdentityNotes;
  private readonly bornOnDay = new Map<string, number>();
  private readonly leftOut = new Tally();
  private readonly absent = new Tally();
  private readonly comparators = new Tally();
  private readonly problems = new Tally();
  private nGrouping = 0;
  private nBeyond = 0;
  private nEdited = 0;
  private nDurations = 0;

  constructor(
    private readonly account: RowAccount,
    private readonly time: FhirTime,
    private readonly rules: ReadingRules | null,
    private readonly phrases: PhraseBook,
    words: StatedWords,
    private readonly keepIdentifiers: boolean,
  ) {
    this.book = new ValueBook(rules, words);
    this.identity = new IdentityNotes(!keepIdentifiers);
  }

  /** Takes whatever stood in the file as one value: a resource, or a Bundle's entry around one. */
  take(value: unknown, line: number): void {
    const node = asNode(value);
    if (node === null) {
      this.account.rejectText(line, 'no resource', '');
      return;
    }
    const resource = nodeAt(node, 'resource');
    if (textAt(node, 'resourceType') === '' && resource !== null) this.resource(resource, textAt(node, 'fullUrl'), line);
    else this.resource(node, '', line);
  }

  /** Takes one resource; `fullUrl` is the address that a Bundle gives it. */
  resource(resource: FhirNode, fullUrl: string, line: number): void {
    const type = textAt(resource, 'resourceType');
    const id = textAt(resource, 'id');
    if (fullUrl !== '' && id !== '') this.keys.alias(addressKey(fullUrl), `${type}/${id}`);
    const key = id === '' ? addressKey(fullUrl) : `${type}/${id}`;
    this.noteIdentity(resource, type, key, line);
    switch (type) {
      case 'Bundle':
        for (const entry of nodesAt(resource, 'entry')) this.take(entry, line);
        return;
      case 'Observation':
        this.observation(resource, line);
        return;
      case 'MedicationAdministration':
        this.administration(resource, line);
        return;
      case 'Procedure':
        this.procedure(resource, line);
        return;
      case 'Device':
        this.devices.set(key, deviceWords(resource));
        break;
      case 'Medication': {
        const code = nodeAt(resource, 'code');
        this.medications.set(key, { codings: codingsOf(code), words: wordsOfConcept(code) });
        break;
      }
    }
    if (!/^[A-Z][A-Za-z]{1,50}$/.test(type)) {
      this.account.rejectText(line, type === '' ? 'entry without a resource' : 'no type of resource', '');
      return;
    }
    this.leftOut.add(type);
  }

  /** Counts what identifies persons in a resource, and remembers it. */
  private noteIdentity(resource: FhirNode, type: string, key: string, line: number): void {
    const { identity } = this;
    for (const name of nodesAt(resource, 'name')) {
      const words = [...textsAt(name, 'given'), textAt(name, 'family')].filter((part) => part !== '').join(' ');
      identity.take(`${type}.name`, 'name', words === '' ? textAt(name, 'text') : words, line);
    }
    if (PERSONS.has(type)) {
      for (const own of nodesAt(resource, 'identifier')) identity.take(`${type}.identifier`, 'record number', textAt(own, 'value'), line);
      for (const own of nodesAt(resource, 'telecom')) identity.take(`${type}.telecom`, 'contact', textAt(own, 'value'), line);
      for (const own of nodesAt(resource, 'address')) {
        const lines = textsAt(own, 'line');
        identity.take(`${type}.address`, 'address', [...lines, textAt(own, 'city')].filter((part) => part !== '').join(', '), line);
        for (const part of [...lines, textAt(own, 'city'), textAt(own, 'postalCode')]) identity.see(part);
      }
      const birth = textAt(resource, 'birthDate');
      identity.take(`${type}.birthDate`, 'birth date', birth, line);
      const date = /^(\d{4})-(\d{2})-(\d{2})$/.exec(birth);
      if (date !== null && type === 'Patient') this.bornOnDay.set(key, daysFromCivil(Number(date[1]), Number(date[2]), Number(date[3])));
    }
    if (type === 'Encounter') for (const own of nodesAt(resource, 'identifier')) identity.take('Encounter.identifier', 'record number', textAt(own, 'value'), line);
    if (type === 'Device') {
      for (const name of ['serialNumber', 'lotNumber']) identity.take(`Device.${name}`, 'other number', textAt(resource, name), line);
      for (const own of nodesAt(resource, 'identifier')) identity.take('Device.identifier', 'other number', textAt(own, 'value'), line);
    }
    for (const [name, node] of [['subject', nodeAt(resource, 'subject')], ...nodesAt(resource, 'performer').map((own) => ['performer', nodeAt(own, 'actor') ?? own] as const), ...nodesAt(resource, 'participant').map((own) => ['participant', nodeAt(own, 'individual')] as const)] as const) {
      identity.take(`${type}.${name}`, 'name', textAt(node, 'display'), line);
    }
    if (type === 'Observation' || type === 'MedicationAdministration' || type === 'Procedure') {
      const stay = referenceKey(nodeAt(resource, 'encounter') ?? nodeAt(resource, 'context'));
      const subject = referenceKey(nodeAt(resource, 'subject'));
      if (stay !== '') identity.take('encounter', 'record number', stay.slice(stay.lastIndexOf('/') + 1), line, 'replaced by a code');
      if (subject !== '') identity.take('subject', 'record number', subject.slice(subject.lastIndexOf('/') + 1), line, stay === '' ? 'replaced by a code' : 'left out');
    }
  }

  private reject(resource: FhirNode, line: number, reason: string): void {
    const type = textAt(resource, 'resourceType');
    const code = wordsOfConcept(nodeAt(resource, 'code'));
    const time = ['effectiveDateTime', 'performedDateTime'].map((name) => textAt(resource, name)).find((text) => text !== '') ?? '';
    this.account.rejectText(line, reason, [type, code, time].filter((part) => part !== '').join(' | '));
  }

  /** Returns the slot of a resource's case: that of its encounter, else of its subject, else the one without a name. */
  private slotOf(resource: FhirNode): Slot {
    const encounter = referenceKey(nodeAt(resource, 'encounter') ?? nodeAt(resource, 'context'));
    const subject = referenceKey(nodeAt(resource, 'subject'));
    const key = this.keys.see(encounter, subject);
    let slot = this.slots.get(key);
    if (slot === undefined) {
      slot = { book: this.book.slot(), said: [], given: [], events: [], subject };
      this.slots.set(key, slot);
    }
    if (slot.subject === '') slot.subject = subject;
    return slot;
  }

  private observation(resource: FhirNode, line: number): void {
    const status = textAt(resource, 'status');
    if (status === 'entered-in-error' || status === 'cancelled') {
      this.reject(resource, line, status === 'cancelled' ? 'cancelled' : 'entered in error');
      return;
    }
    const components = nodesAt(resource, 'component');
    if (valueNameOf(resource) === null && components.length === 0 && nodeAt(resource, 'dataAbsentReason') === null && nodesAt(resource, 'hasMember').length > 0) {
      this.nGrouping += 1;
      return;
    }
    const span = this.time.span(resource, 'effective');
    if (span === null) {
      this.reject(resource, line, 'no time that is exact to the day');
      return;
    }
    const place = this.placeOf(resource);
    const slot = this.slotOf(resource);
    const isOfLaboratory = nodeAt(resource, 'specimen') !== null || nodesAt(resource, 'category').some((category) => codingsOf(category).some((coding) => coding.code === 'laboratory'));
    const parts = components.length > 0 && valueNameOf(resource) === null && nodeAt(resource, 'dataAbsentReason') === null ? components : [resource, ...components];
    const reasons = parts.map((part) => this.value(part, slot, place, span, isOfLaboratory, line));
    const [reason] = reasons;
    if (reason !== undefined && reason !== null && reasons.every((one) => one !== null)) {
      this.reject(resource, line, reason);
      return;
    }
    for (const one of reasons) if (one !== null) this.problems.add(one);
    if (status === 'amended' || status === 'corrected') this.nEdited += 1;
    this.account.accept();
  }

  private placeOf(resource: FhirNode): ValuePlace {
    const bodySite = nodeAt(resource, 'bodySite');
    const site = bodySite === null ? null : siteOfCodings(codingsOf(bodySite), textAt(bodySite, 'text'));
    const device = nodeAt(resource, 'device');
    let key = referenceKey(device);
    const contained = nodesAt(resource, 'contained').find((own) => key === `#${textAt(own, 'id')}`);
    if (contained !== undefined) {
      // What lies inside a resource has no address of its own: its words are all that makes it the same device again.
      key = `contained ${deviceWords(contained)}`;
      this.devices.set(key, deviceWords(contained));
    }
    const display = textAt(device, 'display');
    if (key === '') key = display;
    if (display !== '' && !this.devices.has(key)) this.devices.set(key, display);
    return { site: site?.site ?? null, sensor: site?.sensor ?? '', device: key };
  }

  /** Takes the value of an Observation or of one component; returns why it cannot be used, null when it was. */
  private value(part: FhirNode, slot: Slot, place: ValuePlace, span: FhirSpan, isOfLaboratory: boolean, line: number): string | null {
    const name = this.nameOf(nodeAt(part, 'code'), isOfLaboratory);
    if (name === null) return 'no code that says what was measured';
    const kind = valueNameOf(part);
    const absent = nodeAt(part, 'dataAbsentReason');
    if (kind === null) {
      if (absent === null) return 'no value and no reason why there is none';
      const why = codingsOf(absent).find((coding) => coding.code !== '')?.code ?? wordsOfConcept(absent);
      this.absent.add(why);
      return this.book.add(slot.book, name, place, '', span.startMs, NaN, MARK.sentinel, line);
    }
    const said = nodesAt(part, 'interpretation').flatMap((concept) => [wordsOfConcept(concept), ...codingsOf(concept).map((coding) => coding.code)]);
    const isMarked = name.said !== null && said.some((words) => words !== '' && name.said?.withoutFlag(words) !== null);
    const mark = absent === null && !isMarked ? MARK.none : MARK.flagged;
    switch (kind) {
      case 'valueQuantity': {
        const quantity = nodeAt(part, kind);
        const value = numberAt(quantity, 'value');
        if (Number.isNaN(value)) return 'no value that can be read';
        const comparator = textAt(quantity, 'comparator');
        if (comparator !== '') this.comparators.add(comparator);
        if (span.endMs !== null) this.nDurations += 1;
        return this.book.add(slot.book, name, place, unitOf(quantity), span.startMs, value, mark, line);
      }
      case 'valueInteger':
      case 'valueDecimal': {
        const value = numberAt(part, kind);
        if (Number.isNaN(value)) return 'no value that can be read';
        return this.book.add(slot.book, name, place, '', span.startMs, value, mark, line);
      }
      case 'valueSampledData':
        return this.samples(part, name, slot, place, span, line);
      case 'valueString':
      case 'valueCodeableConcept':
        return this.text(kind === 'valueString' ? textAt(part, kind) : wordsOfConcept(nodeAt(part, kind)), name, slot, place, span, mark, line);
      default:
        return `a kind of value that is not read (${kind})`;
    }
  }

  private nameOf(code: FhirNode | null, isOfLaboratory: boolean): BookName | null {
    const codings = codingsOf(code);
    const text = textAt(code, 'text');
    if (text === '' && codings.every((coding) => coding.code === '' && coding.display === '')) return null;
    const key = codings.some((coding) => coding.code !== '') ? codings.map((coding) => `${coding.system} ${coding.code}`).join(' ') : text;
    return this.book.name(isOfLaboratory ? `${key} laboratory` : key, () => {
      const name = nameOfCodings(codings, text);
      // 2708-6 alone is any arterial saturation; the laboratory's is that of a blood sample.
      const isOfBlood = isOfLaboratory && name.quantity === 'spo2' && name.sensor === '' && !codings.some((coding) => coding.code === '59408-5' || coding.code === '150456');
      if (!isOfBlood) return name;
      return { ...name, quantity: 'other', site: null, warning: `"${name.label}" comes from the laboratory: it is kept and not taken for SpO2.` };
    });
  }

  private samples(part: FhirNode, name: BookName, slot: Slot, place: ValuePlace, span: FhirSpan, line: number): string | null {
    const data = nodeAt(part, 'valueSampledData');
    const samples = data === null ? 'no value that can be read' : readSampledData(data);
    if (typeof samples === 'string') return samples;
    if (samples.periodMs < WAVE_PERIOD_MS && name.quantity === 'other') return 'a wave, not a trend';
    const unit = unitOf(nodeAt(data, 'origin'));
    let problem: string | null = null;
    samples.value.forEach((value, i) => {
      problem ??= this.book.add(slot.book, name, place, unit, span.startMs + i * samples.periodMs, value, samples.mark[i] ?? MARK.none, line);
    });
    this.nBeyond += samples.nBeyond;
    return problem;
  }

  private text(text: string, name: BookName, slot: Slot, place: ValuePlace, span: FhirSpan, mark: number, line: number): string | null {
    if (text === '') return 'no value that can be read';
    const isNumber = DECIMAL.test(text) && Number.isFinite(Number(text));
    if (isNumber) return this.book.add(slot.book, name, place, '', span.startMs, Number(text), mark, line);
    const taken = this.book.addText(slot.book, name, place, span.startMs, text, mark, line);
    if (taken !== undefined) return taken;
    if (name.quantity !== 'other') return 'no value that can be read';
    slot.said.push({ words: name.words, text, tMs: span.startMs, line });
    name.nValues += 1;
    name.readAs ??= { words: 'events', quantity: 'other', site: null };
    return null;
  }

  private administration(resource: FhirNode, line: number): void {
    const status = textAt(resource, 'status');
    if (status === 'entered-in-error' || status === 'not-done') {
      this.reject(resource, line, status === 'not-done' ? 'not done' : 'entered in error');
      return;
    }
    const span = this.time.span(resource, 'effective');
    if (span === null) {
      this.reject(resource, line, 'no time that is exact to the day');
      return;
    }
    const concept = nodeAt(resource, 'medicationCodeableConcept');
    const reference = nodeAt(resource, 'medicationReference');
    const key = referenceKey(reference);
    const contained = nodesAt(resource, 'contained').find((own) => key === `#${textAt(own, 'id')}`);
    const own = concept ?? nodeAt(contained ?? null, 'code');
    const words = own === null ? textAt(reference, 'display') : wordsOfConcept(own);
    if (words === '' && key === '') {
      this.reject(resource, line, 'no drug named');
      return;
    }
    this.slotOf(resource).given.push({ resource, span, medication: key, codings: codingsOf(own), words, line });
    this.account.accept();
  }

  private procedure(resource: FhirNode, line: number): void {
    const status = textAt(resource, 'status');
    if (status === 'entered-in-error' || status === 'not-done' || status === 'preparation') {
      this.reject(resource, line, status === 'not-done' ? 'not done' : status === 'preparation' ? 'not begun' : 'entered in error');
      return;
    }
    const span = this.time.span(resource, 'performed');
    if (span === null) {
      this.reject(resource, line, 'no time that is exact to the day');
      return;
    }
    const code = nodeAt(resource, 'code');
    const text = [wordsOfConcept(code), wordsOfConcept(nodeAt(resource, 'bodySite'))].filter((part) => part !== '').join(', ').slice(0, MAX_WORDS);
    if (wordsOfConcept(code) === '') {
      this.reject(resource, line, 'no code that says what was done');
      return;
    }
    const said = this.phrases.meaningOf(text);
    const events = said === null ? procedureEvents(text, span, line) : [];
    if (said !== null) {
      // A procedure is never a drug: whoever says so of its words means a note.
      const { event } = readNote(text, span.startMs, line, this.phrases);
      events.push({ ...event, phase: span.endMs !== null && event.kind !== 'note' && event.phase !== 'end' ? 'start' : event.phase, endMs: span.endMs });
    } else if (events.every((event) => event.kind === 'note' && event.term === '')) this.phrases.addUnknown('event', text, line);
    this.slotOf(resource).events.push(...events);
    this.account.accept();
  }

  /** Returns what was read. Called once, after the last resource. */
  finish(): FhirResult {
    const notes: string[] = [];
    const slots = this.settleKeys(notes);
    const guesses: Guess[] = [];
    let nRepeated = 0;
    const cases = [...slots].map(([key, slot]): CaseReading => {
      const settled = this.book.settle(slot.book, (device) => this.siteOfDevice(device));
      const said = readSaid(slot.said, this.phrases);
      nRepeated += said.nDropped;
      const given = slot.given.map((one) => this.givenOf(one));
      const drugs = [...given.flatMap(({ drug }) => drug ?? []), ...said.drugs];
      const events = [...slot.events, ...given.flatMap(({ drug, event, more }) => (drug === null ? [event, ...more] : [])), ...said.events];
      const bornOnDay = this.bornOnDay.get(this.keys.canonical(slot.subject));
      return { ...(bornOnDay === undefined ? {} : { bornOnDay }), caseKey: this.caseName(key), events, drugs, attributes: {}, ...settled };
    });
    const marked = markManual(cases, guesses);
    notes.push(...this.book.notes, ...this.countNotes(nRepeated));
    return {
      cases: marked,
      columns: [...this.book.columns(), ...entryColumns(marked)],
      guesses: [...this.book.guesses, ...guesses],
      notes,
      withheld: this.identity.entries(),
      identifiersSeen: this.identity.seen,
      areKeysMasked: this.rules?.caseId === undefined && !this.keepIdentifiers && [...slots.keys()].some((key) => key !== ''),
    };
  }

  private caseName(key: string): string | null {
    if (this.rules?.caseId !== undefined) return this.rules.caseId;
    return key === '' ? null : key.replace('/', ' ');
  }

  /** Brings what was gathered under several keys of one case together. */
  private settleKeys(notes: string[]): Map<string, Slot> {
    const isFixed = this.rules?.caseId !== undefined;
    const cases = this.keys.cases();
    const slots = new Map<string, Slot>();
    let nJoined = 0;
    for (const [key, slot] of this.slots) {
      const target = isFixed ? '' : (cases.get(key) ?? key);
      if (!isFixed && target !== this.keys.canonical(key)) nJoined += 1;
      const own = slots.get(target);
      if (own === undefined) {
        slots.set(target, slot);
        continue;
      }
      this.book.merge(slot.book, own.book);
      for (const said of slot.said) own.said.push(said);
      for (const given of slot.given) own.given.push(given);
      for (const event of slot.events) own.events.push(event);
      if (own.subject === '') own.subject = slot.subject;
    }
    if (nJoined > 0) notes.push('Resources that name no encounter were put with the only one that the file has for their patient.');
    if (slots.size > 1 && slots.has('')) notes.push('Some resources name neither encounter nor patient: they make a case of their own, named after the folder.');
    if (!this.keepIdentifiers && !isFixed && this.keys.hasKeys) notes.push('References to patients and encounters only keep cases apart; they are not kept.');
    return slots;
  }

  private siteOfDevice(device: string): Site | null {
    const words = this.devices.get(this.keys.canonical(device)) ?? '';
    return words === '' ? null : (findSite(words)?.site ?? null);
  }

  private givenOf({ resource, span, medication, codings: ownCodings, words: ownWords, line }: Given): ReadEntry {
    const known = this.medications.get(this.keys.canonical(medication));
    const codings = ownCodings.length > 0 ? ownCodings : (known?.codings ?? []);
    const words = (ownWords !== '' ? ownWords : (known?.words ?? '')).slice(0, MAX_WORDS);
    const atc = codings.find((coding) => coding.system === 'ATC')?.code ?? '';
    const dosage = nodeAt(resource, 'dosage');
    const route = wordsOfConcept(nodeAt(dosage, 'route')).slice(0, MAX_WORDS);
    const dose = nodeAt(dosage, 'dose');
    const rate = rateOf(dosage);
    const byCode = atc === '' ? null : findDrug(atc, route === '' ? null : route).term;
    const byWords = words === '' ? null : findDrug(words, route === '' ? null : route).term;
    const flags: string[] = words === '' && codings.length === 0 ? ['the drug is named in a resource that the file does not hold'] : [];
    let drug = words === '' ? atc : words;
    if (byCode !== null && byWords?.inn !== byCode.inn) {
      if (byWords !== null) flags.push(`named ${words}, but its code ${atc} is ${byCode.inn}: read by its code`);
      drug = byCode.inn;
    }
    const stated = this.phrases.meaningOf(words);
    const entry = readAdministration(
      {
        drug: stated === null ? drug : words,
        dose: '',
        doseUnit: unitOf(dose),
        rate: '',
        rateUnit: rate.unit,
        route,
        action: '',
        text: textAt(dosage, 'text'),
        doseValue: numberAt(dose, 'value'),
        rateValue: rate.value,
      },
      span.startMs,
      span.endMs,
      line,
      this.phrases,
    );
    if (entry.drug === null) return entry;
    const read = entry.drug;
    const lastedMs = span.endMs === null ? 0 : span.endMs - span.startMs;
    const isTotalDose = Number.isNaN(rate.value) && read.form === 'bolus' && lastedMs > LONGEST_BOLUS_MS;
    if (isTotalDose) flags.push(`total dose over ${Math.round(lastedMs / 60_000)} min`);
    const found: RawDrug = {
      ...read,
      // The code says which drug it is and by which route; words may only be a trade name. What a person said goes before both.
      ...(byCode === null || stated !== null ? {} : { inn: byCode.inn, atc: byCode.atc, isVasopressor: byCode.isVasopressor && read.isVasopressor }),
      form: isTotalDose ? 'infusion start' : read.form,
      flags: [...new Set([...read.flags, ...flags])],
      text: words === '' || read.text.includes(words) ? read.text : `${words}: ${read.text}`,
    };
    return { ...entry, drug: found };
  }

  private countNotes(nRepeated: number): string[] {
    const notes: string[] = [];
    const patients = this.leftOut.words((type) => type === 'Patient');
    const pointedTo = this.leftOut.words((type) => POINTED_TO.has(type));
    const others = this.leftOut.words((type) => type !== 'Patient' && !POINTED_TO.has(type));
    if (patients !== '') notes.push(`Left out: ${patients}; nothing of a patient was kept.`);
    if (pointedTo !== '') notes.push(`Used only for what others say of them: ${pointedTo}.`);
    if (others !== '') notes.push(`Left out, because only Observation, MedicationAdministration and Procedure hold values, drugs and events: ${others}.`);
    if (this.nGrouping > 0) notes.push(`${this.nGrouping} observations only group others and hold no value.`);
    if (this.absent.total > 0) notes.push(`Values that are missing for a stated reason: ${this.absent.words()}.`);
    if (this.comparators.total > 0) notes.push(`A sign stands before values (${this.comparators.words()}); the values were kept.`);
    if (this.problems.total > 0) notes.push(`Parts of observations that could not be used, while the rest of them was: ${this.problems.words()}.`);
    if (this.nBeyond > 0) notes.push(`${this.nBeyond} samples are said to lie beyond what can be measured and count as missing.`);
    if (this.nEdited > 0) notes.push(`${this.nEdited} observations were amended or corrected after they were made.`);
    if (this.nDurations > 0) notes.push(`${this.nDurations} values are given for a period; each stands at its beginning, and how it was made is not known.`);
    if (this.time.nDateOnly > 0) notes.push(`${this.time.nDateOnly} times are a date without a clock time; they stand at its midnight.`);
    if (nRepeated > 0) notes.push(`${nRepeated} texts only repeat what was said before; each was kept once, where it begins.`);
    return notes;
  }

  /** Number of resources that are no rows, by type. */
  get nLeftOut(): number {
    return this.leftOut.total;
  }
}

function valueNameOf(part: FhirNode): string | null {
  return Object.keys(part).find((key) => /^value[A-Z]/.test(key) && part[key] !== null && part[key] !== undefined) ?? null;
}

/** The UCUM code of a Quantity, else its unit as written. */
function unitOf(quantity: FhirNode | null): string {
  const code = textAt(quantity, 'code');
  return code !== '' ? code : textAt(quantity, 'unit');
}

function rateOf(dosage: FhirNode | null): { readonly value: number; readonly unit: string } {
  const quantity = nodeAt(dosage, 'rateQuantity');
  if (quantity !== null) return { value: numberAt(quantity, 'value'), unit: unitOf(quantity) };
  const ratio = nodeAt(dosage, 'rateRatio');
  const numerator = nodeAt(ratio, 'numerator');
  const denominator = nodeAt(ratio, 'denominator');
  const value = numberAt(numerator, 'value') / numberAt(denominator, 'value');
  return { value: Number.isFinite(value) ? value : NaN, unit: `${unitOf(numerator)}/${unitOf(denominator)}` };
}

/** Type and names of a device, as far as they may say where its sensor sits. Serial number, maker and owner are not looked at. */
function deviceWords(device: FhirNode): string {
  return [wordsOfConcept(nodeAt(device, 'type')), ...nodesAt(device, 'deviceName').map((name) => textAt(name, 'name'))].filter((part) => part !== '').join(', ').slice(0, MAX_WORDS);
}

/** Returns the events of a procedure: what its words report, or its start and end where only these make an event. */
function procedureEvents(text: string, span: FhirSpan, line: number): RawEvent[] {
  const { startMs, endMs } = span;
  const base = { text, manual: false, line };
  const found = parseEvents(text);
  if (found.length > 0) {
    return found.map((event) => ({ ...base, ...event, phase: endMs !== null && event.phase !== 'end' ? ('start' as const) : event.phase, tMs: startMs, endMs }));
  }
  const [start] = parseEvents(`${text} start`);
  const [end] = parseEvents(`${text} end`);
  if (start !== undefined && end !== undefined) {
    if (start.phase === 'start') return [{ ...base, ...start, tMs: startMs, endMs }];
    return [{ ...base, ...start, tMs: startMs, endMs: null }, ...(endMs === null ? [] : [{ ...base, ...end, tMs: endMs, endMs: null }])];
  }
  return [{ ...base, kind: 'note', term: '', phase: 'moment', site: null, tMs: startMs, endMs }];
}

/** Says how many drugs and events were read, beside the measurements. */
function entryColumns(cases: readonly CaseReading[]): ColumnReport[] {
  const nDrugs = cases.reduce((sum, reading) => sum + reading.drugs.length, 0);
  const nEvents = cases.reduce((sum, reading) => sum + reading.events.length, 0);
  const column = (heading: string, readAs: string, values: number): ColumnReport[] => (values === 0 ? [] : [{ heading, readAs, quantity: null, site: null, values, missing: 0 }]);
  return [...column('MedicationAdministration', 'drugs', nDrugs), ...column('Procedure and worded Observation', 'events', nEvents)];
}
