import { test } from 'vitest';
import { asEdf, edfBytes } from '../builders/edf-file.ts';
import { makePlainCase } from '../builders/plain-case.ts';
import { FIRST_SEED, runFuzz, RUNS } from './broken-input.ts';

test(`${RUNS} broken EDF files from seed ${FIRST_SEED} on end in a report`, { timeout: 3_600_000 }, async () => {
  await runFuzz('case-a/export.csv', (random) => {
    if (random.chance(0.5)) return asEdf(makePlainCase(random));
    const n = random.int(1, 40);
    const width = random.pick([1, 2, 10, 128]);
    return edfBytes({
      kind: random.pick(['EDF', 'EDF+C', 'EDF+D'] as const),
      recordS: random.pick([0.5, 1, 10, 3600]),
      signals: ['SpO2', 'Pleth', 'PI toe'].slice(0, random.int(1, 3)).map((label) => ({ label, dimension: '%', physical: [0, 100] as const, digital: [-2048, 2047] as const, records: Array.from({ length: n }, () => Array.from({ length: width }, () => random.int(-2048, 2047))) })),
      annotations: Array.from({ length: n }, (_, i) => `+${i * 10}\x14\x14\0+${i * 10 + 1}\x1530\x14arms tucked\x14ephedrine 6 mg\x14\0`),
    });
  });
});
