import { deflateRawSync, gzipSync } from 'node:zlib';
import { zipSync } from 'fflate';
import { test } from 'vitest';
import { asCsv, makePlainCase } from '../builders/plain-case.ts';
import type { Random } from '../simulator/random.ts';
import { broken, FIRST_SEED, runFuzz, RUNS } from './broken-input.ts';

const encoder = new TextEncoder();
const HEADINGS = [Buffer.from([0x50, 0x4b, 1, 2]), Buffer.from([0x50, 0x4b, 3, 4]), Buffer.from([0x50, 0x4b, 5, 6])];

function content(random: Random): Uint8Array {
  const text = encoder.encode(random.pick(Object.values(asCsv(makePlainCase(random), 'a'))).slice(0, 20_000));
  return random.chance(0.3) ? broken(random, text) : text;
}

function archive(random: Random, depth: number): Uint8Array {
  const files: Record<string, Uint8Array> = {};
  for (let n = random.int(0, 4); n >= 0; n -= 1) {
    const name = random.pick(['a/t.csv', 'b.csv', '../c.csv', '\u202egnp.csv', 'x/', '.hidden', 'K01/d.gz', `f${n}`, '[Content_Types].xml', '_rels/.rels', 'mimetype', '']);
    files[name] = depth < 3 && random.chance(0.2) ? archive(random, depth + 1) : random.chance(0.15) ? new Uint8Array(gzipSync(content(random))) : random.chance(0.1) ? new Uint8Array(random.int(0, 100_000)) : content(random);
  }
  const bytes = zipSync(files, { level: random.pick([0, 1, 6]) });
  return random.chance(0.4) ? withLies(random, bytes) : bytes;
}

/** Changes fields of the headings: sizes, places, flags, methods, counts. */
function withLies(random: Random, whole: Uint8Array): Uint8Array {
  const bytes = Buffer.from(whole);
  for (let n = random.int(1, 3); n > 0; n -= 1) {
    const at = random.chance(0.5) ? bytes.lastIndexOf(random.pick(HEADINGS)) : bytes.indexOf(random.pick(HEADINGS));
    if (at === -1) continue;
    const field = at + 4 + random.int(0, 42);
    if (field + 4 > bytes.length) continue;
    if (random.chance(0.5)) bytes.writeUInt32LE(random.pick([0, 1, 0x7fffffff, 0xfffffffe, 0xffffffff, random.int(0, bytes.length)]), field);
    else bytes[field] = random.int(0, 255);
  }
  return new Uint8Array(bytes);
}

/** A gzip file of some members, now and then with a damaged stream under a right heading. */
function gzip(random: Random): Uint8Array {
  const members: Uint8Array[] = [];
  for (let n = random.int(0, 3); n >= 0; n -= 1) members.push(gzipSync(random.chance(0.2) ? archive(random, 1) : content(random)));
  if (random.chance(0.2)) members.push(Buffer.concat([Uint8Array.of(0x1f, 0x8b, 8, random.int(0, 255), 0, 0, 0, 0, 0, 3), broken(random, deflateRawSync(content(random)))]));
  return Buffer.concat(members);
}

const sometimes = (random: Random, bytes: Uint8Array): Uint8Array => (random.chance(0.5) ? broken(random, bytes) : bytes);

test(`${RUNS} broken zip archives from seed ${FIRST_SEED} on end in a report`, { timeout: 3_600_000 }, async () => {
  await runFuzz('case-a/export.csv', (random) => archive(random, 0), sometimes);
});

test(`${RUNS} broken gzip files from seed ${FIRST_SEED} on end in a report`, { timeout: 3_600_000 }, async () => {
  await runFuzz('case-a/export.csv', gzip, sometimes);
});
