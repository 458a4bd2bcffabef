import { foldText } from '../terms/fold-text.ts';
import type { IdentifierKind } from './identifier-heading.ts';
import { isFrequentName, isGivenName, mayBeName } from './name-words.ts';
import { NATIONAL_NUMBER, EMAIL, isCompactDate } from './shapes.ts';

/** What a name of a file or folder holds of a person. */
export interface NamedPerson {
  readonly kind: IdentifierKind;
  /** What a code is made of: the record number where the name is nothing but person and number, else the whole name. */
  readonly identity: string;
}

const NUMBER_LABEL = /^(?:mrn|pid|pat|patient|patid|patnr|pt|nhs|ssn|record|hospital|hosp|kis|fallnr|fallnummer)$/;
const TITLE = /^(?:mr|mrs|ms|miss|herr|frau|dr|prof|mme|mlle|sig|signora|senor|senora)$/;
/** Shorter numbers alone are taken for ordinary codes. Common practice without source. */
const LONG = 7;

/**
 * Returns what the name of one file or folder (without its ending) says of a person, null where it says nothing: a record number
 * behind its label or of seven figures or more, a frequent given name beside another word, two names before a number, a title.
 */
export function personInName(name: string): NamedPerson | null {
  const whole = name.trim();
  if (matches(EMAIL, whole)) return { kind: 'contact', identity: foldText(whole) };
  if (matches(NATIONAL_NUMBER, whole)) return { kind: 'record number', identity: foldText(whole) };
  const words = whole.replace(/(?<=\p{Ll})(?=\p{Lu}\p{Ll})/gu, ' ').split(/[\s_,;.+()[\]-]+/).filter((word) => word !== '');
  const isName = namesIn(words, whole);
  const numbers = words.filter((word, i) => isRecordNumber(word, words[i - 1]) || (isName && /^\d{5,}$/.test(word) && !isCompactDate(word) && !isStamp(word)));
  if (numbers.length === 0 && !isName) return null;
  const isNothingElse = words.every((word) => numbers.includes(word) || NUMBER_LABEL.test(word.toLowerCase()) || TITLE.test(word.toLowerCase()) || (isName && mayBeName(word)));
  const [number] = numbers;
  const identity = number !== undefined && numbers.length === 1 && isNothingElse ? bareNumber(number) : foldText(whole);
  return { kind: isName ? 'name' : 'record number', identity };
}

function matches(pattern: RegExp, text: string): boolean {
  return new RegExp(pattern.source, pattern.flags.replace('g', '')).test(text);
}

/** The number without a label that is written into one with it: MRN123456. */
function bareNumber(word: string): string {
  return word.replace(/^(?:mrn|pid|pat|nhs)(?=\d)/i, '');
}

function isRecordNumber(word: string, before: string | undefined): boolean {
  if (before !== undefined && NUMBER_LABEL.test(before.toLowerCase()) && /^\d{5,}$/.test(word)) return true;
  if (/^(?:mrn|pid|pat|nhs)\d{4,}$/i.test(word)) return true;
  if (/^[A-Z]{1,3}\d{7,}$/i.test(word)) return true;
  return /^\d+$/.test(word) && word.length >= LONG && !isCompactDate(word) && !isStamp(word);
}

/** Unix times in seconds and milliseconds, as exports put them behind names of files. */
function isStamp(figures: string): boolean {
  return /^1[5-9]\d{8}(?:\d{3})?$/.test(figures);
}

function namesIn(words: readonly string[], whole: string): boolean {
  for (const [i, word] of words.entries()) {
    const next = words[i + 1];
    if (next === undefined) break;
    if (TITLE.test(word.toLowerCase()) && mayBeName(next) && /^\p{L}{2,}$/u.test(next)) return true;
    const isPair = mayBeName(word) && mayBeName(next) && /^[\p{L}'’]{2,}$/u.test(word) && /^[\p{L}'’]{1,}$/u.test(next);
    if (!isPair) continue;
    if (isGivenName(word) || isGivenName(next) || (isFrequentName(word) && isFrequentName(next))) return true;
    const areCapitals = /^\p{Lu}/u.test(word) && /^\p{Lu}/u.test(next);
    // Two names and a number, or surname, comma, given name, as records are filed.
    if (areCapitals && /^\d{5,}$/.test(words[i + 2] ?? '')) return true;
    if (areCapitals && new RegExp(`${word.replace(/[^\p{L}]/gu, '.')}, ?${next.replace(/[^\p{L}]/gu, '.')}`, 'u').test(whole)) return true;
  }
  return false;
}
