import { mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { firstDifference } from '../../../../electron/headless/first-difference.ts';

let folder: string;
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'lacuna-difference-'));
});
afterAll(() => rm(folder, { recursive: true, force: true }));

async function difference(given: Uint8Array, anew: Uint8Array, file: string): ReturnType<typeof firstDifference> {
  const [a, b] = [join(folder, 'given'), join(folder, 'anew')];
  await Promise.all([writeFile(a, given), writeFile(b, anew)]);
  return await firstDifference(a, b, file);
}

/* It once broke down, and found nothing, where the changed byte was the line feed after a carriage return: the table was cut between the two. */
test('whichever byte of a table is changed, its row and its column are named', async () => {
  const table = 'case_id,remark,share\r\nA1,"left, ""then"" right",0.5\r\nŁ2,"two\r\nlines",\r\n';
  const bytes = new TextEncoder().encode(table);
  const rowEnds = [bytes.indexOf(0x0a), table.indexOf('A1') + 'A1,"left, ""then"" right",0.5\r\n'.length - 1];
  for (const [at, byte] of bytes.entries()) {
    const changed = bytes.slice();
    changed[at] = byte === 0x38 ? 0x39 : 0x38;
    const found = await difference(changed, bytes, 'tables/cases.csv');
    const row = rowEnds.filter((end) => at > end).length;
    expect({ at, byte: found?.byte, row: found?.row }).toEqual({ at, byte: at, row });
    if (row > 0) expect(['case_id', 'remark', 'share']).toContain(found?.column);
  }
  const inRemark = bytes.indexOf('t'.charCodeAt(0), table.indexOf('A1'));
  const changed = bytes.slice();
  changed[inRemark + 3] = 0x38;
  expect(await difference(changed, bytes, 'tables/cases.csv')).toMatchObject({ row: 1, column: 'remark' });
});

test('a table that is longer, and one that is cut, differ where the other ends', async () => {
  const bytes = new TextEncoder().encode('a,b\r\n1,2\r\n');
  expect(await difference(bytes.subarray(0, 8), bytes, 'tables/x.csv')).toMatchObject({ byte: 8, row: 1, column: 'b' });
  expect(await difference(new Uint8Array([...bytes, 0x33]), bytes, 'tables/x.csv')).toMatchObject({ byte: 10, row: 2, column: 'a' });
  expect(await difference(bytes, bytes, 'tables/x.csv')).toBeNull();
});

test('of a text the line is named, of other bytes only the byte', async () => {
  const bytes = new TextEncoder().encode('{\n  "a": 1,\n  "b": 2\n}\n');
  const changed = bytes.slice();
  changed[bytes.length - 4] = 0x39;
  expect(await difference(changed, bytes, 'manifest.json')).toMatchObject({ row: 3, column: null });
  expect(await difference(changed, bytes, 'tables/x.parquet')).toMatchObject({ byte: bytes.length - 4, row: null });
});
