/* Every word of a written table, text or JSON is in its list, or lies between the ends of a column that is summed up; a name planted anywhere is asked about. */
import fc from 'fast-check';
import { expect, test } from 'vitest';
import { isAsked, releaseKey } from '../../core/model/release.ts';
import { csvText } from '../../core/report/csv.ts';
import { addFileWords } from '../../core/report/release/file-words.ts';
import { GatheredWords, MOST_VALUES } from '../../core/report/release/gathered-words.ts';
import { releasedWords } from '../../core/report/release/release-list.ts';

const runsOf = (text: string): string[] => text.toLowerCase().match(/[\p{L}\p{M}\p{N}]+/gu) ?? [];
const cell = fc.oneof(fc.constantFrom('', 'Quillfeather', 'at 14:32', '2031-03-04T08:00:00+00:00', '=1+1', 'a "quoted", cell', 'K01-2', '17', '10.2437', 'exposure:d4', 'naïve Ärmel', 'two\r\nlines', 'x_y', 'spo2_finger', 'C01CA06'), fc.string({ unit: 'grapheme', maxLength: 12 }).filter((text) => !/[\r\n]/.test(text)));
const COLUMNS = ['case_id', 'note', 'exposure_id', 'atc', 'at', 'scheme_method'];

async function listOf(name: string, text: readonly string[]) {
  const gathered = new GatheredWords();
  await addFileWords(gathered, { name, text }, new Set(['last_good_at']));
  return gathered.list();
}

test('tables, in pieces of any size', async () => {
  await fc.assert(fc.asyncProperty(fc.array(fc.tuple(cell, cell, cell, cell, cell, cell), { maxLength: 8 }), fc.integer({ min: 1, max: 40 }), async (rows, size) => {
    const text = [...csvText(COLUMNS, rows)].join('');
    const pieces = Array.from({ length: Math.ceil(text.length / size) }, (_, i) => text.slice(i * size, (i + 1) * size));
    const list = await listOf('tables/some.csv', pieces);
    const listed = new Set([...releasedWords(list)].flatMap(runsOf));
    expect([...COLUMNS, ...rows.flat()].flatMap(runsOf).filter((run) => !listed.has(run))).toEqual([]);
    expect(list.tokens.reduce((sum, { count }) => sum + count, 0)).toBeGreaterThanOrEqual(COLUMNS.length);
  }), { numRuns: 150 });
});

test('JSON and Markdown', async () => {
  await fc.assert(fc.asyncProperty(fc.dictionary(cell.filter((key) => key !== '__proto__'), fc.oneof(cell, fc.array(cell, { maxLength: 3 }))), async (value) => {
    const list = await listOf('some.json', [JSON.stringify(value)]);
    const listed = new Set([...releasedWords(list)].flatMap(runsOf));
    expect([...Object.keys(value), ...Object.values(value).flat()].flatMap(runsOf).filter((run) => !listed.has(run))).toEqual([]);
    const text = `# ${JSON.stringify(value)}\n- **x** \`${Object.keys(value).join('` | `')}\``;
    const lines = await listOf('some.md', [text]);
    const inLines = new Set([...releasedWords(lines)].flatMap(runsOf));
    expect(runsOf(text).filter((run) => !inLines.has(run))).toEqual([]);
  }), { numRuns: 150 });
});

test('a name in any cell, field or line is asked about', async () => {
  await fc.assert(fc.asyncProperty(fc.constantFrom(...COLUMNS), fc.constantFrom('some.csv', 'some.json', 'some.md'), async (column, name) => {
    const text = name === 'some.csv' ? `${column}\r\nseen by Zweigelhofer\r\n` : name === 'some.json' ? JSON.stringify({ [column]: ['seen by Zweigelhofer'] }) : `- ${column}: seen by **Zweigelhofer**`;
    const asked = (await listOf(name, [text])).tokens.filter(({ kind }) => isAsked(kind));
    expect(asked.map((one) => one.text).join(' ')).toContain('Zweigelhofer');
  }), { numRuns: 18 });
});

test('a column of very many dates or codes is one question, which other values make another; names are never summed up', async () => {
  const table = (of: (i: number) => string, count: number): string => ['at\r\n', ...Array.from({ length: count }, (_, i) => `${of(i)}\r\n`)].join('');
  const dates = (count: number, hour: number): string => table((i) => `2031-03-04T${String(hour).padStart(2, '0')}:${String(Math.floor(i / 60)).padStart(2, '0')}:${String(i % 60).padStart(2, '0')}+00:00`, count);
  const asked = async (text: string) => (await listOf('some.csv', [text])).tokens.filter(({ kind }) => isAsked(kind));
  expect(await asked(dates(MOST_VALUES, 8))).toHaveLength(MOST_VALUES);
  const [question, ...none] = await asked(dates(MOST_VALUES + 1, 8));
  expect(none).toEqual([]);
  expect(question).toMatchObject({ kind: 'date', text: 'every at, 201 cells in 1 file: 2031-03-04T08:00:00+00:00 to 2031-03-04T08:03:20+00:00', count: 201, place: 'some.csv, at' });
  const [later] = await asked(dates(MOST_VALUES + 1, 9));
  expect(question === undefined || later === undefined || releaseKey(question) === releaseKey(later)).toBe(false);
  expect((await listOf('some.csv', [dates(MOST_VALUES + 1, 8)])).columns).toEqual([{ kind: 'date', file: 'some.csv', column: 'at', cells: 201, smallest: '2031-03-04T08:00:00+00:00', largest: '2031-03-04T08:03:20+00:00' }]);
  const name = (i: number): string => `Zw${[...String(i)].map((figure) => String.fromCharCode(97 + Number(figure))).join('')}hofer`;
  expect(await asked(table(name, 300))).toHaveLength(300);
});

test('what stands around a word is made of whole words: "…lse oximetry" said nothing', () => {
  const word = fc.stringMatching(/^[a-z]{1,12}$/);
  fc.assert(fc.property(fc.array(word, { minLength: 1, maxLength: 30 }), (words) => {
    const whole = words.join(' ');
    const gathered = new GatheredWords();
    gathered.add(whole, 'a place');
    const contexts = gathered.list().tokens.map(({ context }) => context);
    expect(contexts.filter((context) => !` ${whole} `.includes(` ${context.replaceAll('…', '')} `))).toEqual([]);
    expect(contexts.every((context) => context.length <= 12 + 2 * 35)).toBe(true);
  }), { numRuns: 200 });
  const long = new GatheredWords();
  long.add(`${'x'.repeat(50)}-Quillfeather-${'y'.repeat(50)}`, 'a place');
  expect(long.list().tokens.every(({ context }) => context.length > 34)).toBe(true);
});

test('the kind of a chart is the program’s own code in its column, and a word that nobody knows anywhere else', async () => {
  const asked = async (text: string) => (await listOf('tables/cohort-charts.csv', [text])).tokens.filter(({ kind }) => isAsked(kind)).map(({ text: word }) => word);
  expect(await asked('chart\r\nxmr\r\n')).toEqual([]);
  expect(await asked('note\r\nxmr\r\n')).toEqual(['xmr']);
});
