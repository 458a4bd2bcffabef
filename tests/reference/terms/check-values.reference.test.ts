import { describe, expect, it } from 'vitest';
import { QUANTITY_FACTS, type Quantity } from '../../../core/model/quantity.ts';
import dictionary from '../../../core/terms/dictionary.json' with { type: 'json' };
import { normalizeDoseUnit } from '../../../core/terms/dose-unit.ts';
import { findDrug } from '../../../core/terms/find-drug.ts';
import { findQuantity } from '../../../core/terms/find-quantity.ts';
import { findSite } from '../../../core/terms/find-site.ts';
import { normalizeMeasureUnit } from '../../../core/terms/measure-unit.ts';
import { doseFlags, parseDose } from '../../../core/terms/parse-dose.ts';
import checkValues from '../../fixtures/check-values.json' with { type: 'json' };

/** The entries about reading and codes. Their sources stand in the names of the tests, with the words "from memory" where they are. */
interface CheckValue {
  readonly id: string;
  readonly given: Readonly<Record<string, unknown>>;
  readonly expect: unknown;
  readonly source: string;
  readonly status: string;
}

const ENTRIES = checkValues as readonly CheckValue[];

/** Entries whose id begins so, as rows for a table: id, source, entry. */
function rows(prefix: string, but: readonly string[] = []): [string, string, CheckValue][] {
  const found = ENTRIES.filter((entry) => entry.id.startsWith(prefix) && !but.includes(entry.id));
  return found.map((entry) => [entry.id, entry.status === 'from memory' ? `${entry.source}, from memory` : entry.source, entry]);
}

function entry(id: string): CheckValue {
  return ENTRIES.find((one) => one.id === id)!;
}

describe('ATC codes', () => {
  it.each(rows('atc-', ['atc-trap-nasal-phenylephrine']))('%s (%s)', (_id, _source, { given, expect: code }) => {
    const { term, ambiguous } = findDrug(String(given['drug']));
    expect(ambiguous).toEqual([]);
    expect(term?.atc).toBe(code);
    expect(term?.isVasopressor).toBe(given['drug'] !== 'methylthioninium_chloride');
  });

  it.each(rows('atc-', ['atc-trap-nasal-phenylephrine']))('%s: the code itself names the drug (%s)', (_id, _source, { given, expect: code }) => {
    expect(findDrug(String(code)).term).toEqual(findDrug(String(given['drug'])).term);
  });

  it(`atc-trap-nasal-phenylephrine: a code by another route is no vasopressor (${entry('atc-trap-nasal-phenylephrine').source})`, () => {
    const codes = entry('atc-trap-nasal-phenylephrine').given['codes'] as string[];
    expect(codes).toHaveLength(2);
    for (const code of codes) expect(findDrug(code).term).toMatchObject({ inn: 'phenylephrine', atc: code, isVasopressor: false, bolus: null });
    expect(codes).toContain(findDrug('phenylephrine', 'nasal').term?.atc);
    expect(codes).toContain(findDrug('phenylephrine', 'oral').term?.atc);
    for (const route of ['nasal', 'oral', 'eye drops', 'nebulised', 'irrigation']) expect(findDrug('phenylephrine', route).term?.isVasopressor).toBe(false);
    expect(findDrug('phenylephrine', 'IV push').term).toMatchObject({ atc: 'C01CA06', isVasopressor: true });
  });
});

describe('doses', () => {
  it.each(rows('dose-bolus-'))('%s: the range, and its limits of improbability (%s)', (_id, _source, { given, expect: range, ...rest }) => {
    const [low, high] = range as [number, number];
    const unit = String((rest as { unit?: string }).unit);
    const { term } = findDrug(String(given['drug']));
    expect(term?.bolus).toEqual({ low, high, unit });
    expect(doseFlags(term, low, unit)).toEqual([]);
    expect(doseFlags(term, high, unit)).toEqual([]);
    expect(doseFlags(term, high * 9.9, unit)).toEqual([]);
    expect(doseFlags(term, high * 10, unit)[0]).toMatch(/^10 times the upper usual bolus/);
    expect(doseFlags(term, low / 10, unit)[0]).toMatch(/^10 times below the lower usual bolus/);
  });

  it(`dose-unit-flag (${entry('dose-unit-flag').source})`, () => {
    const { given, expect: wanted } = entry('dose-unit-flag');
    const read = parseDose(String(given['text']));
    expect(read.flags.map((flag) => `flag: ${flag}`)).toEqual([wanted]);
    expect([read.amount, read.unit]).toEqual([100, 'mg']);
  });

  it(`dose-text-parse (${entry('dose-text-parse').source})`, () => {
    const { given, expect: wanted } = entry('dose-text-parse');
    const read = parseDose(String(given['text']));
    expect({ drug: read.drug?.inn, value: read.amount, unit: read.unit, route: read.route }).toEqual(wanted);
    expect(read.form).toBe('bolus');
  });
});

describe('syringe-label classes', () => {
  it(`label-vasopressor (${entry('label-vasopressor').source})`, () => {
    expect(dictionary.labelClasses.vasopressor).toEqual(entry('label-vasopressor').expect);
    for (const drug of dictionary.drugs) expect([drug.inn, drug.class === 'vasopressor']).toEqual([drug.inn, 'isVasopressor' in drug && drug.isVasopressor]);
  });

  it(`label-classes: each class has its colour and Pantone number (${entry('label-classes').source})`, () => {
    const wanted = entry('label-classes').expect as Record<string, string>;
    const ours: Readonly<Record<string, { colour: string; pantone: string }>> = dictionary.labelClasses;
    for (const [cls, colour] of Object.entries(wanted)) {
      const listed = ours[cls === 'induction' ? 'induction agent' : cls.replaceAll('_', ' ')];
      const pantone = /^yellow/.test(colour) ? 'process yellow C' : colour === 'warm red' ? 'warm red' : colour.split(' ')[1];
      expect([cls, listed?.pantone]).toEqual([cls, pantone]);
      expect(colour).toContain(listed?.colour);
    }
  });
});

/** What the check value's concept is called in our model; null: not a quantity that the product reads. */
const CONCEPTS: Readonly<Record<string, Quantity | null>> = {
  'spo2-profile': 'spo2', 'spo2-pulseox': 'spo2', 'spo2-preductal': 'spo2', hr: 'heart-rate', 'pulse-rate-oximeter': 'pulse-rate', pi: 'perfusion-index',
  'bp-sys': 'nibp-sys', 'bp-dia': 'nibp-dia', 'bp-mean': 'nibp-mean', 'abp-sys': 'art-sys', 'abp-dia': 'art-dia', 'abp-mean': 'art-mean',
  'nibp-sys': 'nibp-sys', 'nibp-dia': 'nibp-dia', 'nibp-mean': 'nibp-mean', 'temp-body': 'temp', 'temp-core': 'temp-core', 'temp-oesophageal': 'temp-core',
  'etco2-pressure': 'etco2', 'etco2-other': 'etco2', 'fio2-setting': 'fio2', 'o2-inhaled-fraction': 'fio2', 'fio2-inhaled': 'fio2', 'o2-flow': null,
};

describe('LOINC codes as names', () => {
  it.each(rows('loinc-'))('%s (%s)', (_id, _source, { given, expect: code }) => {
    const concept = String(given['concept']);
    expect(CONCEPTS).toHaveProperty([concept]);
    expect(findQuantity(String(code))?.quantity ?? null).toBe(CONCEPTS[concept]);
  });

  it('bp-*: a pressure of unstated method is taken as the cuff\'s, and says so (handbook 8.1: method unstated)', () => {
    for (const code of ['8480-6', '8462-4', '8478-0']) expect(findQuantity(code)?.assumption).toMatch(/method not stated/);
    for (const code of ['76534-7', '76215-3']) expect(findQuantity(code)?.assumption).toBeNull();
  });

  it('every LOINC and MDC code of the model is a name of its quantity (handbook 8.1, 8.2)', () => {
    for (const [quantity, facts] of Object.entries(QUANTITY_FACTS)) {
      for (const code of facts.loinc) expect([code, findQuantity(code)?.quantity]).toEqual([code, quantity]);
      if (facts.mdc !== null) for (const name of [String(facts.mdc.code), facts.mdc.refId, `${facts.mdc.code}^${facts.mdc.refId}^MDC`]) expect([name, findQuantity(name)?.quantity]).toEqual([name, quantity]);
    }
  });
});

const REF_ID_QUANTITY: Readonly<Record<string, Quantity | null>> = {
  MDC_PULS_OXIM_SAT_O2: 'spo2', MDC_PULS_OXIM_PULS_RATE: 'pulse-rate', MDC_PULS_OXIM_PERF_REL: 'perfusion-index', MDC_PULS_OXIM_PLETH: null, MDC_ECG_HEART_RATE: 'heart-rate',
  MDC_PRESS_BLD_NONINV_SYS: 'nibp-sys', MDC_PRESS_BLD_NONINV_DIA: 'nibp-dia', MDC_PRESS_BLD_NONINV_MEAN: 'nibp-mean', MDC_PRESS_CUFF_SYS: 'nibp-sys', MDC_PRESS_CUFF_DIA: 'nibp-dia', MDC_PRESS_CUFF_MEAN: 'nibp-mean',
  MDC_PRESS_BLD_ART_ABP_SYS: 'art-sys', MDC_PRESS_BLD_ART_ABP_DIA: 'art-dia', MDC_PRESS_BLD_ART_ABP_MEAN: 'art-mean', MDC_PULS_RATE_NON_INV: 'pulse-rate', MDC_TEMP_BODY: 'temp', MDC_CONC_AWAY_CO2_ET: 'etco2',
};

describe('MDC codes as names (ISO/IEEE 11073-10101)', () => {
  it.each(rows('mdc-', ['mdc-trap-150324']))('%s (%s)', (_id, _source, { given, expect: code }) => {
    const refId = String(given['refid']);
    expect(REF_ID_QUANTITY).toHaveProperty([refId]);
    expect(65536 * Number(given['partition']) + Number(given['term'])).toBe(code);
    expect(dictionary.codes.find((listed) => listed.code === String(code))).toMatchObject({ refId });
    for (const name of [String(code), refId]) expect(findQuantity(name)?.quantity ?? null).toBe(REF_ID_QUANTITY[refId]);
  });

  it(`mdc-trap-150324: decided by the code, whatever name stands beside it (${entry('mdc-trap-150324').source}, from memory)`, () => {
    for (const name of ['150324', '150324 SpO2', '150324^MDC_PULS_OXIM_SAT_O2^MDC']) expect(findQuantity(name)).toBeNull();
    expect(dictionary.codes.find((listed) => listed.code === '150324')).toMatchObject({ meaning: entry('mdc-trap-150324').expect });
  });
});

describe('SNOMED CT body sites', () => {
  it.each(rows('snomed-'))('%s (%s)', (_id, _source, { given, expect: code }) => {
    const site = String(given['site']).replace('_', ' ');
    const listed: Readonly<Record<string, { snomed: string | null }>> = dictionary.sites;
    expect(listed[site]?.snomed).toBe(code);
    if (code !== null) expect(findSite(String(code))?.site).toBe(site);
  });
});

/** Units of doses; the others belong to measured values. */
const DOSE_UNITS = ['microgram', 'microgram per kilogram per minute', 'international unit'];

describe('UCUM spellings', () => {
  it.each(rows('ucum-'))('%s (%s)', (_id, _source, { given, expect: code }) => {
    const unit = String(given['unit']);
    const read = DOSE_UNITS.includes(unit) ? normalizeDoseUnit : normalizeMeasureUnit;
    expect(read(unit)).toBe(code);
    expect(read(String(code))).toBe(code);
  });
});

it('reads every entry of the check values whose id begins as one of the tables above', () => {
  const prefixes = ['atc-', 'dose-', 'label-', 'loinc-', 'mdc-', 'snomed-', 'ucum-'];
  const counts = Object.fromEntries(prefixes.map((prefix) => [prefix, ENTRIES.filter((one) => one.id.startsWith(prefix)).length]));
  expect(counts).toEqual({ 'atc-': 21, 'dose-': 8, 'label-': 2, 'loinc-': 24, 'mdc-': 18, 'snomed-': 5, 'ucum-': 10 });
});
