import { describe, expect, it } from 'vitest';
import { DEFAULT_PARAMETERS } from '../../../../core/model/parameters.ts';
import { parseJsonText } from '../../../../core/persist/json-text.ts';
import { parseMapping } from '../../../../core/persist/mapping-file.ts';
import { parseParameters } from '../../../../core/persist/parameters-file.ts';

const messageOf = (result: { ok: true } | { ok: false; failure: { message: string } }): string => (result.ok ? 'no failure' : result.failure.message);

describe('parseParameters', () => {
  it('gives the defaults for an empty object', () => {
    expect(parseParameters({})).toEqual({ ok: true, value: DEFAULT_PARAMETERS });
  });

  it('overrides single fields, single look-backs too, and does not call the result default', () => {
    const result = parseParameters({ minDurationS: 60, lookBackBolusS: { ephedrine: 1 } });
    expect(result).toEqual({ ok: true, value: { ...DEFAULT_PARAMETERS, name: 'from file', minDurationS: 60, lookBackBolusS: { ...DEFAULT_PARAMETERS.lookBackBolusS, ephedrine: 1 } } });
  });

  it('keeps a name that the file gives', () => {
    expect(parseParameters({ name: 'ours' })).toMatchObject({ value: { name: 'ours' } });
  });

  it.each([
    [{ minDurationS: '30' }, 'minDurationS'],
    [{ minDurationS: -1 }, 'minDurationS'],
    [{ lookBackBolusS: { ephedrine: 'long' } }, 'lookBackBolusS.ephedrine'],
    [{ lookBackBolusS: 5 }, 'lookBackBolusS'],
    [{ spo2Plausible: [100, 1] }, 'spo2Plausible'],
    [{ keepRecordGaps: null }, 'keepRecordGaps'],
    [{ minDuration: 30 }, 'minDuration'],
  ])('names the field that does not fit: %j', (json, field) => {
    expect(messageOf(parseParameters(json))).toContain(`"${field}"`);
  });

  it.each([[[]], ['text'], [null], [3]])('refuses what is no object: %j', (json) => {
    expect(parseParameters(json).ok).toBe(false);
  });
});

describe('parseMapping', () => {
  it('takes a mapping with its schema', () => {
    const mapping = { schema: 'lacuna-mapping/1', name: 'ward', files: [{ match: {}, reading: { dateOrder: 'dmy' } }] };
    expect(parseMapping(mapping)).toEqual({ ok: true, value: mapping });
  });

  it.each([
    [{ name: 'x', files: [] }, 'schema'],
    [{ schema: 'lacuna-mapping/1', name: 'x', files: [{ match: {}, reading: { dateOrder: 'day first' } }] }, 'files.0.reading.dateOrder'],
    [{ schema: 'lacuna-mapping/1', name: 'x', files: [{ match: {}, reading: { dateorder: 'dmy' } }] }, 'dateorder'],
  ])('names the field that does not fit: %j', (json, field) => {
    expect(messageOf(parseMapping(json))).toContain(`"${field}"`);
  });
});

describe('parseJsonText', () => {
  it('reads text with a byte order mark', () => {
    expect(parseJsonText('\uFEFF{"a":1}')).toEqual({ ok: true, value: { a: 1 } });
  });

  it.each([
    ['{\n"a": 1,\n"b" 2\n}', 3],
    ['{\n"a": 1,\n', 3],
    ['', 1],
  ])('names the line of the fault: %j', (text, line) => {
    expect(parseJsonText(text)).toMatchObject({ ok: false, failure: { line } });
  });
});
