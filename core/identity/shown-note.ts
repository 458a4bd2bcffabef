import { isAsked } from '../model/release.ts';
import { releaseTokens } from './release-tokens.ts';

/** What stands in a note in the place of what a meeting may not see. */
export const LEFT_OUT = '[…]';

/**
 * Returns a note that a person pinned to a case as a meeting may see it: without the name of the case, and without everything that would be
 * asked about before it leaves the library (names, dates, clock times, numbers that identify, places, ages, and words that nobody knows).
 * Shape    several of these beside each other are left out as one. What is left stands as it was typed.
 * Source   what identifies: Safe Harbor, 45 CFR 164.514(b)(2)(i), as in `releaseTokens`. A note was not written for the meeting: nobody is asked, so nothing doubtful passes.
 */
export function shownNote(text: string, caseName: string): string {
  const without = caseName.trim() === '' ? text : text.replaceAll(new RegExp(escaped(caseName.trim()), 'giu'), LEFT_OUT);
  return without.split(LEFT_OUT).map(withoutAsked).join(LEFT_OUT).replaceAll(REPEATED, LEFT_OUT).trim();
}

const REPEATED = /\[…\](?:[\s,.;:/&+-]*\[…\])+/gu;

function withoutAsked(text: string): string {
  let shown = '';
  let at = 0;
  for (const { kind, start, end } of releaseTokens(text)) {
    shown += text.slice(at, start) + (isAsked(kind) ? LEFT_OUT : text.slice(start, end));
    at = end;
  }
  return shown + text.slice(at);
}

function escaped(text: string): string {
  return text.replaceAll(/[.*+?^${}()|[\]\\]/gu, String.raw`\$&`);
}
