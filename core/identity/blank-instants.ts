import { DATE_TEXT, isCompactDate, SHORT_DATE_TEXT } from './shapes.ts';

/** Names of months as they stand in texts, without those that need a figure beside them. */
export const MONTHS = 'jan(?:uary|uar|vier)?|feb(?:ruary|ruar)?|f[ée]vrier|m[aä]r(?:ch|z|s)|apr(?:il)?|avril|ma[iy]|june?|juni|juin|july?|juli|juillet|aug(?:ust)?|ao[uû]t|sept?(?:ember|embre)?|o[ck]t(?:ober|obre)?|nov(?:ember|embre)?|de[cz](?:ember)?|d[ée]cembre';
const DATES = new RegExp(`${DATE_TEXT}(?=T?)`, 'giu');
const SHORT_DATES = new RegExp(SHORT_DATE_TEXT, 'gu');
export const DAY_AND_MONTH = new RegExp(`(?<![\\p{L}\\d])(?:\\d{1,2}(?:st|nd|rd|th)?\\.?[ -]?(?:${MONTHS})|(?:${MONTHS})\\.? \\d{1,2}(?:st|nd|rd|th)?)(?![\\p{L}\\d])(?:[ -](?:19|2\\d)\\d{2}|[ -]\\d{2}(?!\\d))?`, 'giu');
export const CLOCKS = /(?<![\d:])\d{1,2}:\d{2}(?::\d{2}(?:\.\d{1,6}|,\d{3}(?!\d))?)?(?:\s?[ap]\.?m\.?(?![a-z]))?(?:Z|\s?[+-]\d{2}:?\d{2})?(?![\d:])/giu;
export const STAMPS = /(?<![\p{L}\d.,])\d{8}(?:[T _-]?\d{4}(?:\d{2})?)?(?![\p{L}\d])/gu;
/** Unix seconds and milliseconds, and day numbers of a spreadsheet with a fraction. */
export const COUNTS = /(?<![\p{L}\d.,])(?:1\d{9}(?:\d{3})?(?:\.\d{1,6})?|[3-6]\d{4}[.,]\d{3,15})(?![\p{L}\d])/gu;

export const NO_DATE = '[date]';
export const NO_TIME = '[time]';

/** Returns a text without dates and clock times, for release as relative time; `[date]` and `[time]` stand where they were. */
export function blankInstants(text: string): string {
  if (!/\d/.test(text)) return text;
  return text
    .replace(DATES, NO_DATE)
    .replace(DAY_AND_MONTH, NO_DATE)
    .replace(SHORT_DATES, NO_DATE)
    .replace(STAMPS, (stamp) => (isCompactDate(stamp.replace(/\D/g, '')) ? NO_DATE : stamp))
    .replace(COUNTS, NO_DATE)
    .replace(/(?<=\[date\])T(?=\d)/g, ' ')
    .replace(CLOCKS, NO_TIME);
}
