import { describe, expect, it } from 'vitest';
import type { Quantity } from '../../../core/model/quantity.ts';
import type { Site } from '../../../core/model/site.ts';
import { findQuantity } from '../../../core/terms/find-quantity.ts';
import { findSite } from '../../../core/terms/find-site.ts';
import { parseDose } from '../../../core/terms/parse-dose.ts';
import { parseEvent } from '../../../core/terms/parse-event.ts';
import type { ParsedEvent } from '../../../core/terms/terms.ts';
import phrases from './phrases.json' with { type: 'json' };

/** What a phrase must be read as: only the stated fields are compared, flags as parts of one of the flags given. */
interface Phrase {
  readonly text: string;
  readonly source: string;
  readonly dose?: {
    readonly drug?: string | null;
    readonly form?: string;
    readonly amount?: number | null;
    readonly unit?: string;
    readonly route?: string | null;
    readonly parts?: number;
    readonly ambiguous?: readonly string[];
    readonly flags?: readonly string[];
    readonly countsAsVasopressorBolus?: boolean;
  };
  readonly event?: ParsedEvent;
  readonly quantity?: { readonly quantity: Quantity; readonly site: Site | null; readonly sensor: string; readonly unit: string } | null;
  readonly site?: { readonly site: Site; readonly sensor: string } | null;
}

const ALL = phrases as readonly Phrase[];
const named = (list: readonly Phrase[]): [string, string, Phrase][] => list.map((phrase) => [phrase.text, phrase.source, phrase]);

describe('free text of administrations', () => {
  it.each(named(ALL.filter((phrase) => phrase.dose !== undefined)))('%s (%s)', (text, _source, { dose = {} }) => {
    const read = parseDose(text);
    const { flags, countsAsVasopressorBolus, drug, ...same } = dose;
    expect(read).toMatchObject(same);
    if (drug !== undefined) expect(read.drug?.inn ?? null).toBe(drug);
    if (countsAsVasopressorBolus !== undefined) expect(read.drug?.isVasopressor === true && read.form === 'bolus').toBe(countsAsVasopressorBolus);
    for (const flag of flags ?? []) expect(read.flags.join(' | ')).toContain(flag);
    if (flags?.length === 0) expect(read.flags).toEqual([]);
    if (drug === null && dose.ambiguous === undefined) expect(read.ambiguous).toEqual([]);
  });
});

describe('free text of events', () => {
  it.each(named(ALL.filter((phrase) => phrase.event !== undefined)))('%s (%s)', (text, _source, { event }) => {
    expect(parseEvent(text)).toEqual(event);
  });
});

describe('headings and channel names', () => {
  it.each(named(ALL.filter((phrase) => phrase.quantity !== undefined)))('%s (%s)', (text, _source, { quantity }) => {
    const read = findQuantity(text);
    if (quantity === null || quantity === undefined) expect(read).toBeNull();
    else expect(read).toMatchObject(quantity);
  });
});

describe('words for sensor sites', () => {
  it.each(named(ALL.filter((phrase) => phrase.site !== undefined)))('%s (%s)', (text, _source, { site }) => {
    expect(findSite(text)).toEqual(site);
  });
});

describe('the table itself', () => {
  it('holds at least 260 phrases, at least 200 of them drugs, infusions and positions', () => {
    expect(ALL.length).toBeGreaterThanOrEqual(260);
    const main = ALL.filter((phrase) => phrase.dose !== undefined || phrase.event?.kind === 'position');
    expect(main.length).toBeGreaterThanOrEqual(200);
  });

  it('states a source or "common practice without source" for every phrase, and no phrase twice', () => {
    expect(ALL.filter((phrase) => phrase.source.trim() === '')).toEqual([]);
    const keys = ALL.map((phrase) => `${Object.keys(phrase).find((key) => key !== 'text' && key !== 'source') ?? ''}: ${phrase.text}`);
    expect(keys.length - new Set(keys).size).toBe(0);
  });
});
