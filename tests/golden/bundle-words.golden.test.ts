/*
 * Every word of the research bundle of the sample cases is in its list: read again by readers that share no code with the list, CSV with
 * PapaParse, Parquet with hyparquet, XML with saxes, the archive with fflate. The sample cases are invented (sample-cases/README.md);
 * what is asked about them is known.
 */
import { strFromU8, unzipSync } from 'fflate';
import { parquetReadObjects } from 'hyparquet';
import Papa from 'papaparse';
import { SaxesParser } from 'saxes';
import { beforeAll, describe, expect, test } from 'vitest';
import { isAsked, tallyOf, type ReleaseAnswer, type ReleaseList } from '../../core/model/release.ts';
import { releaseListSchema } from '../../core/model/release-schema.ts';
import { answeredBundle } from '../../core/model/release-answers.ts';
import { releasedWords } from '../../core/report/release/release-list.ts';
import type { WrittenBundle } from '../../core/worker/bundle-zip.ts';
import { readSamples, readTruth, type ReadSamples } from './read-samples.ts';
import { sampleBundle } from './sample-bundle.ts';

let samples: ReadSamples;
let bundle: WrittenBundle;
beforeAll(async () => {
  samples = await readSamples();
  bundle = await sampleBundle(samples, Object.keys(readTruth()), { relativeTime: false });
}, 120_000);

const runsOf = (text: string): string[] => text.normalize('NFC').toLowerCase().match(/[\p{L}\p{M}\p{N}]+/gu) ?? [];

/** Says whether a reader could have known from the list that a text would go out. */
function listed(list: ReleaseList): (text: string) => boolean {
  const words = new Set([...releasedWords(list)].flatMap(runsOf));
  return (text) => runsOf(text).every((run) => words.has(run));
}

/** Returns every text of a file, with the name of the column of a table. */
async function textsOf(name: string, bytes: Uint8Array): Promise<{ readonly column: string; readonly text: string }[]> {
  const text = strFromU8(bytes);
  if (name.endsWith('.csv')) {
    const [headings = [], ...rows] = Papa.parse<string[]>(text, { header: false, skipEmptyLines: true }).data;
    return [...headings.map((heading) => ({ column: '', text: heading })), ...rows.flatMap((row) => row.map((cell, i) => ({ column: headings[i] ?? '', text: cell })))];
  }
  if (name.endsWith('.parquet')) {
    const rows = await parquetReadObjects({ file: bytes.slice().buffer });
    return rows.flatMap((row) => Object.entries(row).flatMap(([column, value]) => [{ column: '', text: column }, ...(typeof value === 'string' ? [{ column, text: value }] : [])]));
  }
  if (name.endsWith('.json')) {
    const found: { column: string; text: string }[] = [];
    JSON.parse(text, (key, value: unknown) => {
      found.push({ column: '', text: key });
      if (typeof value === 'string') found.push({ column: key, text: value });
      return value;
    });
    return found.filter((one) => !/^\d+$/.test(one.text) || one.column !== ''); // places in lists are no words
  }
  if (!name.endsWith('.svg')) return [{ column: '', text }];
  const found: string[] = [];
  const parser = new SaxesParser();
  parser.on('text', (words) => void found.push(words));
  parser.on('opentag', ({ attributes }) => {
    const label: unknown = attributes['aria-label'];
    if (typeof label === 'string') found.push(label);
  });
  parser.write(text).close();
  return found.map((words) => ({ column: '', text: words }));
}

test('no text of any file, in CSV, Parquet, JSON, Markdown or SVG, and no name of a file is missing from the list', async () => {
  const isListed = listed(bundle.list);
  const summed = (column: string, text: string): boolean => bundle.list.columns.some((one) => (one.column === column || one.column.endsWith(`.${column}`)) && (one.kind === 'number' ? Number(text) >= Number(one.smallest) && Number(text) <= Number(one.largest) : text >= one.smallest && text <= one.largest));
  const files = Object.entries(unzipSync(bundle.zip));
  expect(files.length).toBeGreaterThan(50);
  for (const [name, bytes] of files) {
    expect(isListed(name), name).toBe(true);
    const missing = (await textsOf(name, bytes)).filter(({ column, text }) => !isListed(text) && !summed(column, text));
    expect(missing.slice(0, 3), name).toEqual([]);
  }
});

test('a word in the list is in a file: nothing is asked about that does not go out', () => {
  const all = new Set(Object.entries(unzipSync(bundle.zip)).filter(([name]) => !name.endsWith('.parquet')).flatMap(([name, bytes]) => [...runsOf(name), ...runsOf(strFromU8(bytes))]));
  const asked = bundle.list.tokens.filter(({ kind }) => isAsked(kind));
  expect(asked.filter(({ text }) => !text.startsWith('every ') && !runsOf(text).every((run) => all.has(run))).map(({ text }) => text)).toEqual([]);
});

test('asked about are the names of the cases, dates and what exports say; nothing of the program’s own wording', () => {
  const asked = bundle.list.tokens.filter(({ kind }) => isAsked(kind));
  const cases = new Set(Object.keys(readTruth()));
  const rest = asked.filter(({ kind, text }) => !(kind === 'identifier' && cases.has(text)) && !(kind === 'date' && text.includes('2031-')));
  // "9mg" stands in a text of an administration.
  expect(rest.map(({ kind, text, place }) => `${kind}: ${text} (${place})`)).toEqual(['identifier: 9mg (tables/exposures.csv, source_text)']);
  expect(asked.filter(({ text }) => cases.has(text))).toHaveLength(cases.size);
  expect(releaseListSchema.parse(JSON.parse(JSON.stringify(bundle.list)))).toEqual(bundle.list);
});

test('with times from the first row no date and no clock time is in the list', async () => {
  const { list } = await sampleBundle(samples, ['K01-fade-after-bolus', 'K02-arms-tucked'], { relativeTime: true });
  expect(list.tokens.filter(({ kind }) => kind === 'date' || kind === 'clock time')).toEqual([]);
  expect(list.tokens.some(({ kind, text }) => kind === 'identifier' && text === 'K02-arms-tucked')).toBe(true);
}, 60_000);

describe('answers to a bundle', () => {
  const answer = (decision: ReleaseAnswer['decision']): ReleaseAnswer[] => bundle.list.tokens.filter(({ kind }) => isAsked(kind)).map(({ kind, text }) => ({ kind, text, decision, with: decision === 'replace' ? 'somebody' : '' }));

  test('are complete only when each word is kept: a bundle leaves as it is, or not at all', () => {
    const { open } = bundle.list;
    expect(open).toBeGreaterThan(0);
    expect(answeredBundle(bundle.list, answer('keep')).open).toBe(0);
    expect(answeredBundle(bundle.list, answer('replace')).open).toBe(open);
    expect(answeredBundle(bundle.list, answer('leave out')).open).toBe(open);
    const [, ...allButOne] = answer('keep');
    expect(answeredBundle(bundle.list, allButOne).open).toBe(1);
  });

  test('are counted for the trail', () => {
    const { listed: words, asked, kept, replaced, leftOut } = tallyOf(answeredBundle(bundle.list, answer('keep')));
    expect([words, kept, replaced, leftOut]).toEqual([bundle.list.tokens.length, asked, 0, 0]);
    expect(asked).toBe(bundle.list.open);
  });
});
