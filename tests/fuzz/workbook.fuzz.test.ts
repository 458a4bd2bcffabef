import { strFromU8, strToU8, zipSync } from 'fflate';
import { test } from 'vitest';
import { serialOf, workbookParts, type SheetCell, type SheetSpec } from '../builders/workbook-bytes.ts';
import type { Random } from '../simulator/random.ts';
import { broken, FIRST_SEED, runFuzz, RUNS } from './broken-input.ts';

const RAW = ['<c t="s"><v>99</v></c>', '<c><v>1e400</v></c>', '<c r="XFD1"><v>1</v></c>', '<c r="?"><v>1</v></c>', '<c t="zz" s="-1"><v>x</v></c>', '<c s="1"><v>-5</v></c>', '<c s="4"><v>99999999</v></c>', '<c><is><t>9</t></is></c>', '<c t="inlineStr"><is><rPh><t>x</t></rPh></is></c>', '<c t="b"><v/></c>', '<c t="e"><v>#REF!</v></c>', '<c t="d"><v>2031-03-04T08:00:00Z</v></c>'] as const;
const XML_BITS = ['<row>', '</row>', '<c/>', '</v>', '<row r="3"/>', '<row r="1048577"/>', '<row r="1048576"/>', ' r="A1"', ' t="s"', '<!--', '-->', '<![CDATA[', ']]>', '<!DOCTYPE a [<!ENTITY e "x">]>', '&e;', '&#0;', '&#x10FFFF;', '<?x?>', '_x0000_', '_xD800_', '<x:c xmlns:x="y"/>', '\u202e', '<a>'.repeat(100)] as const;

function cell(random: Random): SheetCell {
  return random.pick<() => SheetCell>([
    () => random.int(80, 100),
    () => random.between(-1, 200),
    () => random.pick(['', 'SpO2', '-', '=1+1', 'arms tucked', 'phenylephrine 100 mcg IV', '"', '"a', 'x\ny\tz', '\u202eabc', 'x'.repeat(5000)]),
    () => ({ inline: random.pick(['97', ' ', 'a "b"']) }),
    () => ({ serial: random.pick([0.97, 47_911.4, 60, -1, 3e6, 1e300]), as: random.pick(['general', 'date', 'dateTime', 'time', 'elapsed', 'percent', 'ownPercent'] as const) }),
    () => ({ formula: 'A1', ...(random.chance(0.5) ? { value: random.pick([97, 'x']) } : {}) }),
    () => ({ error: '#N/A' }),
    () => random.chance(0.5),
    () => null,
    () => ({ raw: random.pick(RAW) }),
  ])();
}

function sheet(random: Random, i: number): SheetSpec {
  const heading: SheetCell[] = random.pick([['Time', 'SpO2', 'HR', 'PI'], ['Time', 'Event'], ['Case', 'Time', 'Name', 'Value'], ['a', 'b']]);
  const isWild = random.chance(0.3);
  const rows = Array.from({ length: random.int(0, 40) }, (_, r): SheetCell[] | null => {
    if (random.chance(0.05)) return null;
    const stamp: SheetCell = { serial: serialOf('2031-03-04T08:00:00') + (r * 10) / 86_400, as: random.pick(['dateTime', 'ownDateTime'] as const) };
    return [isWild ? cell(random) : stamp, ...heading.slice(1).map((): SheetCell => (random.chance(isWild ? 1 : 0.15) ? cell(random) : random.int(85, 100)))];
  });
  return { name: random.pick(['Trends', `S${i}`, '', 'a/b', '\u202ex', '..']), rows: [heading, ...rows], ...(random.chance(0.1) ? { state: 'hidden' as const } : {}) };
}

/** Returns a workbook in which parts are missing, exchanged, cut, or hold bits of XML where they do not belong. */
function workbook(random: Random): Uint8Array {
  let parts = workbookParts(Array.from({ length: random.int(0, 3) }, (_, i) => sheet(random, i)), { is1904: random.chance(0.2), prefix: random.pick(['', 'x']) });
  for (let n = random.int(0, 3); n > 0; n -= 1) {
    const names = Object.keys(parts);
    const name = random.pick(names);
    const part = parts[name];
    if (part === undefined) continue;
    switch (random.int(0, 5)) {
      case 0:
        parts = Object.fromEntries(Object.entries(parts).filter(([own]) => own !== name));
        break;
      case 1:
        parts[name] = parts[random.pick(names)] ?? part;
        break;
      case 2:
        parts[name] = broken(random, part);
        break;
      default: {
        const text = strFromU8(part);
        const at = random.int(0, text.length);
        parts[name] = strToU8(text.slice(0, at) + random.pick(XML_BITS) + text.slice(at + random.int(0, 3)));
      }
    }
  }
  return zipSync(parts, { level: random.pick([0, 6]) });
}

test(`${RUNS} broken workbooks from seed ${FIRST_SEED} on end in a report`, { timeout: 3_600_000 }, async () => {
  await runFuzz('case-a/export.csv', workbook, (random, bytes) => (random.chance(0.15) ? broken(random, bytes) : bytes));
});
