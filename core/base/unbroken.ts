const BEFORE_UNIT = /(\d) (?=(?:ms|s|min|h|%|points?|mmHg|µg|mg|mL|units|bytes|kB|MB|GB|°C)(?![\p{L}\d]))/gu;
const AFTER_SIGN = /(?<=[≥≤<>±]) (?=\d)/gu;
const WITHIN_LENGTH = /(?<=\d[ \u00a0](?:h|min)) (?=\d+[ \u00a0](?:min|s)(?![\p{L}\d]))/gu;
const DAY_OF_MONTH = /(?<=(?<![\d.,:])\d{1,2}) (?=(?:January|February|March|April|May|June|July|August|September|October|November|December)(?![\p{L}\d]))/gu;

/**
 * Returns text in which a number stays on one line with its unit and with the sign before it (≥ 30 s), and a length of time in one piece: "mid 4 h 40 min" breaks after "mid" alone.
 * For what is drawn and printed; what a program reads (CSV, JSON, text of the headless run) keeps its plain spaces.
 */
export function unbroken(text: string): string {
  return text.replace(BEFORE_UNIT, '$1\u00a0').replace(AFTER_SIGN, '\u00a0').replace(WITHIN_LENGTH, '\u00a0');
}

/**
 * Returns text unbroken for the window, where a day stays with its month as well: "28 November" does not part.
 * Not for written files: what goes out is searched for dates by their plain spaces.
 */
export function unbrokenWithDays(text: string): string {
  return unbroken(text).replace(DAY_OF_MONTH, '\u00a0');
}
