import { expect, test } from 'vitest';
import { splitAligned } from '../../../../core/readers/aligned-lines.ts';
import { seededRandom } from '../../../simulator/random.ts';

interface Place {
  readonly start: number;
  readonly end: number;
}

/** The rule as it is said, with every heading tried for every piece. */
function splitSlowly(line: string, spans: readonly Place[]): string[] {
  const cells = spans.map(() => '');
  for (const [i, match] of [...line.matchAll(/\S+/g)].entries()) {
    const [start, end] = [match.index, match.index + match[0].length];
    const gaps = spans.map((span) => (end <= span.start ? span.start - end : span.end <= start ? start - span.end : Math.max(start, span.start) - Math.min(end, span.end)));
    const column = i === 0 ? 0 : gaps.indexOf(Math.min(...gaps.slice(1)), 1);
    cells[column] = cells[column] === '' ? match[0] : `${cells[column]} ${match[0]}`;
  }
  return cells;
}

test('every piece goes under the nearest heading, as trying all of them gives it', () => {
  const random = seededRandom(11);
  for (let n = 0; n < 500; n += 1) {
    const spans: Place[] = [];
    for (let at = 0; spans.length < random.int(2, 8); ) {
      const start = at + random.int(0, 6);
      at = start + random.int(1, 8);
      spans.push({ start, end: at });
    }
    // One blank would join two words into one piece; two part them.
    const line = Array.from({ length: random.int(1, 9) }, () => `${' '.repeat(random.int(2, 9))}${'x'.repeat(random.int(1, 7))}`).join('');
    expect(splitAligned(line, spans), `${JSON.stringify(spans)} ${JSON.stringify(line)}`).toEqual(splitSlowly(line, spans));
  }
});

/* Found by broken printed logs (seed 1931): a heading line of tens of thousands of words took minutes. The runner's own limit ends it. */
test('a hundred thousand headings and as many pieces are cut', () => {
  const n = 100_000;
  const spans = Array.from({ length: n }, (_, i) => ({ start: i * 4, end: i * 4 + 2 }));
  expect(splitAligned('ab  '.repeat(n), spans)).toEqual(Array.from({ length: n }, () => 'ab'));
});
