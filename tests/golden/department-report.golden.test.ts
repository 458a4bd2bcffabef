/*
 * The department report against the tables of the headless run, number by number: patterns, rates after exposures, robustness, coverage,
 * time to information and burden. Tables are read with another program's code (Papa Parse); printed numbers are read from their text and
 * may differ from the table by no more than half of the last place that is printed (rounding; derived).
 */
import Papa from 'papaparse';
import { beforeAll, expect, test } from 'vitest';
import type { CohortExport } from '../../core/model/cohort-export.ts';
import { DEFAULT_HEADER, type ReportDocument, type ReportTable } from '../../core/model/report-document.ts';
import { cohortTableTexts } from '../../core/report/cohort-files.ts';
import { departmentReport } from '../../core/report/document/department-report.ts';
import { readSamples, type ReadSamples } from './read-samples.ts';
import { sampleCohortExport } from './sample-department-report.ts';

type Row = Readonly<Record<string, string>>;

let samples: ReadSamples;
let run: CohortExport;
let report: ReportDocument;
beforeAll(async () => {
  samples = await readSamples();
  run = sampleCohortExport(samples);
  report = departmentReport({ run, files: null, unanalyzed: [], inputDigests: [] }, { header: DEFAULT_HEADER, paper: 'A4', relativeTime: false });
}, 240_000);

async function rowsOf(name: string): Promise<readonly Row[]> {
  const file = cohortTableTexts(run, false).find((one) => one.name === name);
  if (file === undefined) throw new Error(`no table ${name}`);
  let text = '';
  for await (const part of file.text) text += part;
  return Papa.parse<Row>(text, { header: true, skipEmptyLines: true }).data;
}

function tableOf(beginning: string): ReportTable {
  const tables = report.blocks.flatMap((block) => (block.kind === 'table' ? [block.table] : block.kind === 'figure' && block.table !== null ? [block.table] : []));
  const found = tables.filter(({ caption }) => caption.startsWith(beginning));
  expect(found, beginning).toHaveLength(1);
  return found[0] ?? { caption: '', columns: [], rows: [], note: '' };
}

const UNIT_S = { h: 3600, min: 60, s: 1 } as const;

/** Every number of a printed text with half of its last place: durations in s, per cent as shares. */
function printed(text: string): { readonly value: number; readonly half: number }[] {
  const found: { readonly value: number; readonly half: number }[] = [];
  const number = /(under )?(\d[\d,]*)(?:\.(\d+))?(?: (h|min|s|%)(?:(?= )(?: (\d+) (min|s))?)?)?/gu;
  for (const [, under, whole = '', decimals = '', unit, more, moreUnit] of text.matchAll(number)) {
    const plain = Number(`${whole.replaceAll(',', '')}.${decimals || '0'}`);
    const place = 10 ** -decimals.length;
    if (under !== undefined) found.push({ value: 0, half: (plain * (unit === '%' ? 0.01 : 1)) });
    else if (unit === '%') found.push({ value: plain / 100, half: place / 200 });
    else if (unit === 'h' || unit === 'min' || unit === 's') {
      const small = moreUnit === 'min' || moreUnit === 's' ? UNIT_S[moreUnit] : 0;
      // Hours are rounded to minutes, minutes to seconds, also where none of them is said.
      found.push({ value: plain * UNIT_S[unit] + Number(more ?? 0) * small, half: unit === 'h' ? 30 : unit === 'min' ? 0.5 : place / 2 });
    } else found.push({ value: plain, half: place / 2 });
  }
  return found;
}

/** Expects the numbers of a cell to be those of the table, in their order; an empty field of the table is not printed. */
function expectNumbers(what: string, cell: string, fields: readonly (string | undefined)[]): void {
  const wanted = fields.filter((field): field is string => field !== undefined && field !== '' && field !== 'unbounded').map(Number);
  const got = printed(cell);
  expect(got.length, `${what}: “${cell}” against ${wanted.join(', ')}`).toBe(wanted.length);
  for (const [i, { value, half }] of got.entries()) expect(Math.abs(value - (wanted[i] ?? NaN)), `${what}: “${cell}” against ${wanted.join(', ')}`).toBeLessThanOrEqual(half * (1 + 1e-9) + 1e-9);
}

const PLACES: Readonly<Record<string, string>> = { 'all sensors': 'all sensors together', 'case': 'no sensor (blind)' };
const placeOf = (site: string | undefined): string => PLACES[site ?? ''] ?? (site ?? '');

test('rates of loss after exposures are those of cohort-before-loss.csv', async () => {
  const rows = (await rowsOf('cohort-before-loss.csv')).filter((row) => row['variant'] === '' && row['site'] === '' && row['exposure'] !== '' && Number(row['exposures']) > 0);
  const { rows: told } = tableOf('Rates of loss after exposures');
  expect(told.map(([name]) => name)).toEqual(rows.map(({ exposure, label }) => (label === '' ? (exposure === 'vasopressor bolus' ? 'any bolus' : 'any change of position') : label)));
  expect(told.length).toBeGreaterThan(8);
  for (const [i, row] of rows.entries()) {
    const [name = '', onRecord = '', used = '', after = '', risk = '', control = '', controlTime = '', ratio = '', p = ''] = told[i] ?? [];
    expectNumbers(name, onRecord, [row['exposures'], row['exposures_by_hand'] === '0' ? '' : row['exposures_by_hand']]);
    expectNumbers(name, used, [row['cases']]);
    expectNumbers(name, after, [row['risk_onsets']]);
    expectNumbers(name, risk, [row['risk_s']]);
    expectNumbers(name, control, [row['control_onsets']]);
    expectNumbers(name, controlTime, [row['control_s']]);
    if (row['rate_ratio'] === '') expect(ratio).toContain(row['rate_ratio_reason'] ?? '');
    else expectNumbers(name, ratio, [row['rate_ratio'], row['rate_ratio_from'], row['rate_ratio_to']]);
    if (row['p'] === '') expect(p).toBe('–');
    else expectNumbers(name, p, [row['p']]);
  }
});

test('how much hangs on the definition is what cohort-robustness.csv says', async () => {
  const rows = (await rowsOf('cohort-robustness.csv')).filter((row) => row['of'] === 'all sensors' && row['moved'] !== 'lookBackFactor');
  const shares = rows.filter(({ result }) => result === 'share lost');
  const rates = rows.filter(({ result }) => result === 'dropouts per hour');
  const { rows: told } = tableOf('How much hangs on the definition');
  expect(told).toHaveLength(shares.length);
  expect(shares.length).toBe(rates.length);
  expect(told.length).toBeGreaterThan(10);
  for (const [i, row] of shares.entries()) {
    const [moved = '', length = '', bridging = '', doubtful = '', share = '', rate = ''] = told[i] ?? [];
    expect(moved === 'as reported').toBe(row['moved'] === '');
    expectNumbers(moved, length, [row['min_duration_s']]);
    expectNumbers(moved, bridging, [row['bridge_s']]);
    expect(doubtful).toBe(row['doubtful_lost']);
    expectNumbers(moved, share, [row['estimate'], row['estimate_from'], row['estimate_to']]);
    expectNumbers(moved, rate, [rates[i]?.['estimate'], rates[i]?.['estimate_from'], rates[i]?.['estimate_to']]);
  }
});

test('what a second sensor covered is what cohort-coverage.csv says', async () => {
  const rows = await rowsOf('cohort-coverage.csv');
  const { rows: told } = tableOf('Of the time lost at one sensor');
  expect(told.map(([lost, other]) => [lost, other])).toEqual(rows.map(({ site, other }) => [placeOf(site), placeOf(other)]));
  expect(told.length).toBeGreaterThan(3);
  for (const [i, row] of rows.entries()) {
    const [lost = '', , cases = '', lostTime = '', covered = '', share = ''] = told[i] ?? [];
    expectNumbers(lost, cases, [row['cases']]);
    expectNumbers(lost, lostTime, [row['lost_s']]);
    expectNumbers(lost, covered, [row['covered_s']]);
    if (row['covered_share'] === '') expect(share).toBe('nothing lost');
    else expectNumbers(lost, share, [row['covered_share'], row['covered_share_from'], row['covered_share_to']]);
  }
});

test('times until information came back are those of cohort-restoration.csv', async () => {
  const rows = (await rowsOf('cohort-restoration.csv')).filter(({ group, losses }) => (group === 'all' || group === 'site') && Number(losses) > 0);
  const mids = rows.filter((row) => row['length_estimate'] === 'mid');
  const { rows: told } = tableOf('Time to information at the sensor');
  expect(told.map(([name]) => name)).toEqual(mids.map((row) => (row['group'] === 'all' ? 'all losses' : placeOf(row['of']))));
  for (const [i, row] of mids.entries()) {
    const [name = '', losses = '', restored = '', cases = '', median = '', between = '', mean = ''] = told[i] ?? [];
    const bound = (which: string): Row | undefined => rows.find((one) => one['group'] === row['group'] && one['of'] === row['of'] && one['length_estimate'] === which);
    for (const [cell, column] of [[losses, 'losses'], [restored, 'restored'], [cases, 'cases']] as const) expectNumbers(name, cell, [row[column]]);
    expectNumbers(name, median, [row['median_s'], row['median_from_s'], row['median_to_s']]);
    expectNumbers(name, between, [bound('low')?.['median_s'], bound('high')?.['median_s']]);
    expectNumbers(name, mean, [row['mean_s'], row['mean_from_s'], row['mean_to_s']]);
  }
});

test('time lost and losses by place are those of cohort-burden.csv', async () => {
  const rows = (await rowsOf('cohort-burden.csv')).filter((row) => row['scope'] === 'all');
  const { rows: times } = tableOf('Time lost by place of the sensor');
  expect(times.length).toBeGreaterThan(4);
  for (const [name = '', cases = '', monitored = '', lost = '', share = '', interval = '', doubtful = ''] of times) {
    const own = rows.filter((row) => placeOf(row['site']) === name);
    const [primary, other] = [own.find((row) => row['doubtful_lost'] === 'no'), own.find((row) => row['doubtful_lost'] === 'yes')];
    expect([name, primary !== undefined, other !== undefined]).toEqual([name, true, true]);
    expectNumbers(name, cases, [primary?.['cases']]);
    expectNumbers(name, monitored, [primary?.['monitored_s']]);
    expectNumbers(name, lost, [primary?.['lost_mid_s']]);
    const limits = [primary?.['lost_share_low'], primary?.['lost_share_high']];
    expectNumbers(name, share.includes('(') ? share.replace('–', ' % ') : share, [primary?.['lost_share_mid'], ...(share.includes('(') ? limits : [])]);
    if (interval.startsWith('none')) expect(primary?.['lost_share_from'] ?? '').toBe('');
    else expectNumbers(name, interval, [primary?.['lost_share_from'], primary?.['lost_share_to']]);
    expectNumbers(name, doubtful, [other?.['lost_share_mid']]);
  }
});

test('patterns are those of the dropouts of every case, each dropout once', () => {
  const counted = new Map<string, { losses: number; lostMs: number; readonly cases: Set<string> }>();
  for (const [caseId, { sites }] of samples.analyses) {
    for (const { patterns, lostMs } of sites.flatMap(({ dropouts }) => dropouts)) {
      const name = patterns.length === 0 ? 'no pattern holds' : patterns.join(' + ');
      const one = counted.get(name) ?? { losses: 0, lostMs: 0, cases: new Set<string>() };
      counted.set(name, { losses: one.losses + 1, lostMs: one.lostMs + lostMs.mid, cases: one.cases.add(caseId) });
    }
  }
  const all = [...counted.values()];
  const losses = all.reduce((sum, one) => sum + one.losses, 0);
  const lostMs = all.reduce((sum, one) => sum + one.lostMs, 0);
  const { caption, rows } = tableOf('Onset patterns of');
  expectNumbers(caption, caption.replace(/,.*$/u, ''), [String(losses)]);
  expect(rows.map(([name]) => name).sort()).toEqual([...counted.keys()].sort());
  let upTo = 0;
  for (const [name = '', own = '', share = '', added = '', cases = '', time = '', timeShare = ''] of rows) {
    const one = counted.get(name);
    upTo += one?.losses ?? NaN;
    expectNumbers(name, own, [String(one?.losses)]);
    expectNumbers(name, share, [String((one?.losses ?? NaN) / losses)]);
    expectNumbers(name, added, [String(upTo / losses)]);
    expectNumbers(name, cases, [String(one?.cases.size)]);
    expectNumbers(name, time, [String((one?.lostMs ?? NaN) / 1000)]);
    expectNumbers(name, timeShare, [String((one?.lostMs ?? NaN) / lostMs)]);
  }
  const tallest = rows.map(([, own = '']) => Number(own));
  expect(tallest).toEqual([...tallest].sort((a, b) => b - a));
});
