import { describe, expect, test } from 'vitest';
import type { Mapping, ReadingRules } from '../../../../core/model/mapping.ts';
import { setClockOffset } from '../../../../core/pipeline/set-clock-offset.ts';
import { asNdjson, fhirResources, makePlainCase } from '../../../builders/plain-case.ts';
import { importText, importTexts } from '../../../builders/import-text.ts';
import { seededRandom } from '../../../simulator/random.ts';

/* What a person says of a file needs no source. */

function saying(...files: readonly (readonly [string, ReadingRules])[]): { mapping: Mapping } {
  return { mapping: { schema: 'lacuna-mapping/1', name: 'm', files: files.map(([fileName, reading]) => ({ match: { fileName }, reading })) } };
}

const table = (from: number): string => ['time,SpO2,HR', ...[0, 1, 2, 3].map((i) => `2031-03-04 08:0${from + i},9${i + 4},6${i}`)].join('\n');

describe('what a mapping states about the making of values', () => {
  test('goes to every channel of its file and into the report, in text and coded files', async () => {
    const { record, report } = await importText(table(0), saying(['*', { valueMaking: 'median', deviceHoldS: 10 }]));
    expect(record.channels.map(({ valueMaking, deviceHoldS }) => [valueMaking, deviceHoldS])).toEqual([['median', 10], ['median', 10]]);
    expect([report.value_making, report.device_hold_s]).toEqual(['median', 10]);
    expect(report.notes.filter((note) => /as the mapping states/.test(note))).toHaveLength(2);
    const fhir = await importText(asNdjson(fhirResources(makePlainCase(seededRandom(1)), 'single values')), saying(['*', { valueMaking: 'snapshot' }]));
    expect(new Set(fhir.record.channels.map(({ valueMaking }) => valueMaking))).toEqual(new Set(['snapshot']));
  });

  test('is said to be missing where nothing is stated, and to be not known where that is stated; only for files with values', async () => {
    const plain = await importText(table(0));
    expect(plain.report.value_making).toBe('not stated');
    expect(plain.report.notes.some((note) => note.startsWith('How each value was made (one instantaneous value, mean, median, or an older one carried on) is not stated'))).toBe(true);
    expect(plain.record.channels.every((channel) => !('valueMaking' in channel) && !('deviceHoldS' in channel))).toBe(true);
    const unknown = await importText(table(0), saying(['*', { valueMaking: 'unknown' }]));
    expect(unknown.report.value_making).toBe('unknown');
    expect(unknown.record.channels).toEqual(plain.record.channels);
    const events = await importText('time,event\n2031-03-04 08:00,prone\n2031-03-04 08:01,supine', saying(['*', { valueMaking: 'mean' }]));
    expect(events.report.value_making).toBeUndefined();
  });

  test('files that continue one another and state different things: the making is taken as not stated, the longest hold counts', async () => {
    const { cases } = await importTexts({ 'c/a.csv': table(0), 'c/b.csv': table(5) }, saying(['a.csv', { valueMaking: 'median', deviceHoldS: 10 }], ['b.csv', { valueMaking: 'snapshot', deviceHoldS: 30 }]));
    const spo2 = cases[0]!.channels.find(({ quantity }) => quantity === 'spo2')!;
    expect([spo2.valueMaking, spo2.deviceHoldS]).toEqual([undefined, 30]);
    expect(cases[0]!.findings.some(({ code }) => code === 'value-making-differs')).toBe(true);
  });

  test('stays when the clock of a file is set afterwards', async () => {
    const { record } = await importText(table(0), saying(['*', { valueMaking: 'hold', deviceHoldS: 20 }]));
    const moved = setClockOffset(record, 0, 60_000, null);
    expect(moved.ok && moved.value.channels.map(({ valueMaking, deviceHoldS }) => [valueMaking, deviceHoldS])).toEqual([['hold', 20], ['hold', 20]]);
  });
});
