/*
 * Each sample case against what is true of it by construction (sample-cases/expected.json, worked out by the script that wrote it), and
 * against a committed summary, so that any change of a result is seen. `UPDATE_GOLDEN=1 npx vitest run tests/golden` writes the summaries
 * anew; the first half of this file stays the judge of whether they are right.
 */
import { existsSync, mkdirSync, readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { beforeAll, describe, expect, test } from 'vitest';
import type { CaseAnalysis, Dropout } from '../../core/model/analysis.ts';
import { siteKey } from '../../core/model/site.ts';
import { readSamples, readTruth, type ReadSamples, type TrueLoss } from './read-samples.ts';
import { summarize } from './summarize.ts';

const TRUTH = readTruth();
const CASE_IDS = Object.keys(TRUTH).sort();
const SUMMARIES = join(import.meta.dirname, 'summaries');

let samples: ReadSamples;
beforeAll(async () => {
  samples = await readSamples();
}, 120_000);

function analysisOf(caseId: string): CaseAnalysis {
  const analysis = samples.analyses.get(caseId);
  if (analysis === undefined) throw new Error(`no case ${caseId}; found ${[...samples.analyses.keys()].join(', ')}`);
  return analysis;
}

/** Whether the four instants stand around the true loss, and its length lies inside the bounds. */
function agrees(d: Pick<Dropout, 'lastGoodMs' | 'firstLostMs' | 'lastLostMs' | 'firstGoodMs' | 'lostMs'>, loss: TrueLoss): boolean {
  const startMs = loss.start_s * 1000;
  if (!(d.lastGoodMs < startMs && startMs <= d.firstLostMs)) return false;
  if (loss.end_s === null) return d.firstGoodMs === null;
  const endMs = loss.end_s * 1000;
  if (d.firstGoodMs === null || d.lastLostMs === null || !(d.lastLostMs < endMs && endMs <= d.firstGoodMs)) return false;
  return d.lostMs.low <= endMs - startMs && endMs - startMs <= d.lostMs.high;
}

const seconds = (ms: number | null): string => (ms === null ? 'none' : String(ms / 1000));

test('every folder comes in as the cases it holds, and only those', () => {
  expect([...samples.analyses.keys()].sort()).toEqual(CASE_IDS);
});

test('every file is read whole: no failure, rows conserved, and only the messy file has rejected rows but for preambles, unit rows and footers', () => {
  for (const report of samples.outcome.files) {
    expect(report.failure, report.file).toBeNull();
    expect(report.rows_read, report.file).toBe(report.rows_accepted + report.rows_rejected);
    if (!/K03|K11|K12/.test(report.file)) expect(report.rejected, report.file).toEqual([]);
  }
});

describe.each(CASE_IDS)('%s against its truth', (caseId) => {
  const truth = TRUTH[caseId];
  if (truth === undefined) throw new Error(caseId);

  test('clock and sites', () => {
    const record = samples.outcome.cases.find((c) => c.caseId === caseId);
    expect(record?.origin.clock).toBe(truth.clock);
    if (truth.clock === 'absolute') expect(new Date(record?.origin.epochMs ?? 0).getUTCFullYear()).toBe(2031);
    expect(analysisOf(caseId).sites.map((s) => s.siteKey).sort()).toEqual(Object.keys(truth.sites).sort());
  });

  test('dropouts: every loss that the rows can show, its true length inside its bounds, and no other', () => {
    for (const [name, site] of Object.entries(truth.sites)) {
      const found = analysisOf(caseId).sites.find((s) => s.siteKey === name)?.dropouts ?? [];
      const kept = site.losses.filter((l) => l.kept);
      const list = found.map((d) => `${seconds(d.firstLostMs)}–${seconds(d.firstGoodMs)}`).join(', ');
      for (const loss of kept) expect(found.filter((d) => agrees(d, loss)), `${name}: loss from ${loss.start_s} s; found ${list}`).toHaveLength(1);
      expect(found.length, `${name}: ${list}`).toBe(kept.length);
    }
  });

  test('a loss is said to leave no trace exactly where no row of the site falls into it', () => {
    const record = samples.outcome.cases.find((c) => c.caseId === caseId);
    for (const [name, site] of Object.entries(truth.sites)) {
      const channel = record?.channels.find((c) => c.quantity === 'spo2' && siteKey({ site: c.site ?? 'unstated', sensor: c.sensor }) === name);
      for (const { start_s, end_s, leaves_trace, kept } of site.losses) {
        const rows = [...(channel?.tMs ?? [])].filter((tMs) => tMs >= start_s * 1000 && tMs < (end_s ?? Infinity) * 1000);
        if (channel?.layout === 'wide') expect(rows.length > 0, `${name}: loss from ${start_s} s`).toBe(leaves_trace);
        if (!leaves_trace) expect(kept).toBe(false);
      }
    }
  });

  test('intervals', () => {
    for (const name of Object.keys(truth.sites)) {
      const segments = analysisOf(caseId).sites.find((s) => s.siteKey === name)?.segments ?? [];
      const found = [...new Set(segments.map((s) => s.intervalMs))].map((ms) => (ms ?? NaN) / 1000).sort((a, b) => a - b);
      expect(found).toEqual([...truth.interval_s].sort((a, b) => a - b));
    }
  });

  test('record gaps', () => {
    const found = analysisOf(caseId).recordGaps;
    const known = [...truth.record_gaps, ...truth.possible_record_gaps];
    expect(found.filter((g) => !known.some((k) => g.lastRowMs < k.start_s * 1000 && g.firstRowMs >= k.end_s * 1000))).toEqual([]);
    for (const gap of truth.record_gaps) {
      const trueMs = (gap.end_s - gap.start_s) * 1000;
      const match = found.filter((g) => g.lastRowMs < gap.start_s * 1000 && g.firstRowMs >= gap.end_s * 1000 && g.gapMs.low <= trueMs && trueMs <= g.gapMs.high);
      expect(match, `gap from ${gap.start_s} s`).toHaveLength(1);
    }
  });

  test('blind intervals', () => {
    const found = analysisOf(caseId).blind;
    const kept = truth.blind.filter((l) => l.kept);
    const list = found.map((d) => `${seconds(d.firstLostMs)}–${seconds(d.firstGoodMs)}`).join(', ');
    for (const loss of kept) expect(found.filter((b) => agrees(b, loss)), `blind from ${loss.start_s} s; found ${list}`).toHaveLength(1);
    expect(found.length, list).toBe(kept.length);
  });

  test('exposures and links', () => {
    const analysis = analysisOf(caseId);
    for (const exposure of truth.exposures) {
      const found = analysis.exposures.filter((e) => e.kind === exposure.kind && e.atMs === exposure.at_s * 1000);
      expect(found, `${exposure.label} at ${exposure.at_s} s; found ${analysis.exposures.map((e) => `${e.kind} ${e.label} ${e.atMs / 1000}`).join(', ')}`).toHaveLength(1);
      if (exposure.kind !== 'position') expect(found[0]?.label).toBe(exposure.label);
    }
    for (const [name, site] of Object.entries(truth.sites)) {
      const dropouts = analysis.sites.find((s) => s.siteKey === name)?.dropouts ?? [];
      for (const link of site.links) {
        const loss = site.losses[link.loss];
        const dropout = dropouts.find((d) => loss !== undefined && agrees(d, loss));
        const ids = analysis.exposures.filter((e) => e.kind === link.kind && e.atMs === link.at_s * 1000).map((e) => e.exposureId);
        const found = dropout?.links.find((l) => ids.includes(l.exposureId));
        expect(found, `${name}: ${link.label} at ${link.at_s} s before the loss at ${loss?.start_s} s`).toBeDefined();
        expect((found?.leadMs ?? 0) / 1000).toBeCloseTo(((dropout?.lastGoodMs ?? 0) + (dropout?.firstLostMs ?? 0)) / 2000 - link.at_s, 6);
      }
      // No vasopressor but the ones of the scenario can stand before a loss.
      const boluses = dropouts.flatMap((d) => d.links.filter((l) => analysis.exposures.find((e) => e.exposureId === l.exposureId)?.kind === 'vasopressor bolus'));
      expect(boluses.length).toBe(site.links.filter((l) => l.kind === 'vasopressor bolus').length);
    }
  });
});

test('the messy file: every line that cannot be read is rejected by its physical line, and no sound row is', () => {
  const truth = TRUTH['K12-messy-file'];
  const lines = samples.outcome.rejectedRows.filter((r) => r.file.includes('K12')).map((r) => r.line);
  for (const { line, why } of truth?.rejected?.must ?? []) expect(lines, why).toContain(line);
  const known = new Set([...(truth?.rejected?.must ?? []), ...(truth?.rejected?.may ?? [])].map((r) => r.line));
  // Lines 1 to 5 are preamble, heading and unit row.
  expect(lines.filter((line) => line > 5 && !known.has(line))).toEqual([]);
});

describe.each(CASE_IDS)('%s against its committed summary', (caseId) => {
  test('nothing has changed', () => {
    const analysis = analysisOf(caseId);
    const record = samples.outcome.cases.find((c) => c.caseId === caseId);
    if (record === undefined) throw new Error(caseId);
    const text = `${JSON.stringify(summarize(record, analysis), null, 1)}\n`;
    const path = join(SUMMARIES, `${caseId}.json`);
    if (process.env.UPDATE_GOLDEN === '1') {
      mkdirSync(SUMMARIES, { recursive: true });
      writeFileSync(path, text);
    }
    expect(existsSync(path), `${path} is missing; run with UPDATE_GOLDEN=1 and read the difference`).toBe(true);
    expect(JSON.parse(text)).toEqual(JSON.parse(readFileSync(path, 'utf8')));
  });
});

test('no summary is left over from a case that is gone', () => {
  expect(readdirSync(SUMMARIES).sort()).toEqual(CASE_IDS.map((id) => `${id}.json`).sort());
});
