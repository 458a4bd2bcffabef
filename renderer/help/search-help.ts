import type { HelpPage } from './help-page.ts';
import { sectionsOf, type HelpSection } from './help-sections.ts';

/** A part of a page in which every word of a search stands. */
export interface HelpHit {
  readonly path: string;
  readonly pageTitle: string;
  readonly anchor: string;
  readonly title: string;
  /** The words around the first match; from the beginning of the part where only its title matches. */
  readonly around: string;
}

/** Characters shown before and after the first match. */
const BEFORE = 40;
const AFTER = 120;

/** Returns a text as it is searched: lower case, without accents; as long as it was wherever it was composed. */
function folded(text: string): string {
  return text.normalize('NFD').replace(/\p{M}/gu, '').replaceAll('’', "'").replace(/[“”]/g, '"').toLowerCase();
}

/** Returns the parts that hold every word of `query`, those with all of them in their titles first, then in the order of the contents; nothing for an empty query. */
export function searchHelp(pages: readonly HelpPage[], query: string): HelpHit[] {
  const words = folded(query).split(/\s+/).filter((word) => word !== '');
  if (words.length === 0) return [];
  const hits: { readonly hit: HelpHit; readonly rank: number }[] = [];
  for (const page of pages) {
    for (const section of sectionsOf(page)) {
      const titles = folded(`${page.title} ${section.title}`);
      const text = folded(section.text);
      if (!words.every((word) => titles.includes(word) || text.includes(word))) continue;
      // A part whose only match is the title of its page is not worth a line of its own.
      const isOwn = words.some((word) => folded(section.title).includes(word) || text.includes(word));
      if (!isOwn) continue;
      hits.push({ hit: hitOf(page, section, words), rank: words.every((word) => folded(section.title).includes(word)) ? 0 : words.every((word) => titles.includes(word)) ? 1 : 2 });
    }
  }
  return hits.sort((a, b) => a.rank - b.rank).map(({ hit }) => hit);
}

/** Returns where the first whole word from `from` on begins, at the latest `last`. */
function wordAfter(text: string, from: number, last: number): number {
  const blank = text.indexOf(' ', from - 1);
  return blank === -1 || blank >= last ? last : blank + 1;
}

/** Returns where the last whole word before `to` ends; `to` where there is no blank after `first`. */
function wordBefore(text: string, to: number, first: number): number {
  const blank = text.lastIndexOf(' ', to);
  return blank <= first ? to : blank;
}

function hitOf(page: HelpPage, section: HelpSection, words: readonly string[]): HelpHit {
  const text = folded(section.text);
  const places = words.map((word) => text.indexOf(word)).filter((place) => place >= 0);
  const first = places.length === 0 ? 0 : Math.min(...places);
  const from = first <= BEFORE ? 0 : wordAfter(section.text, first - BEFORE, first);
  const to = first + AFTER >= section.text.length ? section.text.length : wordBefore(section.text, first + AFTER, first);
  const around = `${from > 0 ? '… ' : ''}${section.text.slice(from, to)}${to < section.text.length ? ' …' : ''}`;
  return { path: page.path, pageTitle: page.title, anchor: section.anchor, title: section.title, around };
}
