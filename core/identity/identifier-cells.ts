import type { IdentifierKind } from './identifier-heading.ts';
import { isGivenName, mayBeName } from './name-words.ts';
import { EMAIL, IP_ADDRESS, MAC_ADDRESS, NATIONAL_NUMBER, PHONE, POSTAL_CODE, STREET, URL_TEXT, UUID } from './shapes.ts';

/** So many different cells are looked at. */
const LOOKED_AT = 200;
/** Common practice without source: most cells have to be of one shape before a column is taken for it. */
const MOST_CELLS = 0.6;
/** Rare names are in no list: where a third of the cells holds a frequent given name, the others are names too. */
const NAMED_CELLS = 0.3;

const WHOLE: readonly { readonly kind: IdentifierKind; readonly pattern: RegExp }[] = [
  { kind: 'contact', pattern: whole(EMAIL) },
  { kind: 'contact', pattern: whole(URL_TEXT) },
  { kind: 'other number', pattern: whole(UUID) },
  { kind: 'other number', pattern: whole(MAC_ADDRESS) },
  { kind: 'other number', pattern: whole(IP_ADDRESS) },
  { kind: 'record number', pattern: whole(NATIONAL_NUMBER) },
  { kind: 'contact', pattern: whole(PHONE) },
  { kind: 'address', pattern: whole(POSTAL_CODE) },
  { kind: 'address', pattern: new RegExp(`^.{0,20}(?:${STREET.source})`, 'u') },
];

function whole(pattern: RegExp): RegExp {
  return new RegExp(`^(?:${pattern.source})$`, pattern.flags.replace('g', ''));
}

/** Returns whether a cell reads like a person's name: two to four words of letters, one of them a frequent given name. */
export function looksLikePersonName(cell: string): boolean {
  const words = cell.split(/[\s,._]+/).filter((word) => word !== '');
  if (words.length < 2 || words.length > 5 || !/^[\p{L}'’\-\s,._]+$/u.test(cell)) return false;
  return words.some((word) => isGivenName(word) && mayBeName(word)) && words.every((word) => word.length === 1 || isParticle(word) || mayBeName(word));
}

function isParticle(word: string): boolean {
  return /^(?:von|van|vom|de|del|della|di|da|der|den|dem|zu|la|le|mr|mrs|ms|dr|prof|herr|frau|jr|sr)$/i.test(word);
}

/** Returns what the different cells of a column look like, null where they look like nothing that identifies. Numbers alone never do. */
export function identifierOfCells(cells: Iterable<string>): IdentifierKind | null {
  const texts: string[] = [];
  for (const cell of cells) {
    if (texts.length >= LOOKED_AT) break;
    const text = cell.trim();
    if (text.length >= 4 && text.length <= 200) texts.push(text);
  }
  if (texts.length === 0) return null;
  for (const { kind, pattern } of WHOLE) {
    if (!pattern.test(texts[0] ?? '') && !pattern.test(texts[1] ?? '') && !pattern.test(texts[2] ?? '')) continue;
    if (texts.filter((text) => pattern.test(text)).length >= texts.length * MOST_CELLS) return kind;
  }
  const words = texts.filter((text) => /^[\p{L}'’\-\s,._]+$/u.test(text) && /[\s,._]/.test(text));
  if (words.length >= texts.length * MOST_CELLS && texts.filter(looksLikePersonName).length >= texts.length * NAMED_CELLS) return 'name';
  return looksLikeBirthDates(texts) ? 'birth date' : null;
}

/** Dates of birth are spread over years as no other dates of a record are. */
function looksLikeBirthDates(texts: readonly string[]): boolean {
  const years = texts.flatMap((text) => {
    const found = /^(?:\d{1,2}[./-]\d{1,2}[./-]((?:19|20)\d{2})|((?:19|20)\d{2})[./-]\d{1,2}[./-]\d{1,2})(?:[T ]0?0:00(?::00)?(?:\.0+)?)?$/.exec(text);
    return found === null ? [] : [Number(found[1] ?? found[2])];
  });
  return years.length >= 3 && years.length >= texts.length * 0.8 && Math.max(...years) - Math.min(...years) >= 15;
}

/** Returns whether the cells are all long numbers, as registers give them: `figures` or more, letters before them allowed. */
export function areLongNumbers(cells: Iterable<string>, figures: number): boolean {
  let n = 0;
  for (const cell of cells) {
    const text = cell.trim();
    if (text === '') continue;
    const found = /^[\p{L}]{0,4}[-/ ]?(\d[\d .-]*\d)$/u.exec(text);
    if (found === null || (found[1] ?? '').replace(/\D/g, '').length < figures) return false;
    n += 1;
    if (n >= LOOKED_AT) break;
  }
  return n > 0;
}
