import { ok, type Result } from '../../../core/base/result.ts';
import type { CaseAnalysis, Dropout, DropoutTotals, Exposure } from '../../../core/model/analysis.ts';
import type { CaseMark } from '../../../core/model/case-mark.ts';
import type { CaseRecord } from '../../../core/model/case.ts';
import type { Channel } from '../../../core/model/channel.ts';
import type { FileReport, RejectedRow } from '../../../core/model/import-report.ts';
import { DEFAULT_LANES } from '../../../core/model/lane-choice.ts';
import type { Mapping } from '../../../core/model/mapping.ts';
import { DEFAULT_PARAMETERS, type AnalysisParameters } from '../../../core/model/parameters.ts';
import type { CaseSummary, HostEvent, ImportResult } from '../../../core/protocol/host-api.ts';
import { prepareRobustness } from '../../../core/robustness/prepare-robustness.ts';
import type { HostConnection } from '../../../renderer/host/host-client.ts';
import type { DecodeCase } from '../../../renderer/state/open-case.ts';
import { NOTHING_REVIEWED } from '../../builders/case-review.ts';
import { buildFilePreview } from '../../builders/file-preview.ts';
import { buildLibraryCalls } from '../../builders/library-calls.ts';
import { buildReleaseCalls } from '../../builders/release-calls.ts';
import { buildReportCalls } from '../../builders/report-calls.ts';
import { siteDetail } from '../../../core/pipeline/site-detail.ts';
import { cohortRobustness } from '../../../core/cohort/cohort-robustness.ts';
import { mainResults } from '../../../core/cohort/main-results.ts';
import { nextStudy } from '../../../core/cohort/next-study.ts';
import { studyUnits } from '../../../core/cohort/study-units.ts';
import { storedCohortCase } from '../../../core/pipeline/cohort-case.ts';
import { siteFigures } from '../../../core/pipeline/site-figures.ts';
import { storedStudyCase } from '../../../core/pipeline/study-case.ts';
import { encodeCase } from '../../../core/persist/case-bytes.ts';
import { siteCohort } from '../../../core/sites/site-cohort.ts';
import { buildCaseAnalysis, buildCaseRecord, buildDropout } from '../../builders/stored-case.ts';

const FAKE_STATES = ['full', 'empty', 'loading', 'failed'] as const;
export type FakeState = (typeof FAKE_STATES)[number];

export function isFakeState(text: string): text is FakeState {
  return FAKE_STATES.some((state) => state === text);
}

const SPAN_S = 3 * 3600;
/** Losses of the made-up case, seconds from its start: [site, first lost, last lost]. */
const LOSSES = [
  ['finger', 1810, 1890],
  ['finger', 4205, 4239],
  ['ear lobe', 4215, 4260],
  ['finger', 7300, 7610],
] as const;

function channel(part: Partial<Channel> & Pick<Channel, 'channelId' | 'quantity' | 'label' | 'unit'>, at: (s: number) => number, stepS = 1): Channel {
  const n = Math.floor(SPAN_S / stepS) + 1;
  const tMs = Float64Array.from({ length: n }, (_, i) => i * stepS * 1000);
  const value = Float64Array.from({ length: n }, (_, i) => at(i * stepS));
  return { site: null, sensor: '', sourceIndex: 0, layout: 'wide', tMs, value, mark: Uint8Array.from(value, (v) => (Number.isNaN(v) ? 1 : 0)), line: Uint32Array.from({ length: n }, (_, i) => i + 2), ...part };
}

const wave = (s: number, period: number, size: number): number => Math.sin((s / period) * 2 * Math.PI) * size;
const isLost = (site: string, s: number): boolean => LOSSES.some(([at, from, to]) => at === site && s >= from && s <= to);
const afterLoss = (site: string, s: number): number => LOSSES.reduce((drop, [at, , to]) => (at === site && s > to && s < to + 180 ? Math.max(drop, 6 - (s - to) / 30) : drop), 0);
const spo2 = (site: string, base: number) => (s: number): number => (isLost(site, s) ? Number.NaN : Math.round(base + wave(s, 1700, 1) - afterLoss(site, s)));

function record(caseId: string): CaseRecord {
  return buildCaseRecord({
    caseId,
    origin: { epochMs: Date.UTC(2031, 3, 3, 6, 58, 12), clock: 'absolute', originOffsetMs: 0, zone: 'Europe/London', zoneStated: true },
    sources: [
      { name: 'trends.csv', sha256: 'ab'.repeat(32), byteLength: 1_234_567, kind: 'trends', clockOffsetMs: 0 },
      { name: 'drugs.csv', sha256: 'cd'.repeat(32), byteLength: 4567, kind: 'administrations', clockOffsetMs: -90_000 },
    ],
    channels: [
      channel({ channelId: 'spo2@finger', quantity: 'spo2', label: 'SpO2 finger', unit: '%', site: 'finger' }, spo2('finger', 98)),
      channel({ channelId: 'spo2@ear lobe', quantity: 'spo2', label: 'SpO2 ear', unit: '%', site: 'ear lobe' }, spo2('ear lobe', 97)),
      channel({ channelId: 'perfusion-index@finger', quantity: 'perfusion-index', label: 'PI', unit: '', site: 'finger' }, (s) => (isLost('finger', s) ? Number.NaN : 1.6 + wave(s, 2400, 1.2))),
      channel({ channelId: 'pulse-rate@finger', quantity: 'pulse-rate', label: 'PR', unit: '/min', site: 'finger' }, (s) => (isLost('finger', s) ? Number.NaN : Math.round(72 + wave(s, 900, 9)))),
      channel({ channelId: 'heart-rate', quantity: 'heart-rate', label: 'HR', unit: '/min' }, (s) => Math.round(73 + wave(s, 900, 9))),
      channel({ channelId: 'nibp-mean', quantity: 'nibp-mean', label: 'NBP mean', unit: 'mm[Hg]' }, (s) => Math.round(70 + wave(s, 3000, 14)), 180),
      channel({ channelId: 'temp-core', quantity: 'temp-core', label: 'T oes', unit: 'Cel' }, (s) => 36.4 - s / 20_000, 60),
    ],
    events: [
      { eventId: 'e0', kind: 'anaesthesia start', term: '', phase: 'moment', text: 'anaesthesia start', atMs: 0, endMs: null, manual: true, site: null, source: { sourceIndex: 1, line: 2 } },
      { eventId: 'e1', kind: 'position', term: 'arms tucked', phase: 'start', text: 'arms tucked', atMs: 1_500_000, endMs: null, manual: true, site: null, source: { sourceIndex: 1, line: 3 } },
    ],
    drugs: [0, 1, 2].map((i) => ({
      drugId: `d${i}`, inn: 'phenylephrine', atc: 'C01CA06', isVasopressor: true, route: 'IV', form: 'bolus' as const, amount: 100, unit: 'ug', atMs: [1_600_000, 4_000_000, 9_000_000][i]!, endMs: null,
      manual: i === 1, flags: [], text: 'phenylephrine 100 mcg IV', source: { sourceIndex: 1, line: 4 + i },
    })),
    findings: [
      { code: 'duplicate-rows', severity: 'note', message: 'Equal rows were dropped as duplicates.', count: 12, firstLine: 311, sourceIndex: 0 },
      { code: 'manual-times', severity: 'warning', message: 'Drug times were typed by hand: order within about two minutes may be wrong.', count: 1 },
    ],
    attributes: { service: 'vascular surgery', 'ASA class': '3' },
  });
}

function dropouts(site: string, parameters: AnalysisParameters): Dropout[] {
  return LOSSES.filter(([at, from, to]) => at === site && to - from + 1 >= parameters.minDurationS).map(([, from, to], i) => {
    const isOpen = from === 7300;
    return buildDropout({
      dropoutId: `${site}-${from}`, number: i + 1, siteKey: site, lastGoodMs: (from - 1) * 1000, firstLostMs: from * 1000, lastLostMs: to * 1000, firstGoodMs: (to + 1) * 1000,
      lostMs: { low: (to - from) * 1000, mid: (to - from + 1) * 1000, high: (to - from + 2 + parameters.deviceHoldS) * 1000 },
      restoredBy: isOpen ? 'other site' : 'same site', restoredSiteKey: isOpen ? 'ear lobe' : null, restoredAfterMs: isOpen ? 95_000 : null,
      spo2Before: 98, spo2After: 92, dropOnReturn: 6, isMarked: !isOpen, perfusionBefore: 0.42, lostSamples: { absent: to - from + 1 },
      links: from < 4000 ? [{ exposureId: 'x1', leadMs: from * 1000 - 1_600_500, certainty: 'certain' }, { exposureId: 'p1', leadMs: from * 1000 - 1_500_500, certainty: 'certain' }]
        : from < 7000 ? [{ exposureId: 'x2', leadMs: from * 1000 - 4_000_500, certainty: 'possible' }, { exposureId: 'p1', leadMs: from * 1000 - 1_500_500, certainty: 'certain' }] : [],
      responses: isOpen ? [{ exposureId: 's1', leadMs: -60_000, certainty: 'during' }] : [],
      patterns: isOpen ? ['planned'] : [],
    });
  });
}

function totals(list: readonly Dropout[]): DropoutTotals {
  const sum = (pick: 'low' | 'mid' | 'high'): number => list.reduce((all, dropout) => all + dropout.lostMs[pick], 0);
  return { count: list.length, lostMs: { low: sum('low'), mid: sum('mid'), high: sum('high') }, longestMidMs: Math.max(0, ...list.map((dropout) => dropout.lostMs.mid)), shareMid: sum('mid') / (SPAN_S * 1000) };
}

function analysis(caseId: string, parameters: AnalysisParameters): CaseAnalysis {
  const base = buildCaseAnalysis();
  const exposure = (part: Partial<Exposure>): Exposure => ({ ...base.exposures[0]!, ...part });
  return {
    ...base,
    caseId, parameters,
    bounds: { startMs: 0, endMs: SPAN_S * 1000, startFrom: 'anaesthesia start', endFrom: 'last row' },
    sites: (['finger', 'ear lobe'] as const).map((site) => {
      const list = dropouts(site, parameters);
      const more = { ...totals(list), count: list.length + 1, lostMs: { low: totals(list).lostMs.low + 41_000, mid: totals(list).lostMs.mid + 42_000, high: totals(list).lostMs.high + 43_000 } };
      return {
        ...base.sites[0]!, siteKey: site, site, channelId: `spo2@${site}`, segments: [{ startMs: 0, endMs: SPAN_S * 1000, intervalMs: 1000 }], monitored: { startMs: 60_000, endMs: SPAN_S * 1000 - 60_000 },
        monitoredMs: SPAN_S * 1000 - 120_000, dropouts: list, totals: totals(list), dropoutsDoubtfulLost: list, totalsDoubtfulLost: { ...more, shareMid: more.lostMs.mid / (SPAN_S * 1000) }, doubtfulMs: 42_000,
        below: [90, 85, 80].map((thresholdPct) => ({ thresholdPct, observedMs: thresholdPct === 90 ? 34_000 : 0, lowMs: thresholdPct === 90 ? 34_000 : 0, highMs: 34_000 + totals(list).lostMs.high, areaPctS: 0, areaLowPctS: 0, areaHighPctS: 0 })),
      };
    }),
    blind: [{ number: 1, lastGoodMs: 4_214_000, firstLostMs: 4_215_000, lastLostMs: 4_239_000, firstGoodMs: 4_240_000, lostMs: { low: 24_000, mid: 25_000, high: 26_000 }, restoredBy: 'same site', restoredSiteKey: 'finger' }],
    blindTotals: { count: 1, lostMs: { low: 24_000, mid: 25_000, high: 26_000 }, longestMidMs: 25_000, shareMid: 25 / SPAN_S },
    recordGaps: [{ lastRowMs: 5_999_000, firstMissingMs: 6_000_000, lastMissingMs: 6_089_000, firstRowMs: 6_090_000, gapMs: { low: 89_000, mid: 90_000, high: 91_000 } }],
    exposures: [
      exposure({ exposureId: 'p1', kind: 'position', label: 'arms tucked', atc: null, dose: null, unit: '', atMs: 1_500_000, endMs: SPAN_S * 1000, windowMs: null, sourceText: 'arms tucked bilat', dropoutsAfter: 2 }),
      exposure({ exposureId: 'x1', atMs: 1_600_000, sourceText: 'phenylephrine 100 mcg IV' }),
      exposure({ exposureId: 'x2', atMs: 4_000_000, manual: true }),
      exposure({ exposureId: 's1', kind: 'sensor', label: 'sensor moved to ear lobe', atc: null, dose: null, unit: '', atMs: 7_360_000, windowMs: null, dropoutsAfter: 0 }),
      exposure({ exposureId: 'x3', atMs: 9_000_000, dropoutsAfter: 0, flags: ['improbable unit: 400 times the usual range'] }),
    ],
  };
}

function summary(i: number, part: Partial<CaseSummary> = {}): CaseSummary {
  const lostMid = [421_000, 0, 34_000, 1_240_000, 95_000, 12 * 60_000, 60_000][i % 7]! + (i > 6 ? i * 1000 : 0);
  const intervalMs = [1000, 1000, 10_000, 2000, 60_000][i % 5]!;
  return {
    caseKey: `key-${i}`, caseId: `tv-${String(i + 1).padStart(3, '0')}`, sites: [['finger', 'ear lobe'], ['finger'], ['unstated'], ['toe', 'nasal ala'], ['forehead']][i % 5]!, date: i % 6 === 5 ? null : `2031-0${(i % 9) + 1}-1${i % 10}`,
    dropouts: lostMid === 0 ? 0 : (i % 4) + 1, lostLowMs: Math.max(0, lostMid - intervalMs), lostMidMs: lostMid, lostHighMs: lostMid === 0 ? 0 : lostMid + intervalMs, longestMidMs: lostMid / 2, blindMidMs: i % 3 === 0 ? lostMid / 5 : 0,
    monitoredMs: SPAN_S * 1000, shareMid: lostMid / (SPAN_S * 1000), doubtfulLost: { dropouts: lostMid === 0 ? 0 : (i % 4) + 1, lostMidMs: lostMid * (1 + (i % 3) / 10), shareMid: (lostMid * (1 + (i % 3) / 10)) / (SPAN_S * 1000) }, intervalMs, channels: 7, findings: i % 3, sourceNames: ['trends.csv'], problem: null, ...part,
  };
}

const CASES: readonly CaseSummary[] = [
  ...Array.from({ length: 17 }, (_, i) => summary(i)),
  summary(17, { caseId: 'tv-018', sites: [], dropouts: 0, lostLowMs: 0, lostMidMs: 0, lostHighMs: 0, monitoredMs: 0, shareMid: null, problem: 'its stored copy is cut short. Import the original export files again.' }),
];

const REPORT: FileReport = {
  file: 'theatre-4/trends.csv', kind: 'trends', encoding: 'utf-8', delimiter: ';', layout: 'wide', rows_read: 10_807, rows_accepted: 10_801, rows_rejected: 6,
  rejected: [
    { reason: 'the time “25:61:00” is no time', count: 4, first_line: 311 },
    { reason: 'the row has 3 cells where the heading has 9', count: 2, first_line: 9002 },
  ],
  notes: ['Two rows for one instant with different values: the first plausible value was kept (12 times).'],
  guesses: [
    { field: 'dateOrder', taken: '03/04/2031 read as 3 April 2031', because: 'every date of this file could be read either way, and the drug file beside it has 14/04/2031.', certainty: 'likely', alternatives: [{ label: 'month first: 4 March 2031', rules: { dateOrder: 'mdy' } }] },
    { field: 'decimalMark', taken: 'the comma is the decimal mark', because: 'cells are parted by semicolons and numbers such as 0,42 occur.', certainty: 'proven', alternatives: [] },
    { field: 'zone', taken: 'UTC', because: 'no zone is stated in the file.', certainty: 'assumed', alternatives: [{ label: 'Europe/London', rules: { zone: 'Europe/London' } }] },
  ],
  columns: [
    { heading: 'Time', readAs: 'time', quantity: null, site: null, values: 10_801, missing: 0 },
    { heading: 'SpO2', readAs: 'SpO2, site not stated, %', quantity: 'spo2', site: 'unstated', values: 10_400, missing: 401 },
    { heading: 'HR', readAs: 'heart rate (ECG), /min', quantity: 'heart-rate', site: null, values: 10_801, missing: 0 },
    { heading: 'Bed', readAs: 'not used', quantity: null, site: null, values: 10_801, missing: 0 },
  ],
  cases: ['theatre-4'], sha256: 'ef'.repeat(32), byte_length: 812_345, failure: null,
};

const BAD_REPORT: FileReport = {
  ...REPORT, file: 'theatre-4/scan.pdf', kind: 'unknown', encoding: '', delimiter: '', layout: '', rows_read: 0, rows_accepted: 0, rows_rejected: 0, rejected: [], notes: [], guesses: [], columns: [], cases: [],
  failure: { message: 'scan.pdf is not delimited text: its bytes are those of a printed page.', line: 1, remedy: 'Export the record as delimited text (CSV) and import that file.' },
};

const REJECTED: readonly RejectedRow[] = [311, 312, 313, 314].map((line) => ({ file: REPORT.file, line, reason: REPORT.rejected[0]!.reason, row: '03/04/2031 25:61:00;98;72;4' }))
  .concat([9002, 9003].map((line) => ({ file: REPORT.file, line, reason: REPORT.rejected[1]!.reason, row: 'total;;98' })));

const pause = (ms: number): Promise<void> => new Promise((resolve) => setTimeout(resolve, ms));

/** Returns a host in memory in one of its states, and the decoder that fits what it sends. */
export function buildFakeHost(state: FakeState): { host: HostConnection; decode: DecodeCase } {
  const listeners = new Set<(event: HostEvent) => void>();
  const tell = (event: HostEvent): void => listeners.forEach((listener) => listener(event));
  let cases = state === 'empty' ? [] : [...CASES];
  let lanes = DEFAULT_LANES;
  const marks = new Map<string, readonly CaseMark[]>();
  let saved = DEFAULT_PARAMETERS;
  let mappings: readonly Mapping[] = [];
  let sets: readonly AnalysisParameters[] = [];
  const idOf = new Map<Uint8Array, string>();
  const trouble = (message: string, remedy: string): never => {
    throw Object.assign(new Error(message), { code: 'fake', remedy });
  };
  const host: HostConnection = {
    listLedger: () => Promise.resolve([]),
    openLedger: () => trouble('There is no such import.', 'Go back to the list.'),
    ledgerRows: () => Promise.resolve({ rows: [], kept: 0 }),
    matchStaged: () => Promise.resolve({ matched: [], foreign: [], missing: [], overrules: [], zone: null, mapping: null }),
    describe: () => Promise.resolve({ productVersion: '0.1.0', door: 'browser', libraryName: 'tidewater-vale', lock: null }),
    unlockLibrary: () => Promise.resolve({ unlocked: true }),
    lockLibrary: () => Promise.resolve({ locked: true }),
    ...buildLibraryCalls(),
    listCases: async () => {
      if (state === 'loading') await new Promise(() => undefined);
      if (state === 'failed') trouble('The library folder cannot be read: access is denied.', 'Ask whoever keeps this computer for the right to read the folder, or choose another library.');
      return cases;
    },
    beginImport: () => Promise.resolve({ importId: 'import-1' }),
    readBefore: () => Promise.resolve([]),
    async runImport({ overrules }) {
      for (let done = 0; done <= 10; done += 1) {
        tell({ kind: 'import-progress', importId: 'import-1', stage: done < 8 ? 'reading' : 'writing', file: REPORT.file, bytesDone: done * 81_000, bytesTotal: 812_345 });
        await pause(state === 'loading' ? 4000 : 20);
      }
      if (state === 'failed') trouble('The disk is full: the cases could not be stored.', 'Free some space in the library’s folder and import again.');
      const result: ImportResult = {
        importId: 'import-1', files: [{ ...REPORT, guesses: overrules.length > 0 ? REPORT.guesses.slice(1) : REPORT.guesses }, BAD_REPORT], rejectedRows: REJECTED, rejectedRowsCut: false, cases: CASES.slice(0, 2), replaced: [], unchanged: [], changed: [], earlier: [],
      };
      return result;
    },
    endImport: () => Promise.resolve({ ended: true }),
    cancelImport: () => Promise.resolve({ cancelled: true }),
    interruptedImports: () => Promise.resolve([]),
    resumeImport: ({ importId }) => host.runImport({ importId, overrules: [], zone: null, mapping: null }),
    importSamples() {
      cases = [...CASES];
      tell({ kind: 'library-changed' });
      return Promise.resolve({ importId: 'import-2', files: [], rejectedRows: [], rejectedRowsCut: false, cases, replaced: [], unchanged: [], changed: [], earlier: [] });
    },
    compareChange: () => trouble('No case waits for a decision.', 'Import something first.'),
    decideChanges: () => Promise.resolve({ changed: [], cases: [] }),
    async analyze({ caseKey, parameters }) {
      await pause(60);
      return analysis(caseKey.replace('key-', 'tv-'), parameters);
    },
    ...buildReleaseCalls(),
    ...buildReportCalls(),
    caseSheet: ({ wishes }) => Promise.resolve({ document: { title: 'Case sheet', subtitle: 'K1', language: 'en', header: wishes.header, footer: '', paper: wishes.paper, isDense: true, blocks: [] }, html: '<!doctype html>', pdfBase64: 'JVBERg==', pages: 1, notInFont: '' }),
    prepareRobustness: async ({ caseKey, parameters }) => prepareRobustness(record(caseKey.replace('key-', 'tv-')), parameters),
    siteDetail({ caseKey, parameters }) {
      if (state === 'failed') trouble('This stored case is damaged: it is cut short.', 'Import the original export files again; the damaged copy will be replaced.');
      return Promise.resolve(siteDetail(record(caseKey), parameters));
    },
    async compareSites({ jobId, caseKeys }) {
      if (state === 'failed') trouble('The disk that holds the library cannot be read.', 'Check the disk, then try again.');
      const figures = [];
      for (const [done, caseKey] of caseKeys.entries()) {
        tell({ kind: 'comparison-progress', jobId, done, total: caseKeys.length });
        await pause(state === 'loading' ? 4000 : 5);
        const answer = siteFigures(encodeCase(record(caseKey), null), caseKey, saved, 'fake', () => null);
        if (answer.ok) figures.push(answer.value);
      }
      return { parameters: saved, cases: figures.length, leftOut: [], ...siteCohort(figures) };
    },
    cancelComparison: () => Promise.resolve({ cancelled: true }),
    async cohort({ jobId, caseKeys, options }) {
      if (state === 'failed') trouble('The disk that holds the library cannot be read.', 'Check the disk, then try again.');
      await pause(state === 'loading' ? 4000 : 20);
      const keys = caseKeys ?? cases.map((line) => line.caseKey);
      const found = keys.flatMap((caseKey) => {
        const answer = storedCohortCase(encodeCase(record(caseKey), null), caseKey, saved, 'fake', () => null);
        return answer.ok ? [answer.value] : [];
      });
      return { ...mainResults(found, [], options, saved, 'fake', () => false), robustness: cohortRobustness(found, options, saved, (done, total) => tell({ kind: 'cohort-progress', jobId, stage: 'working out', done, total })) };
    },
    cancelCohort: () => Promise.resolve({ cancelled: true }),
    reconcileCaseList: () => trouble('The list was not chosen.', 'Choose the list again.'),
    caseListText: () => Promise.resolve({ text: '' }),
    async planStudy({ jobId, caseKeys, options }) {
      if (state === 'failed') trouble('The disk that holds the library cannot be read.', 'Check the disk, then try again.');
      await pause(state === 'loading' ? 4000 : 20);
      const found = caseKeys.flatMap((caseKey) => {
        const answer = storedStudyCase(encodeCase(record(caseKey), null), caseKey, saved, 'fake', () => null, options.dropouts ?? 'computed');
        return answer.ok ? [answer.value] : [];
      });
      const study = nextStudy(studyUnits(found, options), options, (done, total) => tell({ kind: 'study-progress', jobId, stage: 'drawing', done, total }));
      return { study, parameters: saved, cases: found.length, notReviewed: 0, leftOut: [] };
    },
    cancelStudy: () => Promise.resolve({ cancelled: true }),
    nextStudyText: () => Promise.resolve({ text: '' }),
    listQualityCharts: () => Promise.resolve([]),
    proposeQualityChart: () => trouble('The disk that holds the library cannot be read.', 'Check the disk, then try again.'),
    makeQualityChart: () => trouble('The disk is full.', 'Make room on the disk.'),
    drawQualityChart: () => trouble('The library has no such chart.', 'Go back to the list of charts.'),
    editQualityChart: () => trouble('The disk is full.', 'Make room on the disk.'),
    removeQualityChart: () => Promise.resolve([]),
    unitFunnel: () => Promise.resolve({ answer: { target: null, units: [], curve: [], phi: null, phiThreshold: null, isWidened: false, leftOut: { notUsable: 0, notChosen: 0, outsidePeriod: 0, withoutUnit: 0 } }, leftOut: [] }),
    groupingColumns: () => Promise.resolve({ answer: [], leftOut: [] }),
    cancelQualityWork: () => Promise.resolve({ cancelled: true }),
    listProtocols: () => Promise.resolve([]),
    fixProtocol: () => trouble('The disk is full.', 'Make room on the disk.'),
    protocolText: () => Promise.resolve({ text: '' }),
    ...NOTHING_REVIEWED,
    reviewAgreement: () => Promise.reject(new Error('not here')),
    agreementTexts: () => Promise.reject(new Error('not here')),
    listDisagreements: () => Promise.resolve({ disagreements: [], hidden: 0, leftOut: [] }),
    listActions: () => Promise.resolve([]),
    addAction: () => Promise.reject(new Error('not here')),
    editAction: () => Promise.reject(new Error('not here')),
    measureAgain: () => Promise.reject(new Error('not here')),
    cancelActionWork: () => Promise.resolve({ cancelled: false }),
    actionsText: () => Promise.resolve({ text: '' }),
    reviewExchange: () => Promise.resolve({ ownFingerprint: null, senders: [], files: 0, waiting: [], conflicts: [] }),
    reviewsOutlook: () => Promise.reject(new Error('not here')),
    writeReviews: () => Promise.reject(new Error('not here')),
    inspectReviews: () => Promise.reject(new Error('not here')),
    receiveReviews: () => Promise.reject(new Error('not here')),
    settleReviewConflict: () => Promise.reject(new Error('not here')),
    async proposeClockOffsets() {
      await pause(60);
      return [{
        sourceIndex: 1, againstIndex: 0, verdict: 'proposed', offsetMs: 84_000, words: 'Against trends.csv the course of HR agrees best at +84 s (correlation 0.91, at present 0.12; 412 pairs), between +72 s and +97 s. Which of the two clocks is right the data do not tell.',
        evidence: [{
          method: 'course', ownName: 'HR', againstName: 'HR', n: 412, nOf: null, offsetMs: 84_000, lowMs: 72_000, highMs: 97_000, peak: 0.91, atPresent: 0.12, next: 0.34, reason: null,
          curve: Array.from({ length: 121 }, (_, i): [number, number] => [(i - 50) * 10_000, Math.round(1000 * (0.9 * Math.exp(-(((i - 58.4) / 6) ** 2)) + 0.1 * Math.sin(i))) / 1000]),
        }],
      }];
    },
    async tryClockOffset({ caseKey }) {
      await pause(60);
      return analysis(caseKey.replace('key-', 'tv-'), saved);
    },
    setClockOffset({ caseKey }) {
      const own = cases.find((entry) => entry.caseKey === caseKey);
      return own === undefined ? Promise.resolve(trouble('There is no such case in the library.', 'Open the library again.')) : Promise.resolve(own);
    },
    getLanes: () => Promise.resolve(lanes),
    saveLanes({ choice }) {
      lanes = choice;
      return Promise.resolve(choice);
    },
    listMarks: ({ caseKey }) => Promise.resolve(marks.get(caseKey) ?? []),
    listShownMarks: ({ caseKey }) => Promise.resolve(marks.get(caseKey) ?? []),
    keepMark({ caseKey, mark }) {
      marks.set(caseKey, [...(marks.get(caseKey) ?? []).filter(({ markId }) => markId !== mark.markId), mark]);
      return Promise.resolve(marks.get(caseKey) ?? []);
    },
    removeMark({ caseKey, markId }) {
      marks.set(caseKey, (marks.get(caseKey) ?? []).filter((mark) => mark.markId !== markId));
      return Promise.resolve(marks.get(caseKey) ?? []);
    },
    listStories: () => Promise.resolve([]),
    keepStory: ({ story }) => Promise.resolve([{ ...story, revision: story.revision + 1 }]),
    removeStory: () => Promise.resolve([]),
    removeCase({ caseKey }) {
      cases = cases.filter((entry) => entry.caseKey !== caseKey);
      return Promise.resolve({ removed: true });
    },
    getParameters: () => Promise.resolve(saved),
    saveParameters({ parameters }) {
      saved = parameters;
      return Promise.resolve(cases);
    },
    previewFile: ({ file }) => (state === 'failed' ? trouble('The file is no longer there.', 'Put it back, or leave it out.') : Promise.resolve(buildFilePreview({ file }))),
    listKnownTerms: () => Promise.resolve({ drugs: [{ inn: 'phenylephrine', isVasopressor: true }], events: [{ kind: 'position', term: 'arms tucked' }] }),
    listMappings: () => Promise.resolve(mappings),
    saveMapping({ mapping }) {
      mappings = [...mappings.filter(({ name }) => name !== mapping.name), mapping];
      return Promise.resolve(mappings);
    },
    renameMapping({ name, to }) {
      mappings = mappings.map((mapping) => (mapping.name === name ? { ...mapping, name: to } : mapping));
      return Promise.resolve(mappings);
    },
    removeMapping({ name }) {
      mappings = mappings.filter((mapping) => mapping.name !== name);
      return Promise.resolve(mappings);
    },
    readMapping: () => trouble('This is not JSON: there is a fault in line 1.', 'Look for a missing comma, quote or bracket on that line or the one before.'),
    listParameterSets: () => Promise.resolve(sets),
    saveParameterSet({ parameters }) {
      sets = [...sets.filter((set) => set.name !== parameters.name), parameters];
      return Promise.resolve(sets);
    },
    removeParameterSet({ name }) {
      sets = sets.filter((set) => set.name !== name);
      return Promise.resolve(sets);
    },
    readParameterSet: () => trouble('This is not JSON: there is a fault in line 1.', 'Look for a missing comma, quote or bracket on that line or the one before.'),
    async openCase(caseKey) {
      if (state === 'loading') await new Promise(() => undefined);
      if (caseKey === 'key-3') trouble('This stored case is damaged: it is cut short.', 'Import the original export files again; the damaged copy will be replaced.');
      const bytes = new Uint8Array(1);
      idOf.set(bytes, cases.find((entry) => entry.caseKey === caseKey)?.caseId ?? caseKey);
      return bytes;
    },
    stageFile: (_importId, _path, body) => Promise.resolve({ byteLength: body.size }),
    onEvent(listener) {
      listeners.add(listener);
      return () => listeners.delete(listener);
    },
  };
  const decode = (bytes: Uint8Array): Result<{ record: CaseRecord; analysis: CaseAnalysis }> => {
    const caseId = idOf.get(bytes) ?? '';
    return ok({ record: record(caseId), analysis: analysis(caseId, saved) });
  };
  return { host, decode };
}
