import { KNOWN_WORDS } from '../terms/known-words.ts';
import { OLDEST } from './grouped-age.ts';
import type { KnownIdentifiers } from './known-identifiers.ts';
import type { IdentifierKind } from './identifier-heading.ts';
import { isFrequentName, isGivenName, isNoName, mayBeName } from './name-words.ts';
import { DATE_TEXT, EMAIL, IP_ADDRESS, isCompactDate, LONG_NUMBER, MAC_ADDRESS, NATIONAL_NUMBER, PHONE, POSTAL_CODE, SHORT_DATE_TEXT, STREET, URL_TEXT, UUID } from './shapes.ts';

/** What stands in the place of what was blanked. */
export const WITHHELD = '[withheld]';

/** Texts longer than this are looked through piece by piece. */
const PIECE = 20_000;

export interface ScrubbedText {
  readonly text: string;
  /** What was found, one entry for each place. */
  readonly found: readonly IdentifierKind[];
}

/** What is known when a text is looked through. */
export interface ScrubContext {
  /** Years in which dates are those of the case itself; null where the case has no dates: every whole date then stands out. */
  readonly years: { readonly first: number; readonly last: number } | null;
  /** Words and numbers that columns of this file call names, record numbers, dates of birth …; see `knownIdentifiers`. */
  readonly known: KnownIdentifiers | null;
  /** Numbers that name a measurement in this file (codes of a terminology, items of a list): no record numbers. */
  readonly codes: ReadonlySet<string>;
}

const CAPITAL = "\\p{Lu}[\\p{L}'’]*(?:-\\p{Lu}[\\p{L}'’]*)*";
const PARTICLE = "(?:(?:von|van|vom|de|del|della|di|da|der|den|dem|zu|zur|la|le|ter|ten|el|al|bin|dos|das) )";
const TITLE =
  "(?:Mr|Mrs|Ms|Miss|Mx|Dr|Dra|Drs|Prof|Professor|Doctor|Herrn?|Hrn?|Frau|Fr|Fräulein|Mme|Mlle|Monsieur|Madame|Docteur|Pr|Sig|Sig\\.ra|Signora?|Dott|Dott\\.ssa|Dr\\.ssa|Sr|Sra|Srta|Señora?|Senora?|Schwester|Sister|Pfleger|OA|OÄ|OÄrztin|CA|CÄ)";
const ROLE =
  "(?:surgeons?|anaesthetists?|anesthetists?|anaesthesiologists?|anesthesiologists?|nurse|scrub nurse|consultant|registrar|resident|operator|operateur|opérateur|chirurg(?:in)?|anästhesist(?:in)?|oberarzt|assistenzarzt|pflege|patient(?:in|en)?|pat\\.?|pt|name|patient name|patientenname|nachname|vorname|surname|first name|last name|nom|prénom|nombre|apellidos|cognome|médecin|chirurgien|anesthésiste|infirmière|cirujano|anestesista|chirurgo|next of kin|wife|husband|daughter|son|mother|father|ehefrau|ehemann|tochter|sohn|mutter|vater|by|von|par|signed|sign|gez)";

const TITLED = new RegExp(`(?<![\\p{L}\\d])(${TITLE})(\\.?[ ]?)((?:${TITLE}\\.? ?|med\\. ?|dent\\. ?){0,3})((?:${PARTICLE}{0,2})${CAPITAL}\\.?)((?: (?:${PARTICLE}{0,2})${CAPITAL}){0,2})(?![\\p{L}])`, 'gu');
const TITLED_LOWER = /(?<![\p{L}\d])(?:mr|mrs|ms|miss|dr|prof|herrn?|frau|mme|mlle)\.? ?(\p{L}[\p{L}'’-]{2,40})/giu;
const ROLED = new RegExp(`(?<![\\p{L}\\d])(${ROLE})(?: ?[:=] ?| )((?:${PARTICLE}{0,2})\\p{Lu}[\\p{L}'’.-]*(?:,? (?:${PARTICLE}{0,2})\\p{Lu}[\\p{L}'’.-]*){0,3})`, 'giu');
const INITIALED = /(?<![\p{L}\d.])((?:\p{Lu}\. ?){1,3})((?:von |van |de |Mc|Mac|O['’])?\p{Lu}\p{Ll}[\p{L}'’-]{1,40})(?![\p{L}])/gu;
const SURNAME_FIRST = /(?<![\p{L}\d])(\p{Lu}[\p{L}'’-]{1,40}), ?(\p{Lu}[\p{L}'’-]{1,40})(?: \p{Lu}[\p{L}'’-]{0,40}\.?)?(?![\p{L}])/gu;
const CAPITALISED = /(?<![\p{L}\d\[])\p{Lu}[\p{L}'’]{1,40}(?:-\p{Lu}[\p{L}'’]{1,40})*(?![\p{L}\]])/gu;

const RECORD_LABEL =
  /(?<![\p{L}\d])(?:mrn|emr|pid|nhs|ssn|nir|dni|nie|kvnr|csn|chi|mr ?no|(?:hospital|hosp|medical|health|patient|pat|case ?note|chart|record|account|acct|insurance|policy|encounter|visit|admission|episode|licen[cs]e|passport|member|certificate|id)[ .-]{0,2}(?:no|nr|num|number|nummer|id|#)|(?:patienten|fall|aufnahme|versicherten|kranken(?:akten|versicherungs)?|versicherungs|akten|pat\.?-?|pers(?:onal)?\.?-?)-?(?:nr|nummer|id)|numéro de dossier|n[°º] de dossier|dossier n[°º]|historia clínica|n[°º] historia|nhc|codice fiscale|tessera sanitaria|serial(?: ?(?:no|number|nr))?|seriennummer|serien-?nr|s\/n|sn)(?:\s?(?:no|nr)?[.:#=]{0,2}\s?)([\p{L}]{0,4}[-/ ]?\d[\p{L}\d./-]{1,24})/giu;
const BIRTH_LABEL = String.raw`(?<![\p{L}\d])(?:dob|d\.o\.b\.?|date of birth|birth ?date|birthday|born(?: on)?|geb(?:oren)?\.?(?: am)?|geburtsdatum|geb\.?-?datum|né(?:e)? le|date de naissance|ddn|nacid[oa](?: el)?|fecha de nacimiento|fn|nat[oa](?: il)?|data di nascita|\*)(?:\s?[.:=]?\s{0,2})`;
const BIRTH = new RegExp(`${BIRTH_LABEL}(?:${DATE_TEXT})`, 'giu');
const BIRTH_SHORT = new RegExp(`${BIRTH_LABEL}${SHORT_DATE_TEXT}`, 'giu');
const BIRTH_YEAR = new RegExp(`${BIRTH_LABEL.replace('|\\*', '')}(?:in )?(?:1[89]|20)\\d{2}(?!\\d)`, 'giu');
const DATES = new RegExp(`${DATE_TEXT}([T ]\\d{1,2}:\\d{2}(?::\\d{2}(?:[.,]\\d{1,6})?)?)?`, 'giu');
const AGED =
  /(?<![\d.,/-])(9\d|1[0-4]\d)(?=\s?(?:-|–)?\s?(?:y\/o\b|yo\b|yrs?\.?\s?(?:old|of age)?\b|years?[ -](?:old|of age)\b|year-old\b|years\b|jähr|jahre\b|j\.|ans\b|años\b|anni\b))|((?<![\p{L}])(?:age[d]?|alter|edad|età|âge)(?:\s?[:=]?\s?))(9\d|1[0-4]\d)(?![\d.,]?\d)/giu;
const PHONE_LABEL = /(?<![\p{L}])(?:tel(?:efon|ephone|éfono|efono)?|phone|fon|mobile?|handy|cell|fax|pager|bleep|dect|rückruf|ext(?:ension)?|durchwahl)(?:\s?(?:no|nr|number)?[.:#]{0,2}\s?)([+(]?\d[\d ()/.-]{2,22}\d)/giu;
/** Amounts behind which a long number is a dose, a count or a volume. */
const AMOUNT = /^\s?(?:units?|iu|i\.?u\.?|ie|i\.?e\.?|e\b|u\b|ui|mg|mcg|µg|ug|ng|g\b|ml|l\b|mmol|µl|ul|\/|x10|%|s\b|ms\b|sec|hz|pa\b|mm|einheiten|unités|unidades|unità|rows?|values?|bytes?|zeilen)/i;

/** What may stand between a given name and its surname. */
const JOINT = /^ (?:(?:von|van|vom|de|del|della|di|da|der|den|la|le|bin|al|el|\p{Lu}\.) ){0,2}$/u;
/** Abbreviations that are titles only before a name: a pulse rate, a tube's size, a cancer. */
const WEAK_TITLES: ReadonlySet<string> = new Set(['Fr', 'Pr', 'Hr', 'Hrn', 'Sr', 'OA', 'OÄ', 'CA', 'CÄ', 'Miss']);

/** Words that stand for muscles, nerves and vessels behind a single letter, as anatomists write them ("A. radialis"). */
const ANATOMY = /(?:is|us|ae?|um|or|ei|ens|ceps)$/;

/**
 * Returns a text with what looks like an identifier of a person blanked, and the rest as it stands: names behind titles and roles,
 * frequent given names, birth dates, numbers of record shape, telephone numbers, addresses, mail and web addresses; an age
 * over 89 becomes a group.
 * Source  what identifies: Safe Harbor, 45 CFR 164.514(b)(2)(i); how it is recognised: common practice without source. It does
 *         not find every name, and takes a word for one now and then: the counts are in the report, and a person has the last word.
 */
export function scrubText(text: string, context: ScrubContext): ScrubbedText {
  if (text.length < 2) return { text, found: [] };
  if (text.length <= PIECE) return scrubPiece(text, context);
  const found: IdentifierKind[] = [];
  let out = '';
  for (let at = 0; at < text.length; at += PIECE) {
    const piece = scrubPiece(text.slice(at, at + PIECE), context);
    out += piece.text;
    found.push(...piece.found);
  }
  return { text: out, found };
}

function scrubPiece(whole: string, context: ScrubContext): ScrubbedText {
  const found: IdentifierKind[] = [];
  let text = whole;
  const blank = (kind: IdentifierKind): string => {
    found.push(kind);
    return WITHHELD;
  };
  const hasFigure = /\d/.test(text);
  if (context.known !== null) text = context.known.replace(text, () => blank('name'));
  if (text.includes('@')) text = text.replace(EMAIL, () => blank('contact'));
  if (/https?:|www\./i.test(text)) text = text.replace(URL_TEXT, () => blank('contact'));
  if (hasFigure) text = scrubFigures(text, context, blank, found);
  if (/\p{L}{2}/u.test(text)) text = scrubNames(text, blank);
  // Neighbouring blanks say no more than one.
  if (found.length > 1) text = text.replace(/\[withheld\](?:[ ,]{1,2}\[withheld\])+/g, WITHHELD);
  return { text, found };
}

function scrubFigures(whole: string, { years, codes }: ScrubContext, blank: (kind: IdentifierKind) => string, found: IdentifierKind[]): string {
  let text = whole;
  const tail = (all: string, part: string, kind: IdentifierKind): string => `${all.slice(0, all.length - part.length)}${blank(kind)}`;
  text = text.replace(UUID, () => blank('other number')).replace(MAC_ADDRESS, () => blank('other number')).replace(IP_ADDRESS, () => blank('contact'));
  text = text.replace(BIRTH, () => blank('birth date')).replace(BIRTH_SHORT, () => blank('birth date')).replace(BIRTH_YEAR, () => blank('birth date'));
  text = text.replace(DATES, (all: string, ...groups: (string | undefined)[]) => {
    const year = Number(groups[1] ?? groups[2] ?? groups[4] ?? groups[5]);
    const clock = groups[6];
    const isOfCase = years !== null && year >= years.first - 1 && year <= years.last + 1;
    // A time to the minute is that of an entry, wherever its clock stood; midnight is how exports write a mere date.
    const isStamp = clock !== undefined && !/^[T ]0?0:00/.test(clock);
    return isOfCase || isStamp ? all : `${blank('birth date')}${clock ?? ''}`;
  });
  text = text.replace(PHONE_LABEL, (all: string, number: string) => tail(all, number, 'contact'));
  text = text.replace(NATIONAL_NUMBER, () => blank('record number')).replace(PHONE, () => blank('contact'));
  text = text.replace(RECORD_LABEL, (all: string, number: string) => tail(all, number, 'record number'));
  text = text.replace(STREET, () => blank('address')).replace(POSTAL_CODE, () => blank('address'));
  text = text.replace(LONG_NUMBER, (all: string, at: number, before: string) => {
    const figures = all.replace(/\D/g, '');
    const isRound = /000$/.test(figures) && figures.length <= 9;
    if (isRound || KNOWN_WORDS.has(figures) || codes.has(figures) || AMOUNT.test(before.slice(at + all.length)) || (figures.length >= 8 && isCompactDate(figures) && isNear(figures, years))) return all;
    return blank('record number');
  });
  return text.replace(AGED, (all: string, plain: string | undefined, label: string | undefined) => {
    if (plain === undefined && label === undefined) return all;
    found.push('age');
    return `${label ?? ''}${OLDEST}`;
  });
}

/** Whether a compact date lies in the years of the case. */
function isNear(figures: string, years: ScrubContext['years']): boolean {
  const year = Number(/^(?:19|2\d)\d{2}/.exec(figures)?.[0] ?? figures.slice(4, 8));
  return years !== null && year >= years.first - 1 && year <= years.last + 1;
}

function scrubNames(whole: string, blank: (kind: IdentifierKind) => string): string {
  let text = whole;
  text = text.replace(TITLED, (all: string, title: string, gap: string, titles: string, name: string, more: string) => {
    if (isShouted(title) && title.length <= 3 && titles === '' && !isFrequentName(last(name)) && !/[\p{Ll}]/u.test(name)) return all;
    if (WEAK_TITLES.has(title) && titles === '' && !isFrequentName(last(name)) && !(gap.startsWith('.') && mayBeName(last(name)))) return all;
    if (isNoName(last(name))) return all;
    const [first = '', ...others] = more.split(/(?= )/).filter((part) => part !== '');
    let kept = [first, ...others].join('');
    if (first !== '' && isPlausible(last(first))) kept = others.length > 0 && isPlausible(last(others[0] ?? '')) && isGivenName(last(name)) ? others.slice(1).join('') : others.join('');
    return `${title}${gap}${titles}${blank('name')}${kept}`;
  });
  text = text.replace(TITLED_LOWER, (all: string, name: string) => (isFrequentName(name) ? `${all.slice(0, all.length - name.length)}${blank('name')}` : all));
  text = text.replace(ROLED, (all: string, role: string, names: string) => {
    const label = all.slice(0, all.length - names.length);
    if (!/\p{Lu}/u.test(names.charAt(0)) && !/^(?:von|van|de|di|del|della|da|der|den|la|le) /.test(names)) return all;
    const words = names.split(/(?=[ ,])/);
    const isLabelled = /[:=] ?$/.test(label) && !/^(?:by|von|par)$/i.test(role);
    let n = 0;
    for (const word of words) {
      const bare = word.replace(/^[ ,]+|[.,]+$/g, '');
      const isName = /^\p{Lu}/u.test(bare) && (isFrequentName(bare) || ((isLabelled || n > 0) && isPlausible(bare)));
      const isParticle = /^(?:von|van|vom|de|del|della|di|da|der|den|dem|zu|zur|la|le|ter|ten|el|al|bin)$/.test(bare) || bare === '';
      if (!isName && !isParticle) break;
      n += 1;
    }
    return n === 0 ? all : `${label}${blank('name')}${words.slice(n).join('')}`;
  });
  text = text.replace(SURNAME_FIRST, (all: string, surname: string, given: string) => (isPlausible(surname) && isGivenName(given) ? blank('name') : all));
  text = text.replace(INITIALED, (all: string, initials: string, name: string) => {
    const isAnatomy = /^[AMNRV]\. ?$/.test(initials) && ANATOMY.test(name.toLowerCase());
    return isAnatomy || !mayBeName(name) ? all : blank('name');
  });
  return scrubGivenNames(text, blank);
}

/** Blanks frequent given names with the surname beside them. */
function scrubGivenNames(text: string, blank: (kind: IdentifierKind) => string): string {
  const words = [...text.matchAll(CAPITALISED)].map((match) => ({ word: match[0], start: match.index, end: match.index + match[0].length }));
  let out = '';
  let at = 0;
  for (let i = 0; i < words.length; i += 1) {
    const own = words[i];
    if (own === undefined || own.start < at || !isGivenName(own.word) || !mayBeName(own.word)) continue;
    let { start, end } = own;
    const besideRight = (j: number): boolean => JOINT.test(text.slice(end, words[j]?.start ?? end));
    let next = i + 1;
    while (next <= i + 3 && words[next] !== undefined && besideRight(next) && isPlausible(words[next]?.word ?? '')) {
      end = words[next]?.end ?? end;
      next += 1;
    }
    const before = words[i - 1];
    const isAlone = next === i + 1;
    if (isAlone && before !== undefined && before.start >= at && text.slice(before.end, start) === ' ' && isPlausible(before.word)) start = before.start;
    // "ANA" or "EVA" among capitals may be an abbreviation.
    if (isShouted(own.word) && own.word.length <= 4 && isAlone && start === own.start) continue;
    out += text.slice(at, start) + blank('name');
    at = end;
    i = next - 1;
  }
  return at === 0 ? text : out + text.slice(at);
}

function last(words: string): string {
  return words.trim().split(/ +/).at(-1)?.replace(/\.$/, '') ?? '';
}

function isPlausible(word: string): boolean {
  return word !== '' && mayBeName(word);
}

function isShouted(word: string): boolean {
  return word === word.toUpperCase() && word.length > 1;
}
