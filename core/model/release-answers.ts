import type { Failure } from '../base/result.ts';
import { isAsked, releaseKey, type ReleaseAnswer, type ReleaseList } from './release.ts';

/** Returns the list of a bundle with what was said of it. Nothing in a bundle is replaced or left out: whatever else than *keep* was said leaves a word open. */
export function answeredBundle(list: ReleaseList, answers: readonly ReleaseAnswer[]): ReleaseList {
  const kept = new Set(answers.filter(({ decision }) => decision === 'keep').map(releaseKey));
  const tokens = list.tokens.map((token) => (kept.has(releaseKey(token)) ? { ...token, isKept: true } : token));
  return { ...list, tokens, open: tokens.filter(({ kind, isKept }) => isAsked(kind) && !isKept).length };
}

/** Most words that a refusal names. */
const NAMED = 12;

/** Returns why something may not leave while words of it are open. */
export function openFailure({ tokens, open, isKeepOnly }: ReleaseList): Failure {
  const asked = tokens.filter(({ kind, isKept }) => isAsked(kind) && !isKept);
  const named = asked.slice(0, NAMED).map(({ kind, text }) => `${kind} “${text}”`).join(', ');
  return {
    code: 'release-open',
    message: `${open === 1 ? 'One word or date has' : `${open} words and dates have`} to be answered before anything is written: ${named}${asked.length > NAMED ? ` and ${asked.length - NAMED} more` : ''}.`,
    remedy: isKeepOnly ? 'Keep each, or change where it comes from and make the bundle anew: words inside a bundle are not changed.' : 'Say of each whether it is kept, replaced or left out.',
  };
}
