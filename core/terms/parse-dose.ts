import dictionary from './dictionary.json' with { type: 'json' };
import { convertDose, isRateUnit } from './dose-unit.ts';
import { DRUG_PHRASES, findMisspelt, LONE_NAME_MEANS, type DrugEntry, type DrugName } from './drug-names.ts';
import { termByRoute } from './find-drug.ts';
import { foldText, wordsOf } from './fold-text.ts';
import { lexDose, type DoseToken } from './lex-dose.ts';
import { buildPhraseIndex, findPhrases, type PhraseHit } from './phrase-index.ts';
import { isLocalRoute, ROUTE_PHRASES } from './route.ts';
import type { DrugTerm, ParsedDose } from './terms.ts';

type WordClass = keyof typeof dictionary.doseWords;

const WORD_CLASSES = buildPhraseIndex<readonly WordClass[]>(
  Object.entries(dictionary.doseWords).flatMap(([cls, phrases]) =>
    // Object.entries widens the keys of this very object to string.
    phrases.map((phrase) => [phrase, [cls as WordClass]] as const),
  ),
  (a, b) => [...new Set([...a, ...b])],
);

/** A phrase, and the drug that a person says it means. */
export interface StatedDrug {
  readonly phrase: string;
  readonly entry: DrugEntry;
}

/** One text, taken apart once. */
interface Reading {
  readonly tokens: readonly DoseToken[];
  readonly words: readonly string[];
  readonly classes: readonly PhraseHit<readonly WordClass[]>[];
  readonly routes: readonly PhraseHit<string>[];
  readonly drugs: readonly NamedDrug[];
}

interface NamedDrug {
  readonly start: number;
  readonly end: number;
  readonly phrase: string;
  readonly entries: readonly DrugEntry[];
  readonly kind: DrugName['kind'] | 'misspelt';
  readonly needsUnit: boolean;
  readonly isShown: boolean;
  readonly code: string | null;
  readonly alternatives: readonly string[];
}

interface Amount {
  readonly start: number;
  readonly end: number;
  readonly amount: number | null;
  readonly unit: string;
  readonly parts: number;
  /** `0.05 -> 0.1`, `from 4 to 6`: the second is the amount. */
  readonly isChange: boolean;
  readonly flags: readonly string[];
}

/**
 * Returns a free-text administration taken apart: drug, amount, unit, route, and whether it is a bolus or a step of an
 * infusion.
 * Shape    `drug` is null when none is recognised, when the name is ambiguous (then `ambiguous` lists what it may mean),
 *          and when the text says that nothing was given (negated, planned, a total of doses, a dose of 0): then a flag
 *          says so and names the drug. `amount` is the total of `parts` doses.
 * Units    UCUM; '' with the flag "no unit stated" when the text gives none. Nothing is rewritten.
 * Missing  amount null when none, or only a range, is stated.
 * Source   spellings: handbook section 5 (free text seen in practice); the rest common practice without source.
 * Example  "ephedrine 6 mg x2" → ephedrine, bolus, 12 mg in 2 parts.
 * `stated`: a person said which drug a phrase of the text means; no other is looked for.
 */
export function parseDose(text: string, stated: StatedDrug | null = null): ParsedDose {
  const reading = readText(text, stated);
  const drug = stated === null ? chooseDrug(reading) : (reading.drugs[0] ?? null);
  if (drug === null) {
    const amount = firstAmount(reading, 0, reading.tokens.length);
    return { drug: null, ambiguous: [], form: 'bolus', amount: amount?.amount ?? null, unit: amount?.unit ?? '', route: routeIn(reading, 0, reading.tokens.length), parts: amount?.parts ?? 1, flags: hasClass(reading, 'reference') ? ['no drug recognised', 'refers to a note'] : ['no drug recognised'], isGiven: true };
  }
  const [from, until] = spanOf(reading, drug);
  const amount = amountFor(reading, drug, from, until);
  const route = routeIn(reading, from, until);
  const [entry] = drug.entries;
  const isAmbiguous = drug.kind === 'ambiguous' || drug.alternatives.length > 1 || entry === undefined;
  const term = isAmbiguous ? null : termByRoute(entry, route, drug.code);
  const form = formOf(reading, drug, term, amount, from, until);
  const flags = [...notesOn(reading, drug, entry, route, form), ...(amount?.flags ?? []), ...otherAmounts(reading, amount, from, until)];
  const name = isAmbiguous ? drug.phrase : entry.term.inn;
  const notGiven = form === 'infusion stop' ? null : whyNotGiven(reading, drug, amount, form, from, until);
  if (notGiven !== null) {
    return { drug: null, ambiguous: [], form, amount: amount?.amount ?? null, unit: amount?.unit ?? '', route, parts: amount?.parts ?? 1, flags: [`${notGiven}: ${name}`, ...flags], isGiven: false };
  }
  const perDose = amount === null || amount.amount === null ? null : amount.amount / amount.parts;
  const unit = amount?.unit ?? '';
  const isBolus = form === 'bolus';
  flags.push(...(perDose === null ? [] : doseFlags(isBolus ? term : null, perDose, unit)));
  if (isBolus && perDose === null && !flags.some((flag) => flag.startsWith('range stated'))) flags.push('no dose stated');
  if (amount !== null && amount.parts > 1) flags.push(`${amount.parts} doses entered as one; only one time is stated`);
  return {
    drug: term,
    ambiguous: drug.alternatives.length > 1 ? drug.alternatives : isAmbiguous ? drug.entries.map((meant) => meant.term.inn) : [],
    form,
    amount: amount?.amount ?? null,
    unit,
    route,
    parts: amount?.parts ?? 1,
    flags,
    isGiven: true,
  };
}

/**
 * Returns what is remarkable about one dose: "no unit stated", a unit that cannot fit, or an amount ten or more times
 * outside the usual adult bolus ("400 times the upper usual bolus; likely ug"). A flag for a person; nothing is rewritten.
 * Units    `unit` in UCUM. Rates and doses per kilogram are not judged.
 * Missing  `term` null: only the missing unit is flagged.
 * Source   ranges and the limit of 10: handbook section 5 and check values dose-bolus-*, dose-unit-flag.
 */
export function doseFlags(term: DrugTerm | null, amount: number, unit: string): string[] {
  if (unit === '') return ['no unit stated'];
  const range = term?.bolus ?? null;
  if (range === null || unit.includes('/') || !Number.isFinite(amount) || amount <= 0) return [];
  const converted = convertDose(amount, unit, range.unit);
  if (converted === null) {
    return [unit === 'mL' || unit === 'L' || unit === '{ampoule}' ? 'dose stated as a volume or ampoule: strength not known' : `unit ${unit} does not fit ${term?.inn ?? 'this drug'} (usually ${range.unit})`];
  }
  const above = converted / range.high;
  const below = range.low / converted;
  if (above < IMPROBABLE && below < IMPROBABLE) return [];
  const likely = LIKELY_UNITS.find((other) => {
    const asOther = other === unit ? null : convertDose(amount, other, range.unit);
    return asOther !== null && asOther >= range.low && asOther <= range.high;
  });
  const times = above >= IMPROBABLE ? `${short(above)} times the upper usual bolus` : `${short(below)} times below the lower usual bolus`;
  return [likely === undefined ? times : `${times}; likely ${likely}`];
}

const IMPROBABLE = 10;
const LIKELY_UNITS: readonly string[] = ['ug', 'mg', '[iU]', 'm[iU]', 'g'];

function short(ratio: number): string {
  return String(Number(ratio.toPrecision(3)));
}

function readText(text: string, stated: StatedDrug | null): Reading {
  const tokens = lexDose(text);
  const words = tokens.map((token) => (token.kind === 'unit' || token.kind === 'strength' ? '' : token.text));
  if (stated !== null) return { tokens, words, classes: findPhrases(words, WORD_CLASSES), routes: findPhrases(words, ROUTE_PHRASES).filter((hit) => hit.meaning !== ''), drugs: [placeStated(stated, words)] };
  const drugs: NamedDrug[] = findPhrases(words, DRUG_PHRASES).map((hit) => ({ start: hit.start, end: hit.end, phrase: hit.phrase, ...hit.meaning, alternatives: hit.meaning.otherMeanings }));
  if (!drugs.some((drug) => drug.kind === 'name')) {
    tokens.forEach((token, i) => {
      const misspelt = token.kind === 'word' ? findMisspelt(token.text) : null;
      if (misspelt === null || drugs.some((drug) => i >= drug.start && i < drug.end)) return;
      drugs.push({ start: i, end: i + 1, phrase: token.text, entries: misspelt.entry === null ? [] : [misspelt.entry], kind: misspelt.entry === null ? 'ambiguous' : 'misspelt', needsUnit: false, isShown: false, code: null, alternatives: misspelt.ambiguous });
    });
    drugs.sort((a, b) => a.start - b.start);
  }
  return { tokens, words, classes: findPhrases(words, WORD_CLASSES), routes: findPhrases(words, ROUTE_PHRASES).filter((hit) => hit.meaning !== ''), drugs };
}

/** Where the stated phrase stands in the text; at its start, with no words of its own, where it does not stand whole. */
function placeStated({ phrase, entry }: StatedDrug, words: readonly string[]): NamedDrug {
  const own = wordsOf(foldText(phrase));
  const at = own.length === 0 ? -1 : words.findIndex((_, i) => own.every((word, k) => words[i + k] === word));
  const [start, end] = at === -1 ? [0, 0] : [at, at + own.length];
  return { start, end, phrase, entries: [entry], kind: 'name', needsUnit: false, isShown: false, code: null, alternatives: [] };
}

/** The first full name; else the first misspelt or ambiguous one; else the first abbreviation that stands beside a dose. */
function chooseDrug(reading: Reading): NamedDrug | null {
  const { drugs } = reading;
  const accepted = drugs.filter((drug) => isAccepted(reading, drug));
  const anaesthetic = accepted.find((drug) => drug.entries[0]?.drugClass === 'local anaesthetic');
  const firstNamed = accepted.find((drug) => drug.kind === 'name') ?? accepted.find((drug) => drug.kind === 'misspelt') ?? accepted[0] ?? null;
  // Epinephrine mixed into a local anaesthetic is part of that drug (handbook 5); given apart, it stands in another clause.
  if (anaesthetic !== undefined && firstNamed !== null && firstNamed !== anaesthetic && !reading.tokens.slice(Math.min(firstNamed.end, anaesthetic.end), Math.max(firstNamed.start, anaesthetic.start)).some((token) => token.kind === 'break')) return anaesthetic;
  return firstNamed;
}

function isAccepted(reading: Reading, drug: NamedDrug): boolean {
  if (drug.kind === 'name' || drug.kind === 'misspelt') return true;
  const next = reading.tokens[drug.end];
  const hasUnit = reading.tokens.some((token) => token.kind === 'unit' && !/mmol|meq/.test(token.unit));
  const infusion = touches(reading, drug);
  if (drug.needsUnit) return hasUnit || (infusion && !LONE_NAME_MEANS[drug.phrase]?.includes(drug.phrase));
  const isAlone = reading.tokens.length === drug.end - drug.start;
  const numberNext = next?.kind === 'number' && !isTimeWord(reading.tokens[drug.end + 1]);
  return isAlone || hasUnit || numberNext || infusion || reading.tokens[drug.start - 1]?.kind === 'number';
}

/** Whether a word about an infusion or a push stands right beside the name: `NA infusion`, `PE off`, but not `PE on CT`. */
function touches(reading: Reading, drug: NamedDrug): boolean {
  return reading.classes.some((hit) => {
    if (hit.end !== drug.start && hit.start !== drug.end) return false;
    if (hit.meaning.some((cls) => STRONG.has(cls))) return true;
    const after = reading.tokens[hit.end];
    return hit.start === drug.end && hit.meaning.some((cls) => WEAK.has(cls)) && (after === undefined || after.kind === 'number');
  });
}

const STRONG: ReadonlySet<WordClass> = new Set<WordClass>(['infusion', 'start', 'rate', 'stop', 'running', 'bolus']);
const WEAK: ReadonlySet<WordClass> = new Set<WordClass>(['weakStart', 'weakRate', 'weakStop']);

function hasClass(reading: Reading, cls: WordClass, from = 0, until = reading.tokens.length): boolean {
  return reading.classes.some((hit) => hit.start >= from && hit.end <= until && hit.meaning.includes(cls));
}

function isTimeWord(token: DoseToken | undefined): boolean {
  return token?.kind === 'word' && NOT_DOSE_UNITS.has(token.text);
}

const NOT_DOSE_UNITS: ReadonlySet<string> = new Set(dictionary.doseWords.notDoseUnit);

/** The stretch of text that is about this drug: its sentence, up to the next drug on either side. */
function spanOf(reading: Reading, drug: NamedDrug): readonly [number, number] {
  const isMixture = (other: NamedDrug): boolean => drug.entries[0]?.drugClass === 'local anaesthetic' && other.entries[0]?.term.isVasopressor === true;
  const others = reading.drugs.filter((other) => other !== drug && !isMixture(other) && (other.kind === 'name' || other.kind === 'misspelt' || isAccepted(reading, other)));
  let from = Math.max(0, ...others.filter((other) => other.end <= drug.start).map((other) => other.end));
  let until = Math.min(reading.tokens.length, ...others.filter((other) => other.start >= drug.end).map((other) => other.start));
  for (let i = from; i < drug.start; i += 1) if (isSentenceEnd(reading, i)) from = i + 1;
  for (let i = until - 1; i >= drug.end; i -= 1) if (isSentenceEnd(reading, i)) until = i;
  return [from, until];
}

function isSentenceEnd(reading: Reading, i: number): boolean {
  const token = reading.tokens[i];
  return token?.kind === 'break' && /[;.?!\n\r]/.test(token.text);
}

function amountFor(reading: Reading, drug: NamedDrug, from: number, until: number): Amount | null {
  const after = amountsIn(reading, drug.end, until);
  const before = amountsIn(reading, from, drug.start);
  const rated = after.find((amount) => isRateUnit(amount.unit)) ?? before.filter((amount) => isRateUnit(amount.unit)).at(-1);
  if (rated !== undefined) return rated;
  const beside = before.filter((amount) => isReachable(reading, amount.end, drug.start, false)).at(-1);
  const withUnit = after.find((amount) => amount.unit !== '' && isReachable(reading, drug.end, amount.start, true));
  // "100 mcg phenylephrine + 5 mg ephedrine": what stands before the name is its dose, what follows is the next drug's.
  const isDoseFirst = beside !== undefined && beside.unit !== '' && until < reading.tokens.length && withUnit?.end === until;
  if (isDoseFirst) return beside;
  if (withUnit !== undefined) return withUnit;
  if (beside !== undefined && beside.unit !== '') return beside;
  const bare = after.find((amount) => isReachable(reading, drug.end, amount.start, false));
  if (bare !== undefined) return bare;
  // A bare number of four figures before the name is a time of day (`1032 ephedrine`), not a dose.
  return beside !== undefined && before.length === 1 && (beside.amount ?? 0) < 1000 ? beside : repeatsOnly(reading, drug.end, until);
}

/** Doses of the same stretch that were not taken: `0.5 mg bolus then infusion 4 ml/hr`. */
function otherAmounts(reading: Reading, taken: Amount | null, from: number, until: number): string[] {
  if (taken === null || taken.unit === '' || until < reading.tokens.length) return [];
  return amountsIn(reading, from, until)
    .filter((other) => other.amount !== null && other.unit !== '' && (other.end <= taken.start || other.start >= taken.end))
    .map((other) => `also states ${String(other.amount)} ${other.unit}: read apart if it was given`);
}

/** `phenylephrine given x3`: how many doses, though not how much. */
function repeatsOnly(reading: Reading, from: number, until: number): Amount | null {
  for (let i = from; i + 1 < until; i += 1) {
    const count = reading.tokens[i + 1];
    if (reading.tokens[i]?.text === 'x' && count?.kind === 'number' && Number.isInteger(count.value) && count.value >= 1 && count.value <= 20 && !isTimeWord(reading.tokens[i + 2])) {
      return { start: i, end: i + 2, amount: null, unit: '', parts: count.value, isChange: false, flags: [] };
    }
  }
  return null;
}

/** Whether only words about giving (and, for amounts with a unit, any words but no break) stand between two places. */
function isReachable(reading: Reading, start: number, end: number, anyWords: boolean): boolean {
  let broken = false;
  let foreign = false;
  for (let i = start; i < end; i += 1) {
    const token = reading.tokens[i];
    if (token === undefined) continue;
    if (token.kind === 'break') broken = true;
    else if (token.kind !== 'sign' && token.kind !== 'strength' && token.kind !== 'other' && !isAboutGiving(reading, i)) foreign = true;
  }
  return anyWords ? !(broken && foreign) : !foreign && !(broken && end - start > 3);
}

const NOT_ABOUT_GIVING: ReadonlySet<WordClass> = new Set<WordClass>(['notDoseUnit', 'reason', 'not', 'refused', 'plan']);

function isAboutGiving(reading: Reading, i: number): boolean {
  return reading.classes.some((hit) => i >= hit.start && i < hit.end && hit.meaning.some((cls) => !NOT_ABOUT_GIVING.has(cls))) || reading.routes.some((hit) => i >= hit.start && i < hit.end);
}

function firstAmount(reading: Reading, from: number, until: number): Amount | null {
  const amounts = amountsIn(reading, from, until);
  return amounts.find((amount) => amount.unit !== '') ?? null;
}

/** Every amount in a stretch: `100 mcg`, `2 x 50 mcg`, `6 mg x2`, `100+100`, `0.05 -> 0.1 mcg/kg/min`. */
function amountsIn(reading: Reading, from: number, until: number): Amount[] {
  const found: Amount[] = [];
  let i = from;
  while (i < until) {
    const amount = reading.tokens[i]?.kind === 'number' ? amountAt(reading, i, until) : null;
    if (amount === null) i += 1;
    else {
      found.push(amount);
      i = amount.end;
    }
  }
  return found;
}

interface Quantity {
  readonly value: number;
  readonly unit: string;
  readonly end: number;
  readonly isDoubtful: boolean;
  readonly text: string;
}

function quantityAt(reading: Reading, i: number, until: number): Quantity | null {
  const number = reading.tokens[i];
  if (i >= until || number?.kind !== 'number') return null;
  const next = i + 1 < until ? reading.tokens[i + 1] : undefined;
  if (isTimeWord(next)) return null;
  const own = next?.kind === 'unit' ? next.unit : '';
  return { value: number.value, unit: own === '' ? unitDeclared(reading, i) : own, end: own === '' ? i + 1 : i + 2, isDoubtful: number.isDoubtful, text: number.text };
}

/** The unit in brackets after a name, which stands for a number that follows without one: `Norepinephrine (mcg/min) 8`. */
function unitDeclared(reading: Reading, before: number): string {
  const declared = reading.tokens.find((token, i) => i < before && token.kind === 'unit' && reading.tokens[i - 1]?.kind !== 'number');
  return declared?.unit ?? '';
}

function amountAt(reading: Reading, start: number, until: number): Amount | null {
  const first = quantityAt(reading, start, until);
  if (first === null) return null;
  const signAt = (i: number): string => (i < until ? (reading.tokens[i]?.text ?? '') : '');
  const flags = first.isDoubtful ? [`"${first.text}" read as ${first.value}; it could be ${first.text.replace(',', '.')}`] : [];
  const done = (end: number, amount: number | null, unit: string, parts: number, isChange: boolean, more: readonly string[] = []): Amount => ({ start, end, amount, unit, parts, isChange, flags: [...flags, ...more] });

  // `2 x 50 mcg` and `6 mg x 2`; `in 2 h` after it is no count.
  if (signAt(first.end) === 'x') {
    const second = quantityAt(reading, first.end + 1, until);
    if (second !== null) {
      const isCount = (value: number): boolean => Number.isInteger(value) && value >= 1 && value <= 20;
      const countFirst = first.unit === '' && isCount(first.value) && (second.unit !== '' || !isCount(second.value) || first.value <= second.value);
      if (countFirst) return done(second.end, product(first.value, second.value), second.unit, first.value, false);
      if (second.unit === '' && isCount(second.value)) return done(second.end, product(first.value, second.value), first.unit, second.value, false);
    }
  }
  // `100 + 100 + 50 mcg`; `50 mcg, 100 mcg` where each has its unit.
  const isJoint = (end: number): boolean => signAt(end) === '+' || (signAt(end) === ',' && first.unit !== '' && quantityAt(reading, end + 1, until)?.unit === first.unit && reading.tokens[end + 2]?.kind === 'unit');
  if (isJoint(first.end) && !isRateUnit(first.unit)) {
    const terms = [first];
    let end = first.end;
    while (isJoint(end)) {
      const next = quantityAt(reading, end + 1, until);
      if (next === null) break;
      terms.push(next);
      end = next.end;
    }
    const unit = terms.find((term) => term.unit !== '')?.unit ?? '';
    const values = terms.map((term) => (term.unit === '' || term.unit === unit ? term.value : convertDose(term.value, term.unit, unit)));
    if (terms.length > 1 && values.every((value) => value !== null)) return done(end, round(values.reduce((sum: number, value) => sum + (value ?? 0), 0)), unit, terms.length, false);
  }
  const word = signAt(first.end);
  const second = word === '->' || word === 'to' || word === 'auf' || word === 'bis' || word === '-' || word === 'a' ? quantityAt(reading, first.end + 1, until) : null;
  if (second !== null) {
    const unit = second.unit !== '' ? second.unit : first.unit;
    const changes = word === '->' || signAt(start - 1) === 'from' || signAt(start - 1) === 'von' || (word !== '-' && isRateUnit(unit));
    if (changes) return done(second.end, second.value, unit, 1, true);
    if (first.unit === '' || first.unit === second.unit) return done(second.end, null, unit, 1, false, [`range stated: ${first.text} to ${second.text}`]);
  }
  return done(first.end, first.value, first.unit, 1, false);
}

/** Sums and products of decimal doses without binary tails: 3 x 0.1 is 0.3. */
function round(value: number): number {
  return Number(value.toPrecision(12));
}

function product(a: number, b: number): number {
  return round(a * b);
}

function routeIn(reading: Reading, from: number, until: number): string | null {
  const routes = reading.routes.filter((hit) => hit.start >= from && hit.end <= until).map((hit) => hit.meaning);
  return routes.includes('iv') ? 'iv' : (routes[0] ?? null);
}

function formOf(reading: Reading, drug: NamedDrug, term: DrugTerm | null, amount: Amount | null, from: number, until: number): ParsedDose['form'] {
  const says = (cls: WordClass): boolean => hasClass(reading, cls, from, until);
  const rated = amount !== null && isRateUnit(amount.unit);
  const isPush = says('bolus') && !rated;
  const infusion = rated || (says('infusion') && !isPush);
  // With no sign of an infusion, "increased" or "off" may be about anything: it must stand at the drug's name.
  const near = (classes: readonly WordClass[]): boolean => (infusion ? classes.some(says) : classes.some((cls) => standsAt(reading, drug, amount, cls)));
  const plainDose = amount !== null && amount.amount !== null && amount.unit !== '' && !rated;
  if (isPush && !standsAt(reading, drug, amount, 'stop')) return 'bolus';
  if (near(['stop']) || (!(plainDose && !infusion) && near(['weakStop'])) || (rated && amount.amount === 0)) return 'infusion stop';
  if (near(['start'])) return 'infusion start';
  if (near(['running'])) return 'infusion rate';
  if (near(['rate']) || amount?.isChange === true) return 'infusion rate';
  if (!plainDose && near(['weakRate']) && (infusion || amount !== null || until - drug.end <= 1)) return 'infusion rate';
  // "stable on phenylephrine infusion" tells of one that runs; the bare name of an infusion is taken as its start.
  if (infusion) return rated || foreignWords(reading, drug, from, until) ? 'infusion rate' : 'infusion start';
  if (!plainDose && amount === null && says('weakStart') && drug.end === until - 1) return 'infusion start';
  if (term?.infusionOnly === true && !isPush && (amount === null || amount.unit === '')) return amount === null ? 'infusion start' : 'infusion rate';
  return 'bolus';
}

/** Whether a word of the class stands right before the name, or after it with only the dose, route and filler between. */
function standsAt(reading: Reading, drug: NamedDrug, amount: Amount | null, cls: WordClass): boolean {
  return reading.classes.some((hit) => {
    // "response to ephedrine": the little words tell of a change only after the name.
    if (!hit.meaning.includes(cls) || (cls === 'weakRate' && hit.start < drug.end)) return false;
    const [start, end] = hit.end <= drug.start ? [hit.end, drug.start] : [drug.end, hit.start];
    if (start > end) return false;
    for (let i = start; i < end; i += 1) {
      const token = reading.tokens[i];
      const inDose = amount !== null && i >= amount.start && i < amount.end;
      if (token?.kind === 'break' || !(inDose || token?.kind === 'sign' || isAboutGiving(reading, i))) return false;
    }
    return true;
  });
}

/** Why the text, though it names the drug, records no dose of it; null when it does. */
function whyNotGiven(reading: Reading, drug: NamedDrug, amount: Amount | null, form: ParsedDose['form'], from: number, until: number): string | null {
  const clauseStart = lastBreakBefore(reading, drug.start, from);
  const clauseEnd = firstBreakAfter(reading, Math.max(drug.end, amount?.end ?? 0), until);
  const hits = reading.classes.filter((hit) => hit.start >= clauseStart && hit.end <= clauseEnd);
  for (const hit of hits) {
    if (hit.meaning.includes('not') && hit.end <= drug.start && onlyFiller(reading, hit.end, drug.start)) return 'says it was not given';
    // "not given" after the name, but not "no effect"; a bare "no" only where no dose is stated.
    if (hit.meaning.includes('not') && hit.start >= drug.end && (amount === null ? hit.end === clauseEnd : false)) return 'says it was not given';
    if (hit.meaning.includes('not') && hit.start >= drug.end && hits.some((other) => other.meaning.includes('giving') && other.start >= hit.end && other.start - hit.end <= 1)) return 'says it was not given';
    if (hit.meaning.includes('refused')) return 'says it was not given';
  }
  if (form !== 'bolus' && form !== 'infusion start' && form !== 'infusion rate') return null;
  const given = hits.some((hit) => hit.meaning.includes('given') && !isAlso(hits, hit, 'not'));
  for (const hit of hits) {
    if (!hit.meaning.includes('plan')) continue;
    if (AND.has(reading.words[hit.start - 1] ?? '')) continue;
    if (hit.end <= drug.start || !given) return 'only planned, ready or mentioned';
  }
  const total = hits.find((hit) => hit.meaning.includes('total'));
  if (total !== undefined && (amount === null || total.start < amount.start || total.start === amount.end || total.start - amount.end <= 1) && (amount?.parts ?? 1) === 1) return 'states a total of doses';
  if (form === 'bolus' && amount !== null && amount.amount === 0) return 'states a dose of 0';
  if (form === 'bolus' && amount === null && !given && !hits.some((hit) => hit.meaning.includes('bolus')) && foreignWords(reading, drug, clauseStart, clauseEnd)) return 'only mentioned';
  return null;
}

/** Whether a stretch says more than that the drug was given (and what for): "good response to ephedrine". */
function foreignWords(reading: Reading, drug: NamedDrug, from: number, until: number): boolean {
  for (let i = from; i < until; i += 1) {
    if (i >= drug.start && i < drug.end) continue;
    const token = reading.tokens[i];
    if (token?.kind !== 'word') continue;
    if (i >= drug.end && REASON.has(token.text)) return false;
    if (!isAboutGiving(reading, i)) return true;
  }
  return false;
}

const REASON: ReadonlySet<string> = new Set(dictionary.doseWords.reason);

/** "100 mcg given and if no effect repeat": the plan is for another dose. */
const AND: ReadonlySet<string> = new Set(['and', 'und', 'et', 'y', 'e', 'then']);

function isAlso(hits: readonly PhraseHit<readonly WordClass[]>[], given: PhraseHit<readonly WordClass[]>, cls: WordClass): boolean {
  return hits.some((hit) => hit.meaning.includes(cls) && hit.end <= given.start && given.start - hit.end <= 1);
}

function onlyFiller(reading: Reading, start: number, end: number): boolean {
  for (let i = start; i < end; i += 1) {
    const token = reading.tokens[i];
    if (token?.kind === 'number' || token?.kind === 'unit' || token?.kind === 'sign') continue;
    if (!reading.classes.some((hit) => i >= hit.start && i < hit.end && hit.meaning.includes('filler'))) return false;
  }
  return true;
}

function lastBreakBefore(reading: Reading, at: number, from: number): number {
  for (let i = at - 1; i >= from; i -= 1) if (reading.tokens[i]?.kind === 'break') return i + 1;
  return from;
}

function firstBreakAfter(reading: Reading, at: number, until: number): number {
  for (let i = at; i < until; i += 1) if (reading.tokens[i]?.kind === 'break') return i;
  return until;
}

function notesOn(reading: Reading, drug: NamedDrug, entry: DrugEntry | undefined, route: string | null, form: ParsedDose['form']): string[] {
  const notes: string[] = [];
  if (entry !== undefined && drug.kind === 'misspelt') notes.push(`spelling: "${drug.phrase}" read as ${entry.term.inn}`);
  if (drug.kind === 'abbreviation' && drug.isShown && entry !== undefined) notes.push(`abbreviation: "${drug.phrase}" read as ${entry.term.inn}`);
  const others = reading.drugs.filter((other) => other !== drug && other.entries[0] !== entry && (other.kind === 'name' || isAccepted(reading, other)));
  for (const other of others) notes.push(`also names ${other.kind === 'ambiguous' ? `"${other.phrase}"` : (other.entries[0]?.term.inn ?? other.phrase)}: read apart if it was given`);
  if (entry?.term.isVasopressor === true && route !== null && isLocalRoute(route)) notes.push(`by ${route} route: not counted as a vasopressor`);
  if (entry?.term.inn === 'methylthioninium chloride') notes.push('a dye and, in large doses, a vasopressor: not counted as a vasopressor');
  if (hasClass(reading, 'reference')) notes.push('refers to a note');
  if (form === 'bolus' && hasClass(reading, 'infusion')) notes.push('bolus named together with an infusion or pump');
  if (form === 'bolus' && entry?.term.infusionOnly === true) notes.push('usually given as an infusion');
  if (form === 'infusion start' && !hasClass(reading, 'start') && !hasClass(reading, 'weakStart')) notes.push('start not stated: taken as the start of an infusion');
  for (const token of reading.tokens) if (token.kind === 'strength') notes.push(`strength stated: ${token.text}`);
  return notes;
}
