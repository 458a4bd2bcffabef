import { releaseTokens, type TextToken } from '../../identity/release-tokens.ts';
import { isAsked, LEFT_OUT, releaseKey, type ReleaseAnswer, type ReleaseContent, type ReleaseList, type ReleaseRemoval } from '../../model/release.ts';
import { GatheredWords } from './gathered-words.ts';
import { isSubtitlePlace, mapContentTexts } from './release-texts.ts';

/** What would go out, and what is written then. */
export interface Release {
  /** The content with the answers in it: what writers are given, and nothing else. */
  readonly content: ReleaseContent;
  readonly list: ReleaseList;
}

/** Answers to answers are followed so many times: a word that is replaced by one that is itself replaced. */
const MOST_ROUNDS = 5;

/**
 * Returns what leaves with the answers applied, and everything that would go out then: every word, number, date and clock time.
 * Shape   the list is made from the content that is returned, after the answers: what replaced a word is listed, and asked about,
 *         like any other. Nothing may be written while `list.open` is not 0.
 */
export function releaseOf(content: ReleaseContent, answers: readonly ReleaseAnswer[]): Release {
  const byKey = new Map(answers.map((answer) => [releaseKey(answer), answer]));
  const removed = new Map<string, { readonly answer: ReleaseAnswer; count: number }>();
  let released = content;
  for (let round = 0; round < MOST_ROUNDS; round++) {
    let changes = 0;
    released = mapContentTexts(released, (text, place) => {
      const changed = applied(text, place, byKey, (answer) => {
        changes += 1;
        const known = removed.get(releaseKey(answer));
        if (known === undefined) removed.set(releaseKey(answer), { answer, count: 1 });
        else known.count += 1;
      });
      return changed;
    });
    if (changes === 0) break;
  }
  const gathered = new GatheredWords();
  mapContentTexts(released, (whole, place) => {
    gathered.add(whole, place, tokensAt(whole, place));
    return whole;
  });
  const tokens = gathered.tokens(byKey);
  const removals = [...removed.values()].map(({ answer, count }): ReleaseRemoval => ({ ...answer, count, isCircular: gathered.has(answer) }));
  const open = tokens.filter(({ kind, isKept }) => isAsked(kind) && !isKept).length + removals.filter(({ kind, isCircular }) => isCircular && !isAsked(kind)).length;
  return { content: released, list: { tokens, columns: [], removals, open, isKeepOnly: false } };
}

/** In the line that says of which case a report is, a number is its name, which is often a record number. */
function tokensAt(text: string, place: string): readonly TextToken[] {
  const tokens = releaseTokens(text);
  return isSubtitlePlace(place) ? tokens.map((one) => (one.kind === 'number' && one.end - one.start > 1 ? { ...one, kind: 'identifier' as const } : one)) : tokens;
}

function applied(text: string, place: string, answers: ReadonlyMap<string, ReleaseAnswer>, onChange: (answer: ReleaseAnswer) => void): string {
  if (answers.size === 0 || text === '') return text;
  let out = '';
  let at = 0;
  for (const { kind, start, end } of tokensAt(text, place)) {
    const answer = answers.get(releaseKey({ kind, text: text.slice(start, end) }));
    if (answer === undefined || answer.decision === 'keep') continue;
    onChange(answer);
    out += text.slice(at, start) + (answer.decision === 'replace' ? answer.with : LEFT_OUT);
    at = end;
  }
  return at === 0 ? text : out + text.slice(at);
}

/** Returns every run of letters and figures that may be in a file of this content: what a reader can find in it. */
export function releasedWords(list: ReleaseList): ReadonlySet<string> {
  return new Set(list.tokens.flatMap(({ text }) => text.match(/[\p{L}\p{M}\p{N}]+/gu) ?? []));
}
