/*
 * How identifiers are written, whatever stands around them. Source: the numbers' own rules as published by their registers, from
 * memory; Safe Harbor, 45 CFR 164.514(b)(2)(i), for what identifies. Every pattern is bounded, so that no text takes long.
 */

export const EMAIL = /[\p{L}\d._%+-]{1,64}@[\p{L}\d-]{1,63}(?:\.[\p{L}\d-]{1,63}){1,5}/gu;
export const URL_TEXT = /(?:\bhttps?:\/\/|\bwww\.)[^\s,;|"'<>]{2,500}/gi;
export const IP_ADDRESS = /(?<![\d.])(?:25[0-5]|2[0-4]\d|1?\d?\d)(?:\.(?:25[0-5]|2[0-4]\d|1?\d?\d)){3}(?![\d.])/g;
export const MAC_ADDRESS = /(?<![\da-f:-])[\da-f]{2}(?:[:-][\da-f]{2}){5}(?![\da-f:-])/gi;
export const UUID = /(?<![\da-z])[\da-f]{8}-[\da-f]{4}-[\da-f]{4}-[\da-f]{4}-[\da-f]{12}(?![\da-z])/gi;

/** Telephone numbers by their own form: with a plus, brackets, or groups as written in North America and Germany. */
export const PHONE = /(?<![\d+.,:/-])(?:\+\d{1,3}[ ./-]?(?:\(0\)[ ]?)?\d{1,5}(?:[ ./-]?\d{2,8}){1,5}|\(\d{2,5}\)[ /-]?\d{3,8}(?:[ -]\d{2,6}){0,3}|\d{3}[-. ]\d{3}[-. ]\d{4}|\d{3,4}-\d{3,4}-\d{3,4}|0\d{2,4}[ ]?[/-][ ]?\d{3,9}(?:[ -]\d{1,6}){0,3}|0\d{3,4} \d{3} ?\d{3,4}|0\d(?:[ .]\d{2}){4})(?![\d:]|[.,]\d)/g;

/** National and insurance numbers: US (SSN), UK (NHS, national insurance), FR (NIR), IT (codice fiscale), ES (DNI, NIE), DE (KVNR), CH (AHV). */
export const NATIONAL_NUMBER =
  /(?<![\d-])\d{3}-\d{2}-\d{4}(?![\d-])|(?<!\d)\d{3} \d{3} \d{4}(?!\d)|(?<![\p{L}\d])[A-CEGHJ-PR-TW-Z]{2} ?\d{2} ?\d{2} ?\d{2} ?[A-D](?![\p{L}\d])|(?<!\d)[12] ?\d{2} ?(?:0[1-9]|1[0-2]|[2-9]\d) ?(?:\d{2}|2[AB]) ?\d{3} ?\d{3}(?: ?\d{2})?(?!\d)|(?<![\p{L}\d])[A-Z]{6}\d{2}[A-Z]\d{2}[A-Z]\d{3}[A-Z](?![\p{L}\d])|(?<![\p{L}\d])(?:\d{8}|[XYZ]\d{7})-?[A-HJ-NP-TV-Z](?![\p{L}\d])|(?<![\p{L}\d])[A-Z]\d{9}(?!\d)|(?<!\d)756\.\d{4}\.\d{4}\.\d{2}(?!\d)/gu;

/** A number as records are numbered by: six figures or more in one, letters before them allowed. */
export const LONG_NUMBER = /(?<![\p{L}\d.,:+/^-])(?:[A-Z]{1,4}-?)?\d{6,20}(?![\p{L}\d:/]|[.,]\d|-\d{2}-\d{2})/gu;

/** Postal codes that stand by themselves: UK, and a ZIP code behind a comma and a state. */
export const POSTAL_CODE = /(?<![\p{L}\d])(?:[A-Z]{1,2}\d[A-Z\d]? \d[ABD-HJLNP-UW-Z]{2}|(?<=, ?)[A-Z]{2} \d{5}(?:-\d{4})?)(?![\p{L}\d])/gu;

/** Streets with a house number, as written in English, German, French, Spanish and Italian. */
export const STREET =
  /(?<![\p{L}\d])(?:\d{1,5}[A-Za-z]? (?:\p{Lu}[\p{L}'’-]{1,30} ){1,3}(?:Street|Road|Rd|Avenue|Ave|Lane|Drive|Close|Crescent|Terrace|Court|Boulevard|Blvd|Square|Gardens|Grove|Way)(?![\p{L}])|\p{Lu}[\p{L}-]{2,30}(?:straße|strasse|str\.|weg|platz|gasse|allee|ufer|ring)(?:,)? ?\d{1,4} ?[a-z]?(?![\p{L}\d])|\d{1,4}(?: ?(?:bis|ter))?,? (?:rue|avenue|boulevard|place|chemin|impasse) (?:\p{L}[\p{L}'’-]{0,30}[ ,]?){1,4}|(?:Calle|Avenida|Avda\.|Plaza|Paseo) (?:\p{L}[\p{L}'’-]{0,30} ?){1,4},? ?\d{1,4}|(?:Via|Viale|Corso|Piazza) (?:\p{Lu}[\p{L}'’-]{1,30} ?){1,3},? ?\d{1,4})/gu;

const MONTH = '(?:jan(?:uary|uar|vier)?|feb(?:ruary|ruar)?|f[ée]v(?:rier)?|m[aä]r(?:ch|z|s)?|mrz|apr(?:il)?|avr(?:il)?|ma[iy]|mai|juni?|june|juin|juli?|july|juillet|aug(?:ust)?|ao[uû]t|sep(?:t(?:ember|embre)?)?|o[ck]t(?:ober|obre)?|nov(?:ember|embre)?|de[cz](?:ember)?|d[ée]c(?:embre)?|enero|febrero|marzo|abril|mayo|junio|julio|agosto|septiembre|octubre|noviembre|diciembre|gennaio|febbraio|aprile|maggio|giugno|luglio|settembre|ottobre|novembre|dicembre)';

/** A whole date, in any order; the first group that is filled holds its year. */
export const DATE_TEXT = String.raw`(?<![\d./-])(?:\d{1,2}([./-])\d{1,2}\1((?:1[89]|2\d)\d{2})|((?:1[89]|2\d)\d{2})([./-])\d{1,2}\4\d{1,2}|\d{1,2}(?:st|nd|rd|th)?\.?[ -]?${MONTH}\.?,?[ -]?((?:1[89]|2\d)\d{2})|${MONTH}\.? \d{1,2}(?:st|nd|rd|th)?,? ((?:1[89]|2\d)\d{2}))(?![\d/-]|\.\d)`;

/** The same with a year of two figures: too short to be told from other numbers by itself. */
export const SHORT_DATE_TEXT = String.raw`(?<![\d./-])\d{1,2}([./-])\d{1,2}\1\d{2}(?![\d/-]|\.\d)`;

/** Returns whether a text is a compact date, alone or with a clock time: 20310304, 04032031, 203103040815. */
export function isCompactDate(figures: string): boolean {
  const ymd = /^(?:19|2\d)\d{2}(?:0[1-9]|1[0-2])(?:0[1-9]|[12]\d|3[01])(?:(?:[01]\d|2[0-3])[0-5]\d(?:[0-5]\d)?)?$/;
  const dmy = /^(?:0[1-9]|[12]\d|3[01])(?:0[1-9]|1[0-2])(?:19|20)\d{2}$|^(?:0[1-9]|1[0-2])(?:0[1-9]|[12]\d|3[01])(?:19|20)\d{2}$/;
  return ymd.test(figures) || dmy.test(figures);
}
