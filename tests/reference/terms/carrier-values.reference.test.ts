import { describe, expect, it } from 'vitest';
import { nameOfCodings, systemNamed } from '../../../core/readers/coded-name.ts';
import { headerLength } from '../../../core/readers/edf/edf-header.ts';
import { edfScale } from '../../../core/readers/edf/edf-scale.ts';
import { readSampledData } from '../../../core/readers/fhir/sampled-data.ts';
import checkValues from '../../fixtures/check-values.json' with { type: 'json' };

interface CheckValue {
  readonly id: string;
  readonly given: Readonly<Record<string, unknown>>;
  readonly expect: unknown;
  readonly source: string;
  readonly status: string;
}
const ENTRIES = checkValues as readonly CheckValue[];
const entry = (id: string): CheckValue => ENTRIES.find((one) => one.id === id)!;
const sourceOf = ({ source, status }: CheckValue): string => (status === 'from memory' ? `${source}, from memory` : source);

describe('sampled data', () => {
  const decode = entry('fhir-sampleddata-decode');
  const { origin, ...rest } = decode.given;
  const data = { ...rest, origin: { value: origin } };

  it(`fhir-sampleddata-decode (${sourceOf(decode)})`, () => {
    const samples = readSampledData(data);
    if (typeof samples === 'string') throw new Error(samples);
    expect(samples.value.map((value) => (Number.isNaN(value) ? null : value))).toEqual(decode.expect);
    expect(samples.periodMs).toBe(1000);
  });

  const type = entry('fhir-sampleddata');
  const { required, optional } = type.expect as { required: string[]; optional: string[] };
  it.each(required)(`fhir-sampleddata: without %s it is not read (${sourceOf(type)})`, (name) => {
    expect(typeof readSampledData({ ...data, [name]: undefined })).toBe('string');
  });
  it.each(optional.filter((name) => name !== 'data'))(`fhir-sampleddata: %s may be left out (${sourceOf(type)})`, (name) => {
    expect(typeof readSampledData({ ...data, [name]: undefined })).toBe('object');
  });
});

describe('codes in their systems', () => {
  const QUANTITY: Readonly<Record<string, string>> = {
    'loinc-spo2-profile': 'spo2', 'loinc-spo2-pulseox': 'spo2', 'loinc-spo2-preductal': 'spo2', 'loinc-hr': 'heart-rate', 'loinc-pulse-rate-oximeter': 'pulse-rate', 'loinc-pi': 'perfusion-index',
    'loinc-abp-sys': 'art-sys', 'loinc-nibp-mean': 'nibp-mean', 'loinc-temp-core': 'temp-core', 'loinc-etco2-pressure': 'etco2', 'mdc-puls-oxim-sat-o2': 'spo2', 'mdc-puls-oxim-puls-rate': 'pulse-rate',
    'mdc-puls-oxim-perf-rel': 'perfusion-index', 'mdc-ecg-heart-rate': 'heart-rate', 'mdc-press-cuff-sys': 'nibp-sys', 'mdc-press-bld-art-abp-mean': 'art-mean',
  };
  it.each(Object.entries(QUANTITY).map(([id, quantity]) => [id, sourceOf(entry(id)), quantity] as const))('%s (%s) is read as %s', (id, _source, quantity) => {
    const { given, expect: code } = entry(id);
    expect(nameOfCodings([{ system: systemNamed(String(given['system'])), code: String(code), display: '' }], '').quantity).toBe(quantity);
  });

  const trap = entry('mdc-trap-150324');
  it(`mdc-trap-150324 (${sourceOf(trap)})`, () => {
    const name = nameOfCodings([{ system: 'MDC', code: String(trap.given['code']), display: 'SpO2' }], '');
    expect(name.quantity).toBe('other');
    expect(name.warning).toContain(String(trap.expect));
  });
});

describe('EDF', () => {
  const header = entry('edf-header-bytes');
  it(`edf-header-bytes (${sourceOf(header)})`, () => {
    const fixed = new TextEncoder().encode(''.padEnd(252) + String(header.given['signals']).padEnd(4));
    expect(headerLength(fixed)).toBe(header.expect);
  });

  const scaling = entry('edf-scaling');
  it(`edf-scaling (${sourceOf(scaling)})`, () => {
    const { digital, dmin, dmax, pmin, pmax } = scaling.given as Record<string, number>;
    const scale = edfScale({ label: '', transducer: '', dimension: '%', physicalMin: pmin!, physicalMax: pmax!, digitalMin: dmin!, digitalMax: dmax!, samplesPerRecord: 1, isAnnotations: false });
    if (typeof scale === 'string') throw new Error(scale);
    expect(Math.abs(scale.physical(digital!) - Number(scaling.expect))).toBeLessThanOrEqual(0.0001);
  });
});
