import { createReadStream } from 'node:fs';
import { basename, resolve } from 'node:path';
import type { BundleOptions, FileDigest, GivenFile } from '../../core/model/bundle-manifest.ts';
import type { CohortCase } from '../../core/model/cohort-case.ts';
import type { SealedEntry } from '../../core/model/review.ts';
import type { FileReport } from '../../core/model/import-report.ts';
import { bundleFileNames, writeBundle, type BundleSink } from '../../core/report/bundle/write-bundle.ts';
import { tableName } from '../../core/report/bundle/bundle-names.ts';
import type { BundleExtent } from '../../core/report/bundle/bundle-tables.ts';
import { unmatchedText, type CaseReport, type CaseReportWishes } from '../../core/report/case-report.ts';
import type { RunSettings } from '../../core/report/parameters-file.ts';
import { readerCodes, withReaderCodes } from '../../core/review/reader-codes.ts';
import { pseudonymsOf } from '../../core/worker/pseudonyms.ts';
import { REVIEWS_FILE_NAME } from '../../core/report/report-files.ts';
import { answeredBundle } from '../../core/model/release-answers.ts';
import { bundleWords } from '../../core/report/bundle/bundle-words.ts';
import { writeAtomically } from '../host/atomic-write.ts';
import { checkBundleFolder, digestOfFile } from './bundle-folder.ts';
import type { BundleCall } from './command-line.ts';
import { WrongCall, codeOf } from './find-inputs.ts';
import { listsAndPlans, readListsAndPlans } from './lists-and-plans.ts';
import type { OutputFolder } from './output-folder.ts';
import { readRunSettings, withInputsRead, type RunSurroundings } from './read-inputs.ts';
import { placeReviews, readReviews } from './read-reviews.ts';
import { readSummary, type ReadSummary } from './read-summary.ts';
import { givenAnswers, refuseOpen, RELEASE_LIST_FILE, releaseListText, releaseSummary } from './release-answers.ts';
import { rejectedRows } from './reading.ts';
import { reportAll } from './run.ts';
import { checkColumns, cohortSums, optionsOf } from './run-cohort.ts';

/** What is kept of a case once its rows are written. */
interface Kept {
  readonly pooled: Pick<CaseReport, 'caseId' | 'pairs'>;
  readonly one: CohortCase;
}

/** Settings that come from a bundle that is made anew, not from files of the call. */
export type StatedSettings = Pick<RunSettings, 'parameters'>;

/**
 * Returns the summary of a finished run; the research bundle is written by then.
 * Errors  as `runCohort`; a WrongCall too for an output folder that holds anything but a bundle.
 */
export async function runBundle(call: BundleCall, surroundings: RunSurroundings, stated?: StatedSettings): Promise<ReadSummary> {
  const { display, signal, productVersion } = surroundings;
  checkRelative(call);
  const answered = await givenAnswers(call.releaseAnswers);
  await checkBundleFolder(call.out);
  const cohort = optionsOf(call);
  const reviews = await readReviews(call.reviews);
  if (reviews === null && cohort.dropouts !== 'computed') throw new WrongCall(`--dropouts ${cohort.dropouts} needs --reviews: without them nothing is confirmed.`);
  const extent: BundleExtent = {
    relativeTime: call.relativeTime, robustness: call.robustness, dropouts: cohort.dropouts, withReviews: reviews !== null, withCaseList: call.caseList !== undefined, withNextStudy: call.nextStudy !== undefined, withImport: true,
  };
  const settings: RunSettings = { ...(await readRunSettings(call, productVersion)), ...stated, relativeTime: call.relativeTime, written: [], reviews: reviews?.given, cohort };
  const asked = await readListsAndPlans(call);
  const given = await givenFiles(call);
  return await withInputsRead(call, settings, surroundings, async ({ pool, read, size, out, pseudonymKey, shownSettings, reports }) => {
    const placed = reviews === null ? null : await placeReviews(reviews, pool, read, { size, signal, onCase: (done, total) => display.show('matching reviews', done, total) });
    for (const note of placed?.notes ?? []) display.say(note);
    const codeOf = readerCodes(pseudonymsOf(pseudonymKey));
    const told = (entries: readonly SealedEntry[]): readonly SealedEntry[] => (call.keepIdentifiers ? entries : withReaderCodes(entries, codeOf));
    const wishes: CaseReportWishes = { withRobustness: call.robustness, withChannels: true, reviews: placed === null ? 'none' : call.keepIdentifiers ? 'with notes' : 'without notes', relativeTime: call.relativeTime };
    const { cases, unanalyzed, remarks } = await reportAll<Kept>(read, {
      size, out, display, signal, more: { withRobustness: call.robustness, withReviews: placed !== null, withChannels: true }, fileOf: tableName,
      make: async (place, planned) => {
        const { report, one, remarks: own } = await pool.bundleCase(read, planned, settings.parameters, placed === null ? null : told(placed.entriesOf(place)), wishes, { signal });
        return { rows: report.rows, remarks: own, rest: { pooled: { caseId: report.caseId, pairs: report.pairs }, one } };
      },
    });
    if (placed !== null) await out.append(tableName(REVIEWS_FILE_NAME), unmatchedText(told(placed.unmatched), { withNotes: call.keepIdentifiers, relativeTime: call.relativeTime }));
    const ones = cases.map(({ one }) => one);
    checkColumns(ones, cohort);
    const unread = unanalyzed.map(({ caseId, message }) => ({ caseKey: caseId, caseId, reason: message }));
    const worked = await pool.cohortExport(ones, unread, cohort, settings.parameters, { signal, onFigures: (done, total) => display.show('working out', done, total) });
    if (!worked.ok) throw new WrongCall(`${worked.failure.message} ${worked.failure.remedy ?? ''}`.trim());
    const planned = await listsAndPlans(asked, ones, {
      pool, options: cohort, keepIdentifiers: call.keepIdentifiers, pseudonymKey, parameters: settings.parameters, signal, onDrawn: (done, total) => display.show('drawing studies', done, total),
    });
    const files = await reports(remarks);
    const options = bundleOptions(call, settings);
    const sink = sinkOver(out, signal);
    await writeBundle(sink, {
      source: 'inputs', call: callText(call), options, given, inputs: inputDigests(files), made: call.made ?? null,
      extent, run: worked.value, settings: shownSettings, files, rejectedRows: rejectedRows(read), unanalyzed,
      cases: cases.map(({ pooled }) => pooled), caseList: planned.list, planned: { files: planned.files, statement: planned.statement }, codes: await pool.codeListText({ signal }),
      onTable: (done, total) => display.show('writing tables', done, total),
    });
    // A bundle that is made anew to be compared leaves nowhere.
    const list = stated === undefined ? answeredBundle(await bundleWords((await out.staged()).map(({ name }) => name), sink.textOf, extent), answered?.answers ?? []) : null;
    if (answered !== null && list !== null) await refuseOpen(answered, list);
    await out.write([], signal);
    const written = bundleFileNames(extent, planned.files.map(({ name }) => name).filter((name) => !name.endsWith('.csv')));
    const summary = readSummary({ productVersion, out: call.out, written }, files, unanalyzed, cohortSums(ones));
    if (list === null) return summary;
    // Beside the bundle and not in it: whatever else lies in it would make it fail its own check.
    const listFile = `${call.out.replace(/[/\\]+$/u, '')}.${RELEASE_LIST_FILE}`;
    await writeAtomically(resolve(listFile), releaseListText(list, written));
    return { ...summary, release: releaseSummary(list, listFile) };
  });
}

/** What names days cannot stand in a bundle without dates. */
function checkRelative(call: BundleCall): void {
  if (!call.relativeTime) return;
  const dated = [['--from', call.from], ['--to', call.to], ['--change', call.change], ['--case-list', call.caseList], ['--protocol', call.protocol], ['--group-by month', call.groupBy?.kind === 'month' ? true : undefined]] as const;
  const used = dated.filter(([, value]) => value !== undefined).map(([option]) => option);
  if (used.length > 0) throw new WrongCall(`${used.join(', ')}: what names days cannot stand in a bundle with --relative-time, which holds none. Leave it out, and choose the input files instead.`);
}

/** Returns the digests of the files beside the inputs that decide the bytes. Parameters are not among them: parameters.json has every one. */
async function givenFiles(call: BundleCall): Promise<GivenFile[]> {
  const named: (readonly [option: string, path: string | undefined])[] = [
    ['--mapping', call.mapping], ['--case-list', call.caseList], ['--next-study', call.nextStudy], ['--protocol', call.protocol], ...(call.reviews ?? []).map((path) => ['--reviews', path] as const),
  ];
  const given: GivenFile[] = [];
  for (const [option, path] of named) {
    if (path === undefined) continue;
    const digest = await digestOfFile(path).catch((error: unknown) => {
      throw new WrongCall(`${option}: the file cannot be read (${codeOf(error)}): ${path}`);
    });
    given.push({ option, file: basename(path), ...digest });
  }
  return given.sort((a, b) => (a.option === b.option ? (a.sha256 < b.sha256 ? -1 : 1) : a.option < b.option ? -1 : 1));
}

/** Returns what of a call the bytes depend on beside files. */
function bundleOptions(call: BundleCall, { zone, keepIdentifiers, pseudonyms, cohort }: RunSettings): BundleOptions {
  if (cohort === undefined) throw new Error('a bundle without results over cases');
  const { relativeTime, robustness } = call;
  return { zone: relativeTime ? null : zone, isZoneLeftOut: relativeTime && zone !== null, keepIdentifiers, pseudonyms, relativeTime, robustness, caseListColumn: call.caseListColumn ?? null, caseListDate: call.caseListDate ?? null, cohort };
}

/** Returns each input on the disk once, in the order of their names. */
function inputDigests(files: readonly FileReport[]): FileDigest[] {
  const inputs = new Map(files.map((report) => {
    const { file, sha256, byte_length } = report.container ?? report;
    return [file, { file, sha256, byte_length }] as const;
  }));
  return [...inputs.values()].sort((a, b) => (a.file < b.file ? -1 : 1));
}

/** Returns the call as somebody else would type it: no path of this computer is in it. */
function callText(call: BundleCall): string {
  const quoted = (text: string): string => (/^[\w./:=-]+$/u.test(text) ? text : `'${text.replaceAll("'", String.raw`'\''`)}'`);
  const parts: string[] = [];
  const option = (name: string, value: string | number | undefined): void => void (value === undefined ? undefined : parts.push(name, quoted(String(value))));
  const flag = (name: string, is: boolean): void => void (is ? parts.push(name) : undefined);
  option('--mapping', call.mapping === undefined ? undefined : basename(call.mapping));
  option('--parameters', call.parameters === undefined ? undefined : basename(call.parameters));
  if (call.relativeTime && call.zone !== undefined) parts.push('--zone', 'ZONE');
  else option('--zone', call.zone);
  flag('--keep-identifiers', call.keepIdentifiers);
  if (call.pseudonymKey !== undefined) parts.push('--pseudonym-key', 'FILE');
  flag('--relative-time', call.relativeTime);
  flag('--robustness', call.robustness);
  option('--group-by', call.groupBy === undefined ? undefined : call.groupBy.kind === 'column' ? call.groupBy.column : call.groupBy.kind);
  option('--patient-column', call.patientColumn);
  option('--from', call.from);
  option('--to', call.to);
  flag('--leave-out-undated', call.leaveOutUndated);
  option('--change', call.change === undefined ? undefined : `${call.change.date}:${call.change.text}`);
  option('--dropouts', call.dropouts);
  option('--case-list', call.caseList === undefined ? undefined : basename(call.caseList));
  option('--case-list-column', call.caseListColumn);
  option('--case-list-date', call.caseListDate);
  option('--next-study', call.nextStudy === undefined ? undefined : basename(call.nextStudy));
  option('--protocol', call.protocol === undefined ? undefined : basename(call.protocol));
  option('--seed', call.seed);
  option('--draws', call.draws);
  option('--conf', call.conf);
  if (call.reviews !== undefined) parts.push('--reviews', ...call.reviews.map((path) => quoted(basename(path))));
  return `npm run --silent lacuna -- bundle INPUT... --out DIR ${parts.join(' ')}`;
}

function sinkOver(out: OutputFolder, signal: AbortSignal): BundleSink {
  const pathOf = async (name: string): Promise<string> => {
    const found = (await out.staged()).find((file) => file.name === name);
    if (found === undefined) throw new Error(`${name} is not written yet`);
    return found.path;
  };
  const known = new Map<string, FileDigest>();
  return {
    put: (file) => out.put(file, signal),
    async *textOf(name) {
      for await (const chunk of createReadStream(await pathOf(name), { encoding: 'utf8', highWaterMark: 1 << 20 })) {
        signal.throwIfAborted();
        const text: string = chunk; // a stream with an encoding yields text
        yield text;
      }
    },
    async digests() {
      for (const { name, path } of await out.staged()) if (!known.has(name)) known.set(name, { file: name, ...(await digestOfFile(path)) });
      return [...known.values()];
    },
  };
}
