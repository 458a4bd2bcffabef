import Papa from 'papaparse';
import { describe, expect, it } from 'vitest';
import type { BlindInterval, CaseAnalysis, Dropout, Exposure, SiteAnalysis } from '../../../../core/model/analysis.ts';
import type { FileReport, RejectedRow } from '../../../../core/model/import-report.ts';
import { DEFAULT_PARAMETERS } from '../../../../core/model/parameters.ts';
import { REPORT_FILE_NAMES } from '../../../../core/report/report-files.ts';
import type { WholeRun } from '../../../builders/report-texts.ts';
import { reportTexts } from '../../../builders/report-texts.ts';
import { buildCaseAnalysis, buildCaseRecord, buildDropout } from '../../../builders/stored-case.ts';

type Row = Record<string, string>;

function table(text: string | undefined): Row[] {
  return Papa.parse<Row>(text ?? '', { header: true, skipEmptyLines: true, newline: '\r\n' }).data;
}

function pick(row: Row | undefined, ...names: string[]): string[] {
  return names.map((name) => row?.[name] ?? `no column ${name}`);
}

const fileReport = (over: Partial<FileReport> = {}): FileReport => ({
  file: 'trends.csv', kind: 'trends', encoding: 'UTF-8', delimiter: ',', layout: 'wide', rows_read: 10, rows_accepted: 8, rows_rejected: 2,
  rejected: [{ reason: 'no time', count: 2, first_line: 4 }], notes: ['a note'], guesses: [], columns: [], cases: ['case-1'], sha256: 'ab'.repeat(32), byte_length: 99, failure: null, ...over,
});
const rejectedRow = (over: Partial<RejectedRow> = {}): RejectedRow => ({ file: 'trends.csv', line: 4, reason: 'no time', row: ',97,"x"', ...over });

const exposure = (over: Partial<Exposure> = {}): Exposure => ({
  exposureId: 'x1', kind: 'vasopressor bolus', label: 'phenylephrine', atc: 'C01CA06', dose: 100, unit: 'ug', atMs: 500, endMs: null, windowMs: 600_000,
  manual: false, flags: [], sourceText: 'phenylephrine 100 mcg IV', dropoutsAfter: 1, ...over,
});

/** 10-s data: good at 0 s, lost at 10, 20 and 30 s, good at 40 s: low 20 s, high 40 s, mid 30 s (worked example of the analysis rules, section 5). */
const tenSecondDropout: Dropout = buildDropout({
  lastGoodMs: 0, firstLostMs: 10_000, lastLostMs: 30_000, firstGoodMs: 40_000, lostMs: { low: 20_000, mid: 30_000, high: 40_000 }, lostSamples: { absent: 3 },
  links: [{ exposureId: 'x1', leadMs: 4500, certainty: 'certain' }], responses: [{ exposureId: 'x2', leadMs: -15_000, certainty: 'during' }], patterns: ['planned', 'record gap'],
});
const movedAway: Dropout = buildDropout({
  dropoutId: 'finger-100000', number: 2, lastGoodMs: 90_000, firstLostMs: 100_000, lastLostMs: null, firstGoodMs: null, lostMs: { low: 50_000, mid: 60_000, high: 70_000 }, restoredBy: 'other site',
  restoredSiteKey: 'nasal ala', restoredAfterMs: 50_000, censoredAtMs: 150_000, spo2After: null, dropOnReturn: null, isMarked: false, perfusionBefore: null, pressureBefore: null, links: [],
});
const blind: BlindInterval = { number: 1, lastGoodMs: 90_000, firstLostMs: 100_000, lastLostMs: 140_000, firstGoodMs: 150_000, lostMs: { low: 40_000, mid: 50_000, high: 60_000 }, restoredBy: 'other site', restoredSiteKey: 'nasal ala' };

function twoSites(over: Partial<CaseAnalysis> = {}): CaseAnalysis {
  const base = buildCaseAnalysis([tenSecondDropout, movedAway]);
  const [finger] = base.sites;
  if (finger === undefined) throw new Error('the builder makes one site');
  const nose: SiteAnalysis = {
    ...finger, siteKey: 'nasal ala', site: 'nasal ala', channelId: 'spo2@nasal ala', intervalMs: null, monitored: null, monitoredMs: 0, notMonitoredReason: 'no value in any row',
    dropouts: [], dropoutsDoubtfulLost: [], totals: { ...base.blindTotals, shareMid: null }, totalsDoubtfulLost: { ...base.blindTotals, shareMid: null }, below: [],
  };
  return {
    ...base,
    sites: [nose, finger], // not in the order of the output
    exposures: [exposure({ exposureId: 'x2', kind: 'cuff moved', label: 'cuff moved', atc: null, dose: null, unit: '', atMs: 20_000, windowMs: null, manual: true, sourceText: '=cuff to left arm', dropoutsAfter: 0 }), exposure()],
    blind: [blind],
    blindTotals: { count: 1, lostMs: blind.lostMs, longestMidMs: 50_000, shareMid: 50 / 600 },
    ...over,
  };
}

function runOf(over: Partial<WholeRun> = {}): WholeRun {
  return {
    settings: { productVersion: '1.2.3', parameters: DEFAULT_PARAMETERS, zone: 'Europe/Berlin', mapping: null, keepIdentifiers: false, pseudonyms: 'key from the input', relativeTime: false, written: [] },
    files: [fileReport()],
    rejectedRows: [rejectedRow()],
    cases: [{ record: buildCaseRecord({ origin: { epochMs: Date.UTC(2031, 3, 3, 6, 15), clock: 'absolute', originOffsetMs: 0, zone: 'Europe/Berlin', zoneStated: true } }), analysis: twoSites() }],
    unanalyzed: [],
    withRobustness: false,
    ...over,
  };
}

describe('the files of a run', () => {
  it('are those of the contract', () => {
    expect(Object.keys(reportTexts(runOf())).sort()).toEqual([...REPORT_FILE_NAMES].sort());
  });

  it('say which clocks were set by hand, in every row of the case', () => {
    const [one] = runOf().cases;
    if (one === undefined) throw new Error('the builder makes one case');
    const source = one.record.sources[0]!;
    const sources = [source, { ...source, name: 'drugs.csv', clockOffsetMs: 90_500 }, { ...source, name: 'events.csv', clockOffsetMs: -60_000 }];
    const rows = table(reportTexts(runOf({ cases: [{ ...one, record: { ...one.record, sources } }] }))['cases.csv']);
    expect(new Set(rows.map((row) => row['clock_offsets']))).toEqual(new Set(['drugs.csv: 90.5 | events.csv: -60']));
    expect(table(reportTexts(runOf())['cases.csv'])[0]?.['clock_offsets']).toBe('');
    expect(rows[0]?.['clock_offset_grounds']).toBe('drugs.csv: by hand | events.csv: by hand');
    const acceptedOffset = { against: 'trends.csv', method: 'course' as const, lowMs: 72_500, highMs: 97_000, n: 412, peak: 0.9123456, atPresent: 0.1 };
    const accepted = [source, { ...source, name: 'keeper.csv', clockOffsetMs: 84_000, acceptedOffset }];
    const [row] = table(reportTexts(runOf({ cases: [{ ...one, record: { ...one.record, sources: accepted } }] }))['cases.csv']);
    expect(row?.['clock_offset_grounds']).toBe('keeper.csv: accepted proposal against trends.csv, 72.5 to 97 s, agreement 0.912346 over 412');
    expect(reportTexts(runOf())['data-dictionary.md']).toContain('clock_offsets');
  });

  it('say what the data say of the clocks, and propose nothing where nothing can be told', () => {
    const [one] = runOf().cases;
    if (one === undefined) throw new Error('the builder makes one case');
    const source = one.record.sources[0]!;
    const record = { ...one.record, sources: [source, { ...source, name: 'keeper.csv', clockOffsetMs: 60_000 }, { ...source, name: 'drugs.csv' }] };
    const evidence = { method: 'course' as const, ownName: 'HR', againstName: 'Pulse', n: 412, nOf: null, offsetMs: 84_200, lowMs: 72_500, highMs: 97_000, peak: 0.91, atPresent: 0.12, next: 0.3, reason: null, curve: [] };
    const clocks = [
      { sourceIndex: 1, againstIndex: 0, verdict: 'proposed' as const, offsetMs: 84_000, words: 'so and so', evidence: [evidence] },
      { sourceIndex: 2, againstIndex: null, verdict: 'cannot be told' as const, offsetMs: null, words: 'nothing in common', evidence: [] },
    ];
    const rows = table(reportTexts(runOf({ cases: [{ ...one, record, clocks }] }))['clock-offsets.csv']);
    expect(rows.map(({ source: own, against, verdict, offset_s, low_s, high_s, set_s, agreement, evidence: words }) => [own, against, verdict, offset_s, low_s, high_s, set_s, agreement, words])).toEqual([
      ['keeper.csv', source.name, 'proposed', '84', '72.5', '97', '60', '0.91', 'so and so'],
      ['drugs.csv', '', 'cannot be told', '', '', '', '0', '', 'nothing in common'],
    ]);
    expect(reportTexts(runOf())['clock-offsets.csv']?.trim().split('\r\n')).toHaveLength(1);
  });

  it('begin with the fixed columns in their order', () => {
    const heading = (name: string): string => (reportTexts(runOf())[name] ?? '').split('\r\n')[0] ?? '';
    const fixed: Record<string, string> = {
      'rejected-rows.csv': 'file,line,reason,row',
      'cases.csv': 'case_id,site,interval_s,monitored_s,dropouts,lost_low_s,lost_mid_s,lost_high_s,lost_share_mid,longest_mid_s,doubtful_s,record_gap_s,time_below_90_s,time_below_90_low_s,time_below_90_high_s',
      'dropouts.csv': 'case_id,site,dropout,last_good_s,first_lost_s,last_lost_s,first_good_s,last_good_at,first_lost_at,last_lost_at,first_good_at,lost_low_s,lost_mid_s,lost_high_s,restored_by,restored_site,spo2_before,spo2_after,pi_before,patterns',
      'links.csv': 'case_id,site,dropout,exposure,label,dose,unit,exposure_at,exposure_s,lead_s,certainty',
      'exposures.csv': 'case_id,exposure,label,dose,unit,at,at_s,dropouts_after,source_text',
    };
    for (const [name, columns] of Object.entries(fixed)) expect(`${heading(name)},`.startsWith(`${columns},`), name).toBe(true);
  });

  it('have a row per sensor and one for the case, sites in the order of the contract', () => {
    const rows = table(reportTexts(runOf())['cases.csv']);
    expect(rows.map((row) => pick(row, 'case_id', 'site'))).toEqual([['case-1', 'finger'], ['case-1', 'nasal ala'], ['case-1', 'case']]);
    expect(pick(rows[0], 'interval_s', 'monitored_s', 'dropouts', 'lost_low_s', 'lost_mid_s', 'lost_high_s', 'lost_share_mid', 'longest_mid_s', 'time_below_90_high_s')).toEqual(['1', '600', '2', '70', '90', '110', '0.15', '60', '30']);
    expect(pick(rows[2], 'dropouts', 'lost_mid_s', 'lost_share_mid', 'monitored_s', 'interval_s', 'time_below_90_s')).toEqual(['1', '50', '0.0833333', '600', '', '']);
  });

  it('leave undefined figures empty and say why a site was not monitored', () => {
    const nose = table(reportTexts(runOf())['cases.csv'])[1];
    expect(pick(nose, 'interval_s', 'monitored_s', 'dropouts', 'lost_share_mid', 'longest_mid_s', 'time_below_90_s', 'notes')).toEqual(['', '0', '0', '', '', '', 'no value in any row']);
  });

  it('write the four instants in seconds and as instants in the zone of the case', () => {
    const [first, second, third] = table(reportTexts(runOf())['dropouts.csv']);
    expect(pick(first, 'site', 'dropout', 'last_good_s', 'first_lost_s', 'last_lost_s', 'first_good_s', 'lost_low_s', 'lost_mid_s', 'lost_high_s')).toEqual(['finger', '1', '0', '10', '30', '40', '20', '30', '40']);
    expect(pick(first, 'last_good_at', 'first_good_at')).toEqual(['2031-04-03T08:15:00+02:00', '2031-04-03T08:15:40+02:00']);
    expect(pick(first, 'restored_by', 'restored_site', 'spo2_before', 'spo2_after', 'pi_before', 'patterns')).toEqual(['same site', 'finger', '97', '92', '0.4', 'planned;record gap']);
    expect(pick(second, 'last_lost_s', 'first_good_s', 'first_good_at', 'spo2_after', 'pi_before', 'restored_by', 'restored_site', 'restored_after_s', 'censored_at_s')).toEqual(['', '', '', '', '', 'other site', 'nasal ala', '50', '150']);
    expect(pick(third, 'site', 'dropout', 'first_lost_s', 'lost_mid_s', 'restored_site', 'spo2_before', 'patterns', 'samples_absent')).toEqual(['case', '1', '100', '50', 'nasal ala', '', '', '']);
  });

  it('list what preceded a dropout and what was done during it', () => {
    const rows = table(reportTexts(runOf())['links.csv']);
    expect(rows.map((row) => pick(row, 'site', 'dropout', 'exposure', 'label', 'dose', 'unit', 'exposure_s', 'lead_s', 'certainty', 'atc'))).toEqual([
      ['finger', '1', 'vasopressor bolus', 'phenylephrine', '100', 'ug', '0.5', '4.5', 'certain', 'C01CA06'],
      ['finger', '1', 'cuff moved', 'cuff moved', '', '', '20', '-15', 'during', ''],
    ]);
  });

  it('list every exposure in time order, those that nothing followed too, and disarm formulas', () => {
    const rows = table(reportTexts(runOf())['exposures.csv']);
    expect(rows.map((row) => pick(row, 'label', 'at', 'at_s', 'dropouts_after', 'source_text', 'by_hand', 'window_s'))).toEqual([
      ['phenylephrine', '2031-04-03T08:15:00.500+02:00', '0.5', '1', 'phenylephrine 100 mcg IV', 'no', '600'],
      ['cuff moved', '2031-04-03T08:15:20+02:00', '20', '0', "'=cuff to left arm", 'yes', ''],
    ]);
  });

  it('write instants on both sides of a change of the clock with their own offset', () => {
    // Europe/Berlin goes from +01:00 to +02:00 at 2031-03-30T01:00:00Z (last Sunday of March, IANA time zone rules of the European Union).
    const changeMs = Date.UTC(2031, 2, 30, 1);
    const spring = buildCaseRecord({ origin: { epochMs: changeMs - 10_000, clock: 'absolute', originOffsetMs: 0, zone: 'Europe/Berlin', zoneStated: true } });
    const later = buildDropout({ lastGoodMs: 9_000, firstLostMs: 10_000, lastLostMs: 40_000, firstGoodMs: 41_000, links: [] });
    const rows = table(reportTexts(runOf({ cases: [{ record: spring, analysis: buildCaseAnalysis([later, buildDropout({ number: 2, links: [], lastGoodMs: 8_000 })]) }] }))['dropouts.csv']);
    expect(pick(rows[0], 'last_good_at', 'first_lost_at')).toEqual(['2031-03-30T01:59:59+01:00', '2031-03-30T03:00:00+02:00']);
    expect(pick(rows[1], 'last_good_at')).toEqual(['2031-03-30T01:59:58+01:00']);
  });

  it.each([
    { epochMs: null, clock: 'elapsed', originOffsetMs: 0, zone: 'UTC', zoneStated: false } as const,
    { epochMs: null, clock: 'time of day', originOffsetMs: 30_000_000, zone: 'UTC', zoneStated: false } as const,
  ])('leave every instant empty where the record has no date ($clock)', (origin) => {
    const run = runOf({ cases: [{ record: buildCaseRecord({ origin }), analysis: twoSites() }] });
    for (const name of ['cases.csv', 'dropouts.csv', 'links.csv', 'exposures.csv']) {
      for (const row of table(reportTexts(run)[name])) {
        for (const [column, value] of Object.entries(row)) if (column === 'at' || column.endsWith('_at')) expect(value, `${name} ${column}`).toBe('');
      }
    }
    expect(table(reportTexts(run)['dropouts.csv'])[0]?.['first_lost_s']).toBe('10');
  });

  it('do not depend on the order of files, rejected rows and cases', () => {
    const second = { record: buildCaseRecord({ caseId: 'Case-2' }), analysis: buildCaseAnalysis() };
    const forward = runOf({ files: [fileReport(), fileReport({ file: 'a.csv' })], rejectedRows: [rejectedRow(), rejectedRow({ line: 9 }), rejectedRow({ file: 'a.csv' })], cases: [...runOf().cases, second] });
    const backward = { ...forward, files: [...forward.files].reverse(), rejectedRows: [...forward.rejectedRows].reverse(), cases: [...forward.cases].reverse() };
    expect(reportTexts(backward)).toEqual(reportTexts(forward));
    expect(table(reportTexts(forward)['cases.csv'])[0]?.['case_id']).toBe('Case-2'); // code units: capitals first
  });

  it('carry the rejected rows as they stand in the file', () => {
    expect(table(reportTexts(runOf())['rejected-rows.csv'])).toEqual([{ file: 'trends.csv', line: '4', reason: 'no time', row: ',97,"x"' }]);
  });

  it('say in the import report which case was not analysed', () => {
    const text = reportTexts(runOf({ unanalyzed: [{ caseId: 'case-1', message: 'it broke.' }] }))['import-report.json'] ?? '';
    const report = JSON.parse(text) as FileReport[];
    expect(report[0]).toMatchObject({ file: 'trends.csv', rows_read: 10, rows_accepted: 8, rows_rejected: 2, rejected: [{ reason: 'no time', count: 2, first_line: 4 }], notes: ['a note', 'Case case-1 was read and not analysed: it broke.'] });
  });

  it('state every parameter, the version and the digest of every input', () => {
    const text = reportTexts(runOf())['parameters.json'] ?? '';
    expect(JSON.parse(text)).toEqual({
      product: 'lacuna', product_version: '1.2.3', pseudonyms: 'key from the input', relative_time: false, parameters: DEFAULT_PARAMETERS, zone: 'Europe/Berlin', mapping: null, keep_identifiers: false, written: [],
      inputs: [{ file: 'trends.csv', sha256: 'ab'.repeat(32), byte_length: 99, value_making: [] }],
    });
  });

  it('write headings where there is nothing to list', () => {
    const empty = reportTexts(runOf({ files: [], rejectedRows: [], cases: [] }));
    for (const name of ['rejected-rows.csv', 'cases.csv', 'dropouts.csv', 'links.csv', 'exposures.csv']) expect((empty[name] ?? '').split('\r\n'), name).toHaveLength(2);
    expect(JSON.parse(empty['import-report.json'] ?? '')).toEqual([]);
  });
});

describe('the data dictionary', () => {
  const written = reportTexts(runOf({ files: [fileReport({ failure: { message: 'm', line: 1, remedy: null }, guesses: [{ field: 'dateOrder', taken: 't', because: 'b', certainty: 'likely', alternatives: [{ label: 'l', rules: {} }] }], columns: [{ heading: 'h', readAs: 'r', quantity: null, site: null, values: 1, missing: 0 }] })] }));
  const dictionary = written['data-dictionary.md'] ?? '';
  const section = (name: string): string => dictionary.split('\n## ').find((part) => part.startsWith(`${name}\n`)) ?? '';

  it.each(REPORT_FILE_NAMES.filter((name) => name.endsWith('.csv')))('describes every column of %s', (name) => {
    const columns = Papa.parse<string[]>(written[name] ?? '', { newline: '\r\n' }).data[0] ?? [];
    expect(columns.length).toBeGreaterThan(3);
    for (const column of columns) expect(section(name), column).toContain(`| \`${column}\` | `);
    expect(new Set(columns).size).toBe(columns.length);
  });

  it.each(['import-report.json', 'parameters.json'])('describes every field of %s', (name) => {
    const fields = fieldNames(JSON.parse(written[name] ?? ''));
    expect(fields.length).toBeGreaterThan(5);
    const described = [...section(name).matchAll(/^\| `([^`]+)` \|/gmu)].map((match) => match[1] ?? '');
    for (const field of fields) expect(described.some((d) => d === field || d === `${field}[]` || d.startsWith(`${field}.`) || d.startsWith(`${field}[]`) || field.startsWith(`${d}.`) || field.startsWith(`${d}[`)), field).toBe(true);
  });

  it('has five cells in no row but those of its tables, and nothing left empty but units', () => {
    for (const line of dictionary.split('\n').filter((l) => l.startsWith('| `'))) expect(line.split(/(?<!\\)\|/u), line).toHaveLength(6);
  });
});

/** Returns `a`, `a.b`, `a[].b` for all fields of parsed JSON whose top level is an object or a list of objects. */
function fieldNames(json: unknown, prefix = ''): string[] {
  if (Array.isArray(json)) return [...new Set(json.flatMap((entry) => fieldNames(entry, prefix === '' ? '' : `${prefix}[]`)))];
  if (typeof json !== 'object' || json === null) return prefix === '' ? [] : [prefix];
  return Object.entries(json).flatMap(([key, value]) => fieldNames(value, prefix === '' ? key : `${prefix}.${key}`));
}
