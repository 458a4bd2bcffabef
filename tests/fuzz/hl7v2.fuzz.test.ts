import { test } from 'vitest';
import { asOru } from '../builders/hl7v2.ts';
import { makePlainCase } from '../builders/plain-case.ts';
import { FIRST_SEED, runFuzz, RUNS } from './broken-input.ts';

const encoder = new TextEncoder();

test(`${RUNS} broken HL7 v2 files from seed ${FIRST_SEED} on end in a report`, { timeout: 3_600_000 }, async () => {
  await runFuzz('case-a/export.csv', (random) => {
    const plain = makePlainCase(random);
    const text = asOru({ ...plain, spo2: plain.spo2.slice(0, random.int(1, 30)) });
    return encoder.encode(random.pick([text, text.replaceAll('\r', '\n'), `\x0b${text}\x1c\r`, `FHS|^~\\&|A\r${text}FTS|1\r`]));
  });
});
