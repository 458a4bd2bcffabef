import { isFrequentName, mayBeName } from './name-words.ts';
import { scrubText, type ScrubContext } from './scrub-text.ts';

/** There is no case beside it whose years would tell a date of birth from another. */
const NO_CASE: ScrubContext = { years: { first: 0, last: 9999 }, known: null, codes: new Set() };

/** Words that stand in the name of a role or a group. Common practice without source, from memory. */
const ROLE_WORDS: ReadonlySet<string> = new Set(
  `lead leader head chief chair chairs director deputy coordinator co-ordinator officer manager owner supervisor technician technicians engineer engineers educator trainer trainers tutor secretary
  group team unit department committee board council crew service staff ward clinic office pool project section division
  quality safety improvement monitoring equipment education training theatre theatres recovery research audit governance clinical medical nursing pharmacy biomedical technical duty shift senior junior
  leitung leiter leiterin beauftragte beauftragter gruppe abteilung stelle team technik qualität responsable équipe equipe chef groupe`.split(/\s+/),
);

/** Most words that a name of a person alone has. */
const MOST_NAME_WORDS = 3;

/**
 * Returns whether a text that should name a role looks as if it named a person: a title with a name, a frequent given name or surname,
 * or nothing but capitalised words that no role is known by.
 * Source  common practice without source. It takes a rare role for a name now and then, and does not find every name: a person is asked and
 *         has the last word.
 */
export function looksLikePerson(text: string): boolean {
  if (scrubText(text, NO_CASE).found.some((kind) => kind === 'name' || kind === 'contact')) return true;
  const words = text.match(/\p{L}[\p{L}'’-]*/gu) ?? [];
  if (words.some((word) => /^\p{Lu}/u.test(word) && isFrequentName(word))) return true;
  if (words.length === 0 || words.length > MOST_NAME_WORDS) return false;
  return words.every((word) => /^\p{Lu}/u.test(word) && mayBeName(word) && !ROLE_WORDS.has(word.toLowerCase()) && word !== word.toUpperCase());
}

/** Returns whether a text that is about what is done holds what looks like the name of a person, a number of a record or a way to reach somebody. */
export function namesSomebody(text: string): boolean {
  return scrubText(text, NO_CASE).found.length > 0;
}
