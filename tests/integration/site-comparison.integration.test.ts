import { execFile } from 'node:child_process';
import { mkdtemp, readFile, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { promisify } from 'node:util';
import Papa from 'papaparse';
import { afterAll, beforeAll, expect, test } from 'vitest';
import type { CohortPair, SiteCohort } from '../../core/model/site-cohort.ts';
import { siteCohortSchema } from '../../core/model/site-cohort-schema.ts';
import type { HostEvent } from '../../core/protocol/host-api.ts';
import type { Host } from '../../electron/host/host.ts';
import { startHost } from '../../electron/host/start-host.ts';

/* The same sample cases through the window's host and through the run without a window: the numbers must be the same. */
const ROOT = new URL('../../', import.meta.url);
let folder = '';
let host: Host;
let cohort: SiteCohort;
const events: HostEvent[] = [];

beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'lacuna-sites-'));
  ({ host } = await startHost({ libraryFolder: join(folder, 'library'), door: 'browser', root: ROOT }, (error) => {
    throw error;
  }));
  host.onEvent((event) => events.push(event));
  const { cases } = await host.importSamples();
  cohort = await host.compareSites({ jobId: 'ab'.repeat(16), caseKeys: cases.map((line) => line.caseKey) });
  const program = fileURLToPath(new URL('dist/headless/main.js', ROOT));
  const samples = fileURLToPath(new URL('sample-cases/cases', ROOT));
  // Rejected rows in the samples end the run with 1: it is complete all the same.
  await promisify(execFile)(process.execPath, [program, 'analyse', samples, '--out', join(folder, 'out')]).catch((error: unknown) => {
    if (!(error instanceof Error && 'code' in error && error.code === 1)) throw error;
  });
}, 180_000);
afterAll(async () => {
  await host.close();
  await rm(folder, { recursive: true, force: true });
});

type Row = Record<string, string>;
const table = async (name: string): Promise<Row[]> => Papa.parse<Row>(await readFile(join(folder, 'out', name), 'utf8'), { header: true, skipEmptyLines: true, newline: '\r\n' }).data;
/** As the tables write it: '' for null, six digits or whole milliseconds. */
const figure = (value: number | null | undefined): string => (value === null || value === undefined ? '' : String(Number(value.toPrecision(6))));
const inSeconds = (ms: number | null | undefined): string => (ms === null || ms === undefined ? '' : String(Math.round(ms) / 1000));

test('over all cases: every number of site-comparison.csv', async () => {
  const rows = await table('site-comparison.csv');
  expect(rows.length).toBeGreaterThan(1);
  const fromHost = (pair: CohortPair): Row => ({
    first: pair.firstKey,
    second: pair.secondKey,
    cases: String(pair.cases),
    cases_one_after_the_other: String(pair.casesOneAfterTheOther),
    shared_s: inSeconds(pair.sharedMs),
    both_s: inSeconds(pair.bothMs),
    only_first_s: inSeconds(pair.onlyFirstMs),
    only_second_s: inSeconds(pair.onlySecondMs),
    neither_s: inSeconds(pair.neitherMs),
    first_covered_share: figure(pair.firstCovered?.share.mid),
    second_covered_share: figure(pair.secondCovered?.share.mid),
    difference_cases: String(pair.differenceCases),
    difference_pairs: String(pair.differencePairs),
    bias: figure(pair.bias),
    sd_total: figure(pair.sdTotal),
    limit_lower: figure(pair.lower),
    limit_upper: figure(pair.upper),
    limit_lower_from: figure(pair.lowerInterval?.[0]),
    limit_lower_to: figure(pair.lowerInterval?.[1]),
    limit_upper_from: figure(pair.upperInterval?.[0]),
    limit_upper_to: figure(pair.upperInterval?.[1]),
    rms_difference: figure(pair.rms),
    lag_cases: String(pair.lagMs?.cases ?? 0),
    lag_median_s: inSeconds(pair.lagMs?.median),
    lag_from_s: inSeconds(pair.lagInterval?.lower),
    lag_to_s: inSeconds(pair.lagInterval?.upper),
    pi_ratio: figure(pair.perfusionRatio?.median),
    first_covered_share_low: figure(pair.firstCovered?.share.low),
    first_covered_share_high: figure(pair.firstCovered?.share.high),
    first_covered_share_from: figure(pair.firstCovered?.overCases?.lower),
    first_covered_share_to: figure(pair.firstCovered?.overCases?.upper),
    second_covered_share_low: figure(pair.secondCovered?.share.low),
    second_covered_share_high: figure(pair.secondCovered?.share.high),
    second_covered_share_from: figure(pair.secondCovered?.overCases?.lower),
    second_covered_share_to: figure(pair.secondCovered?.overCases?.upper),
    first_covered_share_drawn_from: figure(pair.firstCovered?.drawn?.lower),
    first_covered_share_drawn_to: figure(pair.firstCovered?.drawn?.upper),
    second_covered_share_drawn_from: figure(pair.secondCovered?.drawn?.lower),
    second_covered_share_drawn_to: figure(pair.secondCovered?.drawn?.upper),
    doubtful_lost_both_s: inSeconds(pair.doubtfulLost.bothMs),
    doubtful_lost_only_first_s: inSeconds(pair.doubtfulLost.onlyFirstMs),
    doubtful_lost_only_second_s: inSeconds(pair.doubtfulLost.onlySecondMs),
    doubtful_lost_neither_s: inSeconds(pair.doubtfulLost.neitherMs),
    doubtful_lost_first_covered_share: figure(pair.doubtfulLost.firstCovered?.share.mid),
    doubtful_lost_first_covered_share_low: figure(pair.doubtfulLost.firstCovered?.share.low),
    doubtful_lost_first_covered_share_high: figure(pair.doubtfulLost.firstCovered?.share.high),
    doubtful_lost_second_covered_share: figure(pair.doubtfulLost.secondCovered?.share.mid),
    doubtful_lost_second_covered_share_low: figure(pair.doubtfulLost.secondCovered?.share.low),
    doubtful_lost_second_covered_share_high: figure(pair.doubtfulLost.secondCovered?.share.high),
    doubtful_lost_bias: figure(pair.doubtfulLost.bias),
    doubtful_lost_sd_total: figure(pair.doubtfulLost.sdTotal),
    doubtful_lost_limit_lower: figure(pair.doubtfulLost.lower),
    doubtful_lost_limit_upper: figure(pair.doubtfulLost.upper),
    doubtful_lost_rms_difference: figure(pair.doubtfulLost.rms),
    doubtful_lost_lag_median_s: inSeconds(pair.doubtfulLost.lagMs?.median),
    parameter_set: cohort.parameters.name,
  });
  expect(cohort.pairs.map(fromHost)).toEqual(rows);
});

test('case by case: the rows behind a pair are those of site-pairs.csv', async () => {
  const rows = await table('site-pairs.csv');
  const own = cohort.pairs.flatMap((pair) => pair.rows.map((row) => [row.caseId, pair.firstKey, pair.secondKey, inSeconds(row.bothMs), inSeconds(row.neitherMs), figure(row.firstCovered?.low), figure(row.firstCovered?.high), inSeconds(row.lag?.lagMs), figure(row.perfusionRatio), row.cautions.join(';')]));
  const named = (site: string | undefined, sensor: string | undefined): string => (sensor === '' ? site! : `${site!} ${sensor!}`);
  const written = rows.map((row) => [row['case_id'], named(row['first_site'], row['first_sensor']), named(row['second_site'], row['second_sensor']), row['both_s'], row['neither_s'], row['first_covered_share_low'], row['first_covered_share_high'], row['lag_s'], row['pi_ratio'], row['cautions']]);
  expect(own.sort()).toEqual(written.sort());
});

test('strength of signal per site is that of cases.csv, and progress came to the end', async () => {
  const rows = (await table('cases.csv')).filter((row) => row['site'] === 'finger' && row['sensor'] === '' && row['pi_median'] !== '');
  const finger = cohort.sensors.find((sensor) => sensor.siteKey === 'finger');
  expect(finger!.perfusion!.cases).toBe(rows.length);
  expect(figure(finger!.perfusion!.most)).toBe(String(Math.max(...rows.map((row) => Number(row['pi_median'])))));
  expect(events.filter((event) => event.kind === 'comparison-progress').at(-1)).toMatchObject({ done: cohort.cases, total: cohort.cases });
  expect(siteCohortSchema.parse(JSON.parse(JSON.stringify(cohort)))).toEqual(cohort);
});
