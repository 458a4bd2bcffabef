import type { ReleaseKind } from '../model/release.ts';
import { foldText } from '../terms/fold-text.ts';
import { KNOWN_WORDS } from '../terms/known-words.ts';
import { CLOCKS, COUNTS, DAY_AND_MONTH, MONTHS, STAMPS } from './blank-instants.ts';
import { isFrequentName } from './name-words.ts';
import { OWN_CAPITALS, OWN_PHRASES, OWN_SIGNS } from './own-wording.ts';
import { PLAIN_WORDS } from './plain-words.ts';
import { DATE_TEXT, EMAIL, IP_ADDRESS, isCompactDate, LONG_NUMBER, MAC_ADDRESS, NATIONAL_NUMBER, PHONE, POSTAL_CODE, SHORT_DATE_TEXT, STREET, URL_TEXT, UUID } from './shapes.ts';

/** A stretch of a text that leaves as one: offsets in UTF-16 units, end excluded. */
export interface TextToken {
  readonly kind: ReleaseKind;
  readonly start: number;
  readonly end: number;
}

const TITLES = String.raw`(?:Mrs?|Ms|Miss|Mx|Dr|Dra|Prof|Professor|Doctor|Herrn?|Frau|Mme|Mlle|Monsieur|Madame|Docteur|Sig|Signora?|Dott|Sr|Sra|Señora?|Schwester|Sister|Nurse|Pfleger)`;
/** Somebody behind a title ("Dr Long", "Mrs K") or behind initials ("J. Baker"): a name, whatever the word means elsewhere. */
const TITLED = new RegExp(String.raw`(?<![\p{L}\d])${TITLES}\.? (?:(?:von|van|de|der|la|le|al|el) )?\p{Lu}[\p{L}'’-]*\.?(?: (?!(?:The|This|A|An|It|He|She)\b)\p{Lu}[\p{Ll}'’-]+)?`, 'gu');
const INITIALED = /(?<![\p{L}\d.])(?:\p{Lu}\. ?){1,3}(?:von |van |de )?\p{Lu}\p{Ll}[\p{L}'’-]+/gu;
const PLACES =
  /(?<![\p{L}\d])(?:(?:[Rr]oom|[Tt]heatre|[Tt]heater|OR|[Ss]uite|[Ww]ard|[Bb]ed|[Bb]ay|[Ss]aal|OP|[Rr]aum|[Zz]immer|[Ss]tation|[Ss]alle|[Bb]loc|[Qq]uirófano|[Ss]ala)(?:-[Ss]aal)?[ -]?(?:[Nn]o\.?|[Nn]r\.?|#)?[ ]?(?:[A-Z][ -]?)?\d{1,4}[A-Za-z]?)(?![\p{L}\d])/gu;
const AGES = /(?<![\d.,])(?:9\d|1[0-4]\d)[ -]?(?:years?[ -]olds?|year-old|yo|y\/o|yrs?\.? old|years of age|jährig\p{L}*|ans|años|anni)(?![\p{L}])|(?<=(?<![\p{L}])(?:[Aa]ged?|[Aa]lter|[Ee]dad|[Ee]tà)[ :=]{1,3})(?:9\d|1[0-4]\d)(?!\d)/gu;
const MONTH_AND_YEAR = new RegExp(String.raw`(?<![\p{L}\d])(?:(?:${MONTHS})\.?,? (?:19|2\d)\d{2}|(?:19|2\d)\d{2}[-/.](?:0[1-9]|1[0-2])|(?:0[1-9]|1[0-2])[/.](?:19|2\d)\d{2}|Q[1-4][ /-]?(?:19|2\d)\d{2}|(?:19|2\d)\d{2}[ /-]?Q[1-4]|[Qq]uarter [1-4])(?![\p{L}\d/.-]\d|[\p{L}\d])`, 'giu');
const DAYS = /(?<![\p{L}])(?:(?:Mon|Tues|Wednes|Thurs|Fri|Satur|Sun)days?|(?:Mon|Diens|Donners|Frei|Sams|Sonn)tags?|Mittwochs?|lundi|mardi|mercredi|jeudi|vendredi|samedi|dimanche|lunes|martes|miércoles|jueves|viernes|sábado|domingo|lunedì|martedì|mercoledì|giovedì|venerdì|sabato|domenica)(?![\p{L}])/giu;
/** Months that are no words beside; "May" and "March" are asked about as words with a capital inside a sentence. */
const MONTH_ALONE = /(?<![\p{L}])(?:January|February|April|June|July|August|September|October|November|December|Januar|Februar|März|Juni|Juli|Oktober|Dezember|janvier|février|avril|juin|juillet|août|septembre|octobre|novembre|décembre|enero|febrero|marzo|abril|junio|julio|agosto|septiembre|octubre|noviembre|diciembre)(?![\p{L}])/giu;
const MORE_CLOCKS = /(?<![\p{L}\d.:])(?:\d{1,2}(?:[.:]\d{2})? ?[ap]\.?m\.?(?![a-z])|[0-2]?\dh[0-5]\d|[0-2]?\d[.:][0-5]\d ?(?:Uhr|h)|[0-2]\d[0-5]\d ?(?:hrs|hours|h|Uhr)|[0-2]?\d ?(?:Uhr|o['’]clock)|(?<=\b(?:at|around|about|by|until|till|from|since|um|gegen|à|vers) )[0-2]\d[0-5]\d)(?![\p{L}\d])/giu;
/** A time that counts from the first row bears a sign; one without is a clock time. */
const FROM_FIRST_ROW = /(?<![\p{L}\d:])[+\u2212]\d{1,4}:[0-5]\d(?::[0-5]\d)?(?![\d:])/gu;
const LENGTHS = /(?<![\p{L}\d.,:])\d[\d,]*(?:\.\d+)?(?: ?[–-] ?\d[\d,]*(?:\.\d+)?)?[ \u00a0](?:ms|s|min|h|seconds?|minutes?|hours?)(?:[ \u00a0]\d+[ \u00a0](?:s|min))?(?![\p{L}\d])/gu;
const DIGESTS = /(?<=SHA-256 (?:[0-9a-f]{12}, ){0,8})[0-9a-f]{12,64}(?![\p{L}\d])|(?<=\bdigest )[0-9a-f]{12,64}(?![\p{L}\d])|^(?=[0-9a-f]*[a-f])(?=[0-9a-f]*\d)[0-9a-f]{12}$/gu;
const YEARS = /(?<![\p{L}\d.,/:-])(?:19|2[01])\d{2}(?![\p{L}\d/:-]|[.,]\d)/gu;

interface Rule {
  readonly kind: ReleaseKind;
  readonly shape: RegExp;
  readonly holds?: (found: string) => boolean;
}

/** In the order in which they are asked: what one has taken no later one takes. */
const RULES: readonly Rule[] = [
  { kind: 'digest', shape: DIGESTS },
  { kind: 'word', shape: OWN_PHRASES },
  ...[EMAIL, URL_TEXT, UUID, MAC_ADDRESS, IP_ADDRESS].map((shape): Rule => ({ kind: 'identifier', shape })),
  { kind: 'date', shape: new RegExp(DATE_TEXT, 'giu') },
  { kind: 'date', shape: DAY_AND_MONTH },
  { kind: 'date', shape: MONTH_AND_YEAR },
  { kind: 'date', shape: new RegExp(SHORT_DATE_TEXT, 'gu') },
  { kind: 'date', shape: STAMPS, holds: (found) => isCompactDate(found.replace(/\D/g, '')) },
  { kind: 'date', shape: COUNTS },
  { kind: 'time from the first row', shape: FROM_FIRST_ROW },
  { kind: 'clock time', shape: CLOCKS },
  { kind: 'clock time', shape: MORE_CLOCKS },
  { kind: 'place', shape: PLACES },
  { kind: 'place', shape: STREET },
  { kind: 'age', shape: AGES },
  ...[NATIONAL_NUMBER, PHONE, LONG_NUMBER].map((shape): Rule => ({ kind: 'identifier', shape })),
  { kind: 'place', shape: POSTAL_CODE },
  { kind: 'name', shape: TITLED },
  { kind: 'name', shape: INITIALED },
  { kind: 'date', shape: DAYS },
  { kind: 'date', shape: MONTH_ALONE },
  { kind: 'length of time', shape: LENGTHS },
  { kind: 'year', shape: YEARS },
];

/** What is left: words with their apostrophes, and whatever else bears letters or figures. */
const REST = /[\p{L}\p{M}\p{N}_]+(?:['’][\p{L}\p{M}]+)*/gu;

/**
 * Returns everything of a text that says something: every letter and figure lies in exactly one token, in the order of the text.
 * Source  what identifies: Safe Harbor, 45 CFR 164.514(b)(2)(i); how it is recognised: common practice without source (docs/methods/release.md).
 */
export function releaseTokens(text: string): TextToken[] {
  const tokens: TextToken[] = [];
  const isFree = (start: number, end: number): boolean => tokens.every((one) => one.end <= start || one.start >= end);
  for (const { kind, shape, holds } of RULES) {
    for (const match of text.matchAll(shape)) {
      const [found] = match;
      if (found.trim() === '') continue;
      const { start, end } = wholeWords(text, match.index, match.index + found.trimEnd().length);
      if (isFree(start, end) && holds?.(found) !== false) tokens.push({ kind, start, end });
    }
  }
  for (const gap of gapsOf(tokens, text.length)) {
    for (const match of text.slice(gap.start, gap.end).matchAll(REST)) {
      const start = gap.start + match.index;
      tokens.push({ kind: kindOfWord(match[0], text.slice(0, start), text.slice(start + match[0].length)), start, end: start + match[0].length });
    }
  }
  return tokens.sort((a, b) => a.start - b.start);
}

/** A shape that ends inside a word takes the rest of it too: no word is divided between two tokens. */
function wholeWords(text: string, from: number, to: number): { readonly start: number; readonly end: number } {
  let start = from;
  let end = to;
  while (start > 0 && isOfWord(text.charAt(start - 1)) && isOfWord(text.charAt(start))) start -= 1;
  while (end < text.length && isOfWord(text.charAt(end)) && isOfWord(text.charAt(end - 1))) end += 1;
  return { start, end };
}

function isOfWord(sign: string): boolean {
  return /[\p{L}\p{M}\p{N}]/u.test(sign);
}

function gapsOf(tokens: readonly TextToken[], length: number): { readonly start: number; readonly end: number }[] {
  const gaps: { readonly start: number; readonly end: number }[] = [];
  let at = 0;
  for (const { start, end } of [...tokens].sort((a, b) => a.start - b.start)) {
    if (start > at) gaps.push({ start: at, end: start });
    at = end;
  }
  if (at < length) gaps.push({ start: at, end: length });
  return gaps;
}

/** Where a sentence, a cell or a part of one begins a capital says nothing. */
const BEGINS = /(?:^|[.!?:;•–—(\["“„«|/→=\n]|\d\.)[\s"“„«(\[]*$/u;

function kindOfWord(word: string, before: string, after: string): ReleaseKind {
  if (OWN_SIGNS.has(word)) return 'word';
  if (/^\p{N}+$/u.test(word)) return /^\d{4,}$/.test(word) && !/^[.,]\d/.test(after) && !/\d[.,]$/.test(before) ? 'identifier' : 'number';
  if (/\p{N}|_/u.test(word)) return /^\d+(?:st|nd|rd|th|s|x)$/.test(word) || /^x\d{1,3}$/.test(word) ? 'number' : 'identifier';
  if (OWN_CAPITALS.has(word)) return 'word';
  const bare = word.replace(/['’]s$/u, '').replaceAll('’', "'");
  const isCapital = /^\p{Lu}/u.test(bare);
  const lower = bare.toLowerCase();
  const isTrade = KNOWN_WORDS.has(foldText(bare));
  const isPlain = isKnownForm(lower);
  if (isFrequentName(bare) && (isCapital || !isPlain)) return 'name';
  if (bare.length === 1) return /^[aAIhsx%]$/.test(bare) || !/\p{Lu}/u.test(bare) ? 'word' : 'unknown word';
  if (isTrade && bare.length >= 3) return 'word';
  if (!isPlain) return isCapital && !BEGINS.test(before) ? 'name' : 'unknown word';
  return isCapital && !BEGINS.test(before) && bare !== bare.toUpperCase() ? 'name' : 'word';
}

/** Whether a word is plain, or the ordinary form of one that is. */
function isKnownForm(lower: string): boolean {
  if (PLAIN_WORDS.has(lower)) return true;
  const stems = [/^(.{3,})s$/, /^(.{3,})es$/, /^(.{3,})ed$/, /^(.{3,})ing$/, /^(.{3,})ly$/, /^(?:un|re)(.{3,})$/].flatMap((shape) => shape.exec(lower)?.[1] ?? []);
  return stems.some((stem) => PLAIN_WORDS.has(stem) || PLAIN_WORDS.has(`${stem}e`));
}
