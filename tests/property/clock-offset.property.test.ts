import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { CaseRecord } from '../../core/model/case.ts';
import type { Mapping } from '../../core/model/mapping.ts';
import { DEFAULT_PARAMETERS } from '../../core/model/parameters.ts';
import { analyzeCase } from '../../core/pipeline/analyze-case.ts';
import { importTexts } from '../builders/import-text.ts';

/*
 * A clock offset is nothing but another way to write the times: offset d must give what times written d later give,
 * and the same offset on every file must change no result that counts from the case's start.
 */

const START_MS = Date.UTC(2031, 2, 4, 8);

function stampOf(seconds: number): string {
  return new Date(START_MS + seconds * 1000).toISOString().slice(0, 19).replace('T', ' ');
}

interface Files {
  readonly trends: readonly (number | null)[];
  readonly drugsS: readonly number[];
  readonly eventsS: readonly number[];
}

const files: fc.Arbitrary<Files> = fc.record({
  trends: fc.array(fc.option(fc.integer({ min: 85, max: 100 }), { freq: 3 }), { minLength: 30, maxLength: 90 }).map((values) => [97, 98, ...values, 96]),
  drugsS: fc.uniqueArray(fc.integer({ min: 1, max: 800 }), { minLength: 1, maxLength: 5 }),
  eventsS: fc.uniqueArray(fc.integer({ min: 1, max: 800 }), { minLength: 1, maxLength: 5 }),
});

/** Writes the files with each clock moved by so many seconds. */
function written({ trends, drugsS, eventsS }: Files, move: { readonly trends: number; readonly drugs: number; readonly events: number }): Record<string, string> {
  return {
    'c/trends.csv': ['time,SpO2,HR', ...trends.map((value, i) => `${stampOf(i * 10 + move.trends)},${value ?? '---'},${60 + (i % 7)}`)].join('\n'),
    'c/drugs.csv': ['time,drug,dose,unit', ...drugsS.map((s) => `${stampOf(s + move.drugs)},phenylephrine,100,mcg`)].join('\n'),
    // A second's fraction keeps these off whole minutes, which would be taken as typed by hand.
    'c/events.csv': ['time,event', ...eventsS.map((s) => `${stampOf(s + move.events)}.5,arms tucked`)].join('\n'),
  };
}

function offsets(seconds: { readonly trends: number; readonly drugs: number; readonly events: number }): Mapping {
  return { schema: 'lacuna-mapping/1', name: 'm', files: Object.entries(seconds).map(([name, clockOffsetS]) => ({ match: { fileName: `${name}.csv` }, reading: { clockOffsetS, zone: 'UTC' } })) };
}

async function recordOf(texts: Record<string, string>, mapping: Mapping): Promise<CaseRecord> {
  const { cases } = await importTexts(texts, { mapping });
  const [record] = cases;
  if (record === undefined) throw new Error('no case');
  return record;
}

/** Returns what of a record must not depend on how its times were written. */
function timesOf({ origin, channels, drugs, events }: CaseRecord): unknown {
  return {
    origin,
    channels: channels.map(({ channelId, tMs, value }) => ({ channelId, tMs: [...tMs], value: [...value] })),
    drugs: drugs.map(({ atMs, text }) => ({ atMs, text })),
    events: events.map(({ atMs, term }) => ({ atMs, term })),
  };
}

const NONE = { trends: 0, drugs: 0, events: 0 };
const second = fc.integer({ min: -7200, max: 7200 });
const moves = fc.record({ trends: second, drugs: second, events: second });

describe('a clock offset', () => {
  it('gives what the same times written with that offset give', async () => {
    await fc.assert(
      fc.asyncProperty(files, moves, async (given, move) => {
        const byOffset = await recordOf(written(given, NONE), offsets(move));
        const byWriting = await recordOf(written(given, move), offsets(NONE));
        // Whole minutes among the drugs differ between the two ways; `manual` is not compared.
        expect(timesOf(byOffset)).toEqual(timesOf(byWriting));
        expect(byOffset.sources.map(({ clockOffsetMs }) => clockOffsetMs)).toEqual([...byOffset.sources].map(({ name }) => move[name.replace('.csv', '') as keyof typeof move] * 1000));
      }),
      { numRuns: 60 },
    );
  });

  it('that all files share moves the origin and no result', async () => {
    await fc.assert(
      fc.asyncProperty(files, second, async (given, s) => {
        const plain = await recordOf(written(given, NONE), offsets(NONE));
        const moved = await recordOf(written(given, NONE), offsets({ trends: s, drugs: s, events: s }));
        expect(moved.origin.epochMs).toBe((plain.origin.epochMs ?? 0) + s * 1000);
        const results = (record: CaseRecord): unknown => {
          const { sites, exposures, blind, bounds } = analyzeCase(record, DEFAULT_PARAMETERS, 'test');
          return { sites, exposures, blind, bounds };
        };
        expect(results(moved)).toEqual(results(plain));
      }),
      { numRuns: 25 },
    );
  });
});
