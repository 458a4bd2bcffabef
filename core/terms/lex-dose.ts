import dictionary from './dictionary.json' with { type: 'json' };
import { normalizeDoseUnit } from './dose-unit.ts';
import { foldText } from './fold-text.ts';

/** A piece of a free-text administration. */
export interface DoseToken {
  readonly kind: 'word' | 'number' | 'unit' | 'strength' | 'other' | 'sign' | 'break';
  /** The piece as folded. */
  readonly text: string;
  /** Of a number. */
  readonly value: number;
  /** Of a unit, UCUM. */
  readonly unit: string;
  /** A number that can be read in two ways (`1,000`). */
  readonly isDoubtful: boolean;
}

const RATIO = /1\s*:\s*\d[\d,. ]*0{2,}|\d+:\d{3,}/y;
const CLOCK = /\d{1,2}:\d{2}(?::\d{2})?(?!\d)/y;
const PRESSURE = /\d{2,3}\/\d{2,3}(?![\d.])/y;
const FRACTION = /([1-3])\/([2-4])(?=\s*(?:amp|ml|tab|fial))/y;
const PERCENTAGE = /\d+(?:[.,]\d+)?\s?(?:%|percent\b|prozent\b)/y;
const NUMBER = /\d{1,3}(?:,\d{3})+(?:\.\d+)?(?![\d,])|\d+(?:[.,]\d+)?|[.,]\d+/y;
const UNIT = /\s*-?\s*((?:[a-z\u0370-\u052f]+|\[iu\]|m\[iu\])(?:\.(?![a-z]))?(?:\s*(?:\/|\*|\.|\bper\b)\s*(?:kg|min|mins|minute|minutes|hour|hr|h|std|s|sec|m2|heure|hora)(?:\^?-1)?(?![a-z])|\s*(?:kg|min|h)\^?-1)*)/y;
const PER_VOLUME = /\s*(?:\/|\bper\b|\bin\b)\s*(?:\d+(?:[.,]\d+)?)?\s*(?:ml|l|cc|amp|syringe|bag)(?![a-z])/y;
const STARTS_NUMBER = /[\d.,]/;
const STARTS_WORD = /[a-z\u0370-\u052f]/;
const WORD = /[a-z\u0370-\u052f]+/y;
const ARROW = /-+>|=>/y;
/** `Norepinephrine (mcg/min)`: the unit of a number that comes elsewhere. */
const BRACKETED = /[([]\s*([a-z][^()[\]]*?)\s*[)\]]/y;
const DOTTED: ReadonlySet<string> = new Set(dictionary.dottedWords);

/**
 * Returns the pieces of a free-text administration in order: words, numbers, units that follow numbers, and signs.
 * Clock times, blood pressures, percentages, ratios (1:10 000) and strengths (5 mg/mL, 4 mg in 250 mL) become pieces
 * that no dose is read from.
 */
export function lexDose(text: string): DoseToken[] {
  const folded = foldText(text).replace(/(\d\s?(?:mcg|ug|mg|ml|g|u|iu|units?)?)x\s?(?=\d)/g, '$1 x ').replace(/\bx(?=\d)/g, 'x ');
  const tokens: DoseToken[] = [];
  let at = 0;
  const take = (pattern: RegExp): RegExpExecArray | null => {
    pattern.lastIndex = at;
    const match = pattern.exec(folded);
    if (match !== null && match[0] !== '') at += match[0].length;
    return match;
  };
  const add = (kind: DoseToken['kind'], piece: string, value = NaN, unit = '', isDoubtful = false): void => {
    tokens.push({ kind, text: piece.trim(), value, unit, isDoubtful });
  };
  while (at < folded.length) {
    const sign = folded[at] ?? '';
    if (sign === ' ' || sign === '\t') {
      at += 1;
      continue;
    }
    if (STARTS_NUMBER.test(sign)) {
      if (takeNumber()) continue;
    } else if (STARTS_WORD.test(sign)) {
      const word = take(WORD)?.[0] ?? '';
      add('word', word);
      // A full stop that belongs to the word, and a dash or stroke inside a double name, part nothing.
      if (folded[at] === '.' ? DOTTED.has(word) : /^[-/](?=[a-z])/.test(folded.slice(at, at + 2))) at += 1;
      continue;
    } else if (sign === '(' || sign === '[') {
      const begin = at;
      const inside = take(BRACKETED)?.[1] ?? '';
      const unit = inside === '' ? null : normalizeDoseUnit(inside);
      if (unit !== null) {
        add('unit', inside, NaN, unit);
        continue;
      }
      at = begin;
    } else if (take(ARROW) !== null) {
      add('sign', '->');
      continue;
    }
    at += 1;
    add(/[,;.?!\n\r()[\]]/.test(sign) ? 'break' : 'sign', sign);
  }
  return tokens;

  /** A number with its unit, or one of the figures that no dose is read from. */
  function takeNumber(): boolean {
    const fraction = take(FRACTION);
    const skipped = fraction === null ? (take(RATIO) ?? take(CLOCK) ?? take(PRESSURE) ?? take(PERCENTAGE)) : null;
    if (skipped !== null) {
      add('other', skipped[0]);
      return true;
    }
    const number = fraction ?? take(NUMBER);
    if (number === null) return false;
    const value = fraction === null ? parseNumber(number[0]) : Number(fraction[1]) / Number(fraction[2]);
    add('number', number[0], value, '', fraction === null && /^[1-9]\d{0,2},\d{3}$/.test(number[0]));
    takeUnit();
    return true;
  }

  function takeUnit(): void {
    const begin = at;
    const match = take(UNIT);
    if (match === null) return;
    const written = (match[1] ?? '').replace(/\.$/, '');
    for (let candidate = written; candidate !== ''; candidate = candidate.replace(/\s*(?:[/*.]|\bper\b)?\s*[a-z0-9^\][\u0370-\u052f]+(?:-1)?$/, '')) {
      const unit = normalizeDoseUnit(candidate);
      if (unit === null) continue;
      at = begin + match[0].length - ((match[1] ?? '').length - candidate.length);
      if (folded[at] === '.') at += 1;
      const strength = unit.includes('/') ? null : take(PER_VOLUME);
      if (strength === null) add('unit', candidate, NaN, unit);
      else {
        const number = tokens.pop();
        add('strength', `${number?.text ?? ''} ${candidate}${strength[0]}`);
      }
      return;
    }
    at = begin;
  }
}

/** Commas in groups of three after a first group without leading nought divide thousands; any other comma is decimal. */
function parseNumber(text: string): number {
  if (/^[1-9]\d{0,2}(?:,\d{3})+(?:\.\d+)?$/.test(text)) return Number(text.replace(/,/g, ''));
  return Number(text.replace(',', '.'));
}
