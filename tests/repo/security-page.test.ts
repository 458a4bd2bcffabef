import { existsSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { ROOT, readText } from './source-files.ts';

interface ThreatRow {
  readonly section: string;
  readonly threat: string;
  readonly checkedBy: string;
}

/** Returns the rows of the tables of the threat model, each with what it says in its column "checked by". */
function threatRows(): ThreatRow[] {
  const rows: ThreatRow[] = [];
  let section = '';
  for (const line of readText('docs/security.md').split('\n')) {
    if (line.startsWith('## ')) section = line.slice(3);
    if (!line.startsWith('| ') || line.startsWith('| threat') || line.startsWith('| ---')) continue;
    const cells = line.slice(1, -1).split(' | ').map((cell) => cell.trim());
    rows.push({ section, threat: cells[0] ?? '', checkedBy: cells[2] ?? '' });
  }
  return rows;
}

test('the threat model covers the four ways in, each with several threats', () => {
  const counts = new Map<string, number>();
  for (const { section } of threatRows()) counts.set(section, (counts.get(section) ?? 0) + 1);
  expect([...counts.keys()]).toEqual(expect.arrayContaining(['A hostile file', 'A hostile page', 'A stolen disk', 'A shared computer']));
  for (const [section, count] of counts) expect(count, section).toBeGreaterThanOrEqual(5);
});

test.each(threatRows())('$section: “$threat” names tests that are there, or says that it is not answered', ({ checkedBy }) => {
  const named = [...checkedBy.matchAll(/`(tests\/[^`]+)`/g)].map((match) => match[1]!);
  if (named.length === 0) expect(checkedBy).toBe('not answered');
  for (const path of named) expect(existsSync(join(ROOT, path)), path).toBe(true);
});
