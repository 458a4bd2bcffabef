/*
 * What a reader finds in the written files is what the list said: HTML read as text, PDF with pdf.js (unpdf), PPTX as a ZIP (fflate) of
 * XML (saxes) with its properties, words for pictures and notes. A name planted anywhere is asked about.
 */
import fc from 'fast-check';
import { strFromU8, unzipSync } from 'fflate';
import { SaxesParser } from 'saxes';
import { getDocumentProxy } from 'unpdf';
import { beforeAll, expect, test } from 'vitest';
import type { Deck, DeckSlide } from '../../core/model/deck.ts';
import { isAsked, type ReleaseAnswer, type ReleaseContent } from '../../core/model/release.ts';
import type { ReportBlock, ReportDocument, ReportTable } from '../../core/model/report-document.ts';
import { releasedWords, releaseOf } from '../../core/report/release/release-list.ts';
import { WRITERS_OWN } from '../../core/report/release/writers-own.ts';
import { readReportFonts, type ReportFonts } from '../../core/worker/report-fonts.ts';
import { releaseDeck, releaseReport, releaseSheets } from '../../core/worker/write-release.ts';

let fonts: ReportFonts;
beforeAll(async () => {
  fonts = await readReportFonts();
});

const words = fc.array(fc.constantFrom('probe', 'Quillfeather', '14:32', 'Dr Long', '2031-03-04', 'arm', 'loss', '+0:05:00', 'K01', 'theatre 4', 'SpO2', '98 %', 'naïve', 'Ärmel', 'über', 'finger.', 'The', 'x <b> & "y"'), { minLength: 1, maxLength: 7 }).map((parts) => parts.join(' '));
const table: fc.Arbitrary<ReportTable> = fc.record({ caption: words, columns: fc.constant([{ heading: 'Loss', align: 'start' as const }, { heading: 'Length', align: 'end' as const }]), rows: fc.array(fc.tuple(words, words), { maxLength: 3 }), note: words });
const block: fc.Arbitrary<ReportBlock> = fc.oneof(
  words.map((text): ReportBlock => ({ kind: 'paragraph', tone: 'plain', text })),
  fc.array(words, { minLength: 1, maxLength: 3 }).map((items): ReportBlock => ({ kind: 'list', items, isNumbered: true })),
  fc.tuple(words, words).map((row): ReportBlock => ({ kind: 'facts', rows: [row] })),
  table.map((one): ReportBlock => ({ kind: 'table', table: one })),
  fc.record({ caption: words, alternative: words, text: words, behind: fc.option(table, { nil: null }) }).map(({ caption, alternative, text, behind }): ReportBlock => ({
    kind: 'figure', table: behind, figure: { caption, alternative, scene: { width: 700, height: 200, shapes: [{ kind: 'text', x: 2, y: 20, text, size: 6, ink: 'ink', align: 'start' }] } },
  })),
);
const slide: fc.Arbitrary<Omit<DeckSlide, 'slideId'>> = fc.record({ part: words, title: words, blocks: fc.array(block, { maxLength: 2 }), notes: words });
const deckOf = fc.record({ title: words, header: words, footer: words, slides: fc.array(slide, { minLength: 1, maxLength: 2 }) }).map((parts): Deck => ({ ...parts, language: 'en', slides: parts.slides.map((one, i) => ({ ...one, slideId: `s${i}` })) }));

// Capital and small letters are one in the list.
const runsOf = (text: string): string[] => text.normalize('NFC').toLowerCase().match(/[\p{L}\p{M}\p{N}]+/gu) ?? [];
const OWN = new Set([...WRITERS_OWN.flatMap(runsOf), ...Array.from({ length: 20 }, (_, i) => String(i))]);

/** Answers everything: a third each is kept, replaced and left out. */
function answersTo(content: ReleaseContent): readonly ReleaseAnswer[] {
  const open = releaseOf(content, []).list.tokens.filter(({ kind }) => isAsked(kind));
  const first = open.map(({ kind, text }, i): ReleaseAnswer => (i % 3 === 0 ? { kind, text, decision: 'keep', with: '' } : i % 3 === 1 ? { kind, text, decision: 'replace', with: 'somebody' } : { kind, text, decision: 'leave out', with: '' }));
  // What stands beside a word that is gone may be asked about now: a capital that stood at the beginning stands inside a sentence.
  const then = releaseOf(content, first).list.tokens.filter(({ kind, isKept }) => isAsked(kind) && !isKept);
  return [...first, ...then.map(({ kind, text }): ReleaseAnswer => ({ kind, text, decision: 'keep', with: '' }))];
}

/** Returns the words of a file that neither the list nor the writers own. */
function unlisted(content: ReleaseContent, answers: readonly ReleaseAnswer[], found: string): string[] {
  const listed = new Set([...releasedWords(releaseOf(content, answers).list)].flatMap(runsOf));
  return runsOf(found).filter((run) => !listed.has(run) && !OWN.has(run));
}

function textOfHtml(html: string): string {
  const attributes = [...html.matchAll(/ (?:aria-label|alt|title)="([^"]*)"/g)].map((match) => match[1] ?? '').join(' ');
  const text = html.replace(/<(style|script)>[\s\S]*?<\/\1>/g, ' ').replace(/<[^>]*>/g, ' ');
  return `${text} ${attributes}`.replaceAll('&lt;', '<').replaceAll('&gt;', '>').replaceAll('&quot;', '"').replaceAll('&amp;', '&');
}

async function textOfPdf(bytes: Uint8Array): Promise<string> {
  const pdf = await getDocumentProxy(bytes.slice());
  const found: string[] = [String(((await pdf.getMetadata()).info as Record<string, unknown>)['Title'])];
  type Node = { readonly alt?: string; readonly children?: readonly Node[] };
  const walk = (node: Node): void => {
    if (node.alt !== undefined) found.push(node.alt);
    for (const child of node.children ?? []) walk(child);
  };
  for (let i = 1; i <= pdf.numPages; i++) {
    const page = await pdf.getPage(i);
    found.push((await page.getTextContent()).items.map((one) => ('str' in one ? one.str : '')).join(' '));
    walk((await page.getStructTree()) as Node);
  }
  return found.join(' ');
}

function textOfPptx(bytes: Uint8Array): string {
  const found: string[] = [];
  for (const [name, part] of Object.entries(unzipSync(bytes))) {
    if (!/\.(xml|rels)$/.test(name)) continue;
    // Elements that hold text for people: runs, titles, properties (ECMA-376 part 1, 21.1.2.3.11; part 2, 11).
    const parser = new SaxesParser();
    let path: string[] = [];
    parser.on('opentag', ({ name: tag, attributes }) => {
      path = [...path, tag];
      for (const attribute of ['descr', 'title']) if (typeof attributes[attribute] === 'string') found.push(attributes[attribute]);
    });
    parser.on('closetag', () => {
      path = path.slice(0, -1);
    });
    parser.on('text', (text) => {
      if (text.trim() !== '' && !/^(?:dcterms:|dc:language)/.test(path.at(-1) ?? '') && !(path.at(-1) === 'a:t' && path.includes('a:fld'))) found.push(text);
    });
    parser.write(strFromU8(part)).close();
  }
  return found.join(' ');
}

test('slides: no word is in HTML, PDF or PPTX that the list does not hold', async () => {
  await fc.assert(fc.asyncProperty(deckOf, async (deck) => {
    const content = { kind: 'deck', deck } as const;
    const answers = answersTo(content);
    expect(releaseOf(content, answers).list.open).toBe(0);
    for (const form of ['html', 'pdf', 'pptx', 'svg'] as const) {
      const hasPicture = deck.slides.some(({ blocks }) => blocks.some(({ kind }) => kind === 'figure'));
      if (form === 'svg' && !hasPicture) continue;
      const file = await releaseDeck(deck, answers, form, 0, fonts);
      if (!file.ok) throw new Error(file.failure.message);
      const text = form === 'pdf' ? await textOfPdf(file.value.bytes) : form === 'pptx' ? textOfPptx(file.value.bytes) : textOfHtml(new TextDecoder().decode(file.value.bytes));
      expect(unlisted(content, answers, text), form).toEqual([]);
    }
  }), { numRuns: 6, endOnFailure: true });
}, 120_000);

test('reports: no word is in HTML or PDF that the list does not hold', async () => {
  await fc.assert(fc.asyncProperty(words, fc.array(block, { minLength: 1, maxLength: 3 }), async (subtitle, blocks) => {
    const document: ReportDocument = { title: 'Case sheet', subtitle, language: 'en', header: 'Confidential', footer: 'Lacuna 0.1.0', paper: 'A4', isDense: true, blocks };
    const content = { kind: 'report', document } as const;
    const answers = answersTo(content);
    for (const form of ['html', 'pdf'] as const) {
      const file = await releaseReport(document, answers, form, fonts);
      if (!file.ok) throw new Error(file.failure.message);
      expect(unlisted(content, answers, form === 'pdf' ? await textOfPdf(file.value.bytes) : textOfHtml(new TextDecoder().decode(file.value.bytes))), form).toEqual([]);
      const sheets = { title: 'Case sheets', documents: [document, { ...document, subtitle: 'K7', footer: subtitle }] };
      const said = answersTo({ kind: 'sheets', sheets });
      const all = await releaseSheets(sheets, said, form, fonts);
      if (!all.ok) throw new Error(all.failure.message);
      expect(unlisted({ kind: 'sheets', sheets }, said, form === 'pdf' ? await textOfPdf(all.value.bytes) : textOfHtml(new TextDecoder().decode(all.value.bytes))), form).toEqual([]);
    }
  }), { numRuns: 10, endOnFailure: true });
}, 60_000);

test('a name planted in any text is asked about, and nothing is written before that is answered', async () => {
  await fc.assert(fc.asyncProperty(deckOf, fc.nat(), async (plain, place) => {
    const texts: string[] = [];
    const mark = '"title":"';
    const json = JSON.stringify(plain);
    const places = [...json.matchAll(/"(?:title|header|footer|part|text|notes|caption|note|alternative|heading)":"/g)].map((match) => match.index + match[0].length);
    const at = places[place % places.length] ?? json.indexOf(mark);
    const deck = JSON.parse(`${json.slice(0, at)}Zweigelhofer ${json.slice(at)}`) as Deck; // the same deck with a longer text
    texts.push(...releaseOf({ kind: 'deck', deck }, []).list.tokens.filter(({ kind }) => isAsked(kind)).map(({ text }) => text));
    expect(texts).toContain('Zweigelhofer');
    expect(await releaseDeck(deck, answersTo({ kind: 'deck', deck }).filter(({ text }) => text !== 'Zweigelhofer'), 'html', 0, fonts)).toMatchObject({ ok: false, failure: { code: 'release-open' } });
  }), { numRuns: 40, endOnFailure: true });
});

test('answers that go in a circle stay open; a word that names nobody can be left out too', () => {
  const deck: Deck = { title: 'Told by Quillfeather', language: 'en', header: '', footer: '', slides: [] };
  const answer = (kind: ReleaseAnswer['kind'], text: string, decision: ReleaseAnswer['decision'], replacement = ''): ReleaseAnswer => ({ kind, text, decision, with: replacement });
  const circle = releaseOf({ kind: 'deck', deck }, [answer('name', 'Quillfeather', 'replace', 'Zweigelhofer'), answer('name', 'Zweigelhofer', 'replace', 'Quillfeather')]);
  expect(circle.list.open).toBeGreaterThan(0);
  expect(circle.list.removals.some(({ isCircular }) => isCircular)).toBe(true);
  const out = releaseOf({ kind: 'deck', deck }, [answer('name', 'Quillfeather', 'replace', 'the nurse'), answer('word', 'told', 'leave out')]);
  expect(out.list.open).toBe(0);
  expect(out.content).toMatchObject({ deck: { title: '[…] by the nurse' } });
});
