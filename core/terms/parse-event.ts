import dictionary from './dictionary.json' with { type: 'json' };
import { EVENT_KINDS, type EventKind } from '../model/event.ts';
import { DRUG_PHRASES } from './drug-names.ts';
import { foldText, wordsOf } from './fold-text.ts';
import { buildPhraseIndex, findPhrases } from './phrase-index.ts';
import { SITE_PHRASES } from './site-words.ts';
import type { ParsedEvent } from './terms.ts';

type Concept = keyof typeof dictionary.eventWords | 'site' | 'dye';

interface Pattern {
  readonly kind: EventKind;
  readonly term: string;
  readonly phase: ParsedEvent['phase'];
  readonly needs: readonly Concept[];
  /** The words must come in this order. */
  readonly isOrdered: boolean;
  /** Words from the first to the last of them, at most. */
  readonly reach: number;
}

/** One word or phrase of a clause and what it can mean. */
interface Piece {
  readonly start: number;
  readonly end: number;
  readonly concepts: readonly Concept[];
  readonly text: string;
}

interface Match {
  readonly pattern: Pattern;
  readonly pieces: readonly Piece[];
  readonly start: number;
  readonly end: number;
}

const NOTE: ParsedEvent = { kind: 'note', term: '', phase: 'moment', site: null };

/**
 * Returns the event that a free text reports; kind 'note' with term '' when nothing is recognised, or when the text only
 * plans, negates or looks back at something ("plan to turn prone", "arms not tucked", "low since prone").
 * Shape    a text that reports several events gives the first; parseEvents gives all.
 *          A sensor that fell off or lost contact is a note with the term 'sensor displaced': only one that was taken off
 *          on purpose is 'sensor off'.
 * Source   positions, dyes, bypass, tourniquet: handbook section 4; phrases: common practice without source.
 */
export function parseEvent(text: string): ParsedEvent {
  return parseEvents(text)[0] ?? NOTE;
}

/** Returns every event that a free text reports, in the order of the text; empty when it is a plain note. */
export function parseEvents(text: string): ParsedEvent[] {
  // `supine -> prone` and `supine > prone` are "supine to prone"; `> 90` is a number's business.
  const folded = foldText(text).replace(/-+>|=>|>(?!\s*\d)/g, ' to ');
  const events: ParsedEvent[] = [];
  for (const clause of folded.split(CLAUSE_ENDS)) {
    if (!/[a-z\u0370-\u052f]/.test(clause)) continue;
    const words = wordsOf(clause);
    for (let from = 0; from < words.length; from += MAX_CLAUSE_WORDS) events.push(...eventsOfClause(words.slice(from, from + MAX_CLAUSE_WORDS)));
  }
  return events;
}

const PHASES: readonly ParsedEvent['phase'][] = ['start', 'end', 'moment'];

/** No one writes a longer clause; every combination of its words is tried, so endless text is taken in stretches of it. */
const MAX_CLAUSE_WORDS = 80;

const CLAUSE_ENDS = /[.,;!?()[\]\n\r]|\s-\s/;

function eventsOfClause(words: readonly string[]): ParsedEvent[] {
  const pieces = piecesOf(words);
  if (pieces.length === 0) return [];
  const matches: Match[] = [];
  const free = new Set(pieces);
  for (;;) {
    const best = bestMatch([...free], words.length);
    if (best === null) break;
    for (const piece of best.pieces) free.delete(piece);
    matches.push(best);
  }
  matches.sort((a, b) => a.start - b.start);
  const reported = matches.filter((match) => isReported(match, pieces, words) && !isLeft(match, matches, words));
  const isPositioned = matches.some((match) => match.pattern.kind === 'position' && !VAGUE.has(match.pattern.term));
  return reported
    .filter((match) => !(isPositioned && VAGUE.has(match.pattern.term)))
    .filter((match, i, all) => all.findIndex((other) => other.pattern.term === match.pattern.term && other.pattern.phase === match.pattern.phase) === i)
    .map((match) => ({ kind: match.pattern.kind, term: match.pattern.term === DYE_TERM ? dyeNamed(match) : match.pattern.term, phase: match.pattern.phase, site: /^sensor/.test(match.pattern.term) ? siteNamed(words) : null }));
}

/** Say that the position changed, not to what: left out beside a term that does. */
const VAGUE: ReadonlySet<string> = new Set(['turned', 'position changed']);

function piecesOf(words: readonly string[]): Piece[] {
  const events = findPhrases(words, EVENT_PHRASES);
  const pieces: Piece[] = [];
  for (const hit of events) {
    if (!hit.meaning.includes('nothing')) pieces.push({ start: hit.start, end: hit.end, concepts: hit.meaning, text: hit.phrase });
  }
  const covered = (start: number, end: number): boolean => events.some((hit) => hit.start < end && hit.end > start && hit.end - hit.start >= end - start);
  for (const hit of findPhrases(words, SITE_PHRASES)) {
    if (hit.meaning.site !== null && !covered(hit.start, hit.end)) pieces.push({ start: hit.start, end: hit.end, concepts: ['site'], text: hit.phrase });
  }
  for (const hit of findPhrases(words, DRUG_PHRASES)) {
    const [entry] = hit.meaning.entries;
    if (hit.meaning.kind === 'name' && entry?.drugClass === 'dye') pieces.push({ start: hit.start, end: hit.end, concepts: ['dye'], text: entry.term.inn });
  }
  return pieces.sort((a, b) => a.start - b.start);
}

/** The match with most words, then the earlier pattern of the dictionary. */
function bestMatch(pieces: readonly Piece[], nWords: number): Match | null {
  let best: Match | null = null;
  const present = new Set(pieces.flatMap((piece) => piece.concepts));
  for (const pattern of PATTERNS) {
    if (best !== null && pattern.needs.length <= best.pattern.needs.length) continue;
    if (!pattern.needs.every((need) => present.has(need))) continue;
    const match = matchOf(pattern, pieces, nWords);
    if (match !== null) best = match;
  }
  return best;
}

function matchOf(pattern: Pattern, pieces: readonly Piece[], nWords: number): Match | null {
  let found: Match | null = null;
  const choose = (chosen: readonly Piece[]): void => {
    const need = pattern.needs[chosen.length];
    if (need === undefined) {
      const start = Math.min(...chosen.map((piece) => piece.start));
      const end = Math.max(...chosen.map((piece) => piece.end));
      const inner = chosen.reduce((sum, piece) => sum + piece.end - piece.start, 0);
      if (end - start - inner <= pattern.reach && (found === null || end - start < found.end - found.start)) found = { pattern, pieces: chosen, start, end };
      return;
    }
    for (const piece of pieces) {
      if (chosen.includes(piece) || !piece.concepts.includes(need)) continue;
      if (pattern.isOrdered && piece.start < (chosen.at(-1)?.end ?? 0)) continue;
      choose([...chosen, piece]);
    }
  };
  choose([]);
  return found !== null && hasContext(found, pieces, nWords) ? found : null;
}

/**
 * Some words name a position only in company: "lateral", "sitting", "turned" in a long sentence may be about anything.
 * They count in a clause of up to four words, or beside a word about positioning.
 */
function hasContext(match: Match, pieces: readonly Piece[], nWords: number): boolean {
  const [piece] = match.pieces;
  if (match.pieces.length > 1 || piece === undefined || !NEEDS_COMPANY.has(match.pattern.term)) return true;
  if (nWords <= 4 || piece.text.includes(' ')) return true;
  return pieces.some((other) => other !== piece && (other.concepts.includes('positionWord') || other.concepts.includes('turn') || other.concepts.includes('positionChange')) && Math.abs(other.start - piece.start) <= 3);
}

const NEEDS_COMPANY: ReadonlySet<string> = new Set(['lateral', 'lateral left', 'lateral right', 'sitting', 'level', 'table tilt', 'turned', 'position changed', 'surgery end', 'surgery start']);

function isReported(match: Match, pieces: readonly Piece[], words: readonly string[]): boolean {
  for (const piece of pieces) {
    if (match.pieces.includes(piece)) continue;
    const says = (concept: Concept): boolean => piece.concepts.includes(concept);
    if (says('not') && piece.start < match.end && match.start - piece.end <= 4) return false;
    if (says('not') && piece.start >= match.end && piece.start - match.end <= 1) return false;
    if (says('plan')) return false;
    if (says('when') && piece.end <= match.start && match.start - piece.end <= 3 && !wordsBetweenReport(words, piece.end, match.start)) return false;
  }
  // "turned from supine to prone": what comes after "from" is over.
  return !(words[match.start - 1] === 'from' || words[match.start - 1] === 'von' || words[match.start - 1] === 'de' && words.includes('a', match.end));
}

/** "supine to prone" leaves the first; "prone to bleeding" names no position at all. */
function isLeft(match: Match, matches: readonly Match[], words: readonly string[]): boolean {
  if (match.pattern.kind !== 'position' || words[match.end] !== 'to') return false;
  const next = matches.find((other) => other.start > match.end && other.start - match.end <= 2);
  return next === undefined ? match.pattern.term === 'prone' : next.pattern.kind === 'position';
}

/** "after induction patient turned prone": a noun of its own between "after" and the position frees it. */
function wordsBetweenReport(words: readonly string[], start: number, end: number): boolean {
  return words.slice(start, end).some((word) => !BOUND_TO_WHEN.has(word));
}

const BOUND_TO_WHEN: ReadonlySet<string> = new Set(['the', 'being', 'patient', 'pt', 'was', 'were', 'is', 'in', 'to', 'into', 'turned', 'turning', 'turn', 'going', 'placed', 'put', 'placing', 'coming', 'placement', 'change', 'moving', 'positioning', 'a', 'of', 'steep', 'right', 'left', 'arms', 'both', 'flip', 'flipping', 'der', 'die', 'la', 'le', 'en', 'start', 'sensor', 'tourniquet', 'aortic']);

function siteNamed(words: readonly string[]): string | null {
  const hits = findPhrases(words, SITE_PHRASES).filter((hit) => hit.meaning.site !== null);
  const precise = hits.filter((hit) => hit.meaning.site !== 'other');
  const sites = precise.length > 0 ? precise : hits;
  const target = sites.find((hit) => words.slice(Math.max(0, hit.start - 3), hit.start).some((word) => TOWARDS.has(word)));
  return (target ?? sites.at(-1))?.meaning.site ?? null;
}

const TOWARDS: ReadonlySet<string> = new Set(dictionary.eventWords.to.map((word) => foldText(word)).filter((word) => word !== 'an' && word !== 'a'));

const DYE_TERM = 'dye';

function dyeNamed(match: Match): string {
  return match.pieces.find((piece) => piece.concepts.includes('dye'))?.text ?? DYE_TERM;
}

const EVENT_PHRASES = buildPhraseIndex<readonly Concept[]>(
  Object.entries(dictionary.eventWords).flatMap(([concept, phrases]) =>
    // Object.entries widens the keys of this very object to string.
    phrases.map((phrase) => [phrase, [concept as Concept]] as const),
  ),
  (a, b) => [...new Set([...a, ...b])],
);

const PATTERNS: readonly Pattern[] = [
  ...dictionary.eventPatterns.map((listed) => {
    const pattern: { kind: string; term: string; phase: string; needs: readonly string[]; ordered?: boolean; reach?: number } = listed;
    const kind = EVENT_KINDS.find((known) => known === pattern.kind);
    const phase = PHASES.find((known) => known === pattern.phase);
    if (kind === undefined || phase === undefined) throw new Error(`unknown event kind or phase in the dictionary: ${pattern.kind}, ${pattern.phase}`);
    return { kind, term: pattern.term, phase, needs: pattern.needs.map(conceptNamed), isOrdered: pattern.ordered ?? false, reach: pattern.reach ?? 6 };
  }),
  { kind: 'dye', term: DYE_TERM, phase: 'moment', needs: ['dye'], isOrdered: false, reach: 0 },
];

function conceptNamed(name: string): Concept {
  // Checked on the line: only a key of this very object passes.
  if (name === 'site' || Object.hasOwn(dictionary.eventWords, name)) return name as Concept;
  throw new Error(`unknown event word class in the dictionary: ${name}`);
}
