import { describe, expect, it } from 'vitest';
import type { CaseRecord } from '../../../../core/model/case.ts';
import { acceptedOffset } from '../../../../core/pipeline/accepted-offset.ts';
import { keepClockOffsets } from '../../../../core/pipeline/keep-clock-offsets.ts';
import { proposeClockOffsets } from '../../../../core/pipeline/propose-clock-offsets.ts';
import { setClockOffset } from '../../../../core/pipeline/set-clock-offset.ts';
import { importTexts } from '../../../builders/import-text.ts';
import { buildCaseRecord } from '../../../builders/stored-case.ts';
import { twoClockCase } from '../../../builders/two-clock-case.ts';

/* A clock set on a stored case; that it equals an import with that offset is held by tests/property/set-clock-offset. */

function imported(aheadS: number): Promise<CaseRecord> {
  return importedTexts(twoClockCase(aheadS));
}

async function importedTexts(texts: Record<string, string>): Promise<CaseRecord> {
  const { cases, files } = await importTexts(Object.fromEntries(Object.entries(texts).map(([name, text]) => [`c/${name}`, text])));
  const [record] = cases;
  if (record === undefined) throw new Error(JSON.stringify(files));
  return record;
}

const indexOf = (record: CaseRecord, name: string): number => record.sources.findIndex((source) => source.name === name);

describe('a proposal that a person accepts', () => {
  it('is kept with the case as its evidence, stands in its findings, and brings agreement', async () => {
    const record = await imported(95);
    const keeper = indexOf(record, 'keeper.csv');
    const own = proposeClockOffsets(record).find(({ sourceIndex }) => sourceIndex === keeper);
    expect(own?.verdict).toBe('proposed');
    expect(Math.abs((own?.offsetMs ?? 0) + 95_000)).toBeLessThanOrEqual(12_000);
    const evidence = acceptedOffset(record, keeper, own?.offsetMs ?? NaN);
    if (!evidence.ok) throw new Error(evidence.failure.message);
    expect(evidence.value).toMatchObject({ against: 'oximeter.csv', method: 'course', n: own?.evidence[0]?.n, peak: own?.evidence[0]?.peak });
    const moved = setClockOffset(record, keeper, own?.offsetMs ?? NaN, evidence.value);
    if (!moved.ok) throw new Error(moved.failure.message);
    expect(moved.value.sources[keeper]).toMatchObject({ clockOffsetMs: own?.offsetMs, acceptedOffset: evidence.value });
    expect(moved.value.findings.find(({ code }) => code === 'clock-offset')?.message).toContain('by a proposal from the data that a person accepted (against oximeter.csv)');
    expect(proposeClockOffsets(moved.value).find(({ sourceIndex }) => sourceIndex === keeper)?.verdict).toBe('agrees');
    const back = setClockOffset(moved.value, keeper, 0, evidence.value);
    expect(back.ok && back.value).toEqual(record);
  });

  it('is refused where the data do not propose it', async () => {
    const record = await imported(95);
    const keeper = indexOf(record, 'keeper.csv');
    for (const [index, offsetMs] of [[keeper, 1000], [indexOf(record, 'keeper-drugs.csv'), -95_000], [9, 0]] as const) {
      const refused = acceptedOffset(record, index, offsetMs);
      expect(!refused.ok && refused.failure.code).toBe('proposal-gone');
    }
  });
});

describe('a clock that cannot be set', () => {
  it.each([
    ['of a case stored by an earlier version', buildCaseRecord(), 0, 1000, 'case-without-parts'],
    ['of a source that there is not', buildCaseRecord(), 5, 1000, 'source-unknown'],
    ['by more than a leap year', buildCaseRecord(), 0, 32_000_000_000, 'offset-unusable'],
    ['by no number', buildCaseRecord(), 0, NaN, 'offset-unusable'],
  ] as const)('%s says why and what to do', (_, record, index, offsetMs, code) => {
    const result = setClockOffset(record, index, offsetMs, null);
    expect(!result.ok && result.failure).toMatchObject({ code, remedy: expect.stringMatching(/\w/) as string });
    expect(proposeClockOffsets(record)).toEqual([]);
  });
});

describe('a new reading of a case whose clock was set', () => {
  it('takes the clock over where the file is the same or bears the same name, and is then the same case', async () => {
    const record = await imported(95);
    const keeper = indexOf(record, 'keeper.csv');
    const proposal = proposeClockOffsets(record).find(({ sourceIndex }) => sourceIndex === keeper)?.offsetMs ?? NaN;
    const evidence = acceptedOffset(record, keeper, proposal);
    const set = setClockOffset(record, keeper, proposal, evidence.ok ? evidence.value : null);
    if (!set.ok) throw new Error(set.failure.message);
    const again = keepClockOffsets(set.value, record);
    expect(again.kept).toEqual([{ source: 'keeper.csv', offsetMs: proposal }]);
    expect(again.record).toEqual(set.value);
    // An updated export is another file of the same name: the clock stays, evidence from other data does not.
    const updated = await importedTexts({ ...twoClockCase(95), 'keeper.csv': `${twoClockCase(95)['keeper.csv']}\n2031-03-04 09:59:00,61` });
    const kept = keepClockOffsets(set.value, updated);
    expect(kept.kept).toEqual([{ source: 'keeper.csv', offsetMs: proposal }]);
    expect(kept.record.sources[keeper]).toMatchObject({ clockOffsetMs: proposal });
    expect(kept.record.sources[keeper]?.acceptedOffset).toBeUndefined();
  });

  it('keeps the offset that it states itself, and that of no other file', async () => {
    const record = await imported(95);
    const keeper = indexOf(record, 'keeper.csv');
    const [byHand, other] = [setClockOffset(record, keeper, -95_000, null), setClockOffset(record, keeper, -60_000, null)];
    if (!byHand.ok || !other.ok) throw new Error('not set');
    expect(keepClockOffsets(byHand.value, other.value)).toEqual({ record: other.value, kept: [] });
    expect(keepClockOffsets(record, record)).toEqual({ record, kept: [] });
  });
});

describe('the clocks of the sample of two', () => {
  it('agree where they do, and the drugs alone cannot be told', async () => {
    const record = await imported(0);
    expect(Object.fromEntries(proposeClockOffsets(record).map(({ sourceIndex, verdict }) => [record.sources[sourceIndex]?.name, verdict]))).toEqual({ 'keeper.csv': 'agrees', 'keeper-drugs.csv': 'cannot be told' });
  });
});
