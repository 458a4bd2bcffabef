import { DEFAULT_COHORT_OPTIONS } from '../../core/model/cohort-options.ts';
import { DEFAULT_AGREEMENT_OPTIONS } from '../../core/model/review-agreement.ts';
import { parseActions } from '../../core/persist/actions-file.ts';
import type { RunSettings } from '../../core/report/parameters-file.ts';
import { DEPARTMENT_REPORT_FILE_NAMES, importReportFiles } from '../../core/report/report-files.ts';
import type { DepartmentReportCall } from './command-line.ts';
import { WrongCall } from './find-inputs.ts';
import { readSettings } from './read-settings.ts';
import { readSummary, type ReadSummary } from './read-summary.ts';
import { readRunSettings, withInputsRead, type RunSurroundings } from './read-inputs.ts';
import { placeReviews, readReviews } from './read-reviews.ts';
import { answeredReport } from './answered-report.ts';
import { asideOf, givenAnswers, refuseOpen, RELEASE_LIST_FILE, releaseListText, releaseSummary } from './release-answers.ts';
import { rejectedRows } from './reading.ts';
import { casesOf, checkColumns, cohortSums, optionsOf } from './run-cohort.ts';

/**
 * Returns the summary of a finished run; the report of the department is written by then, as HTML and as PDF.
 * Errors  as `runCohort`.
 */
export async function runDepartmentReport(call: DepartmentReportCall, surroundings: RunSurroundings): Promise<ReadSummary> {
  const { display, signal, productVersion } = surroundings;
  const given = await givenAnswers(call.releaseAnswers);
  const reviews = await readReviews(call.reviews);
  const actions = call.actions === undefined ? null : await readSettings(call.actions, 'actions', parseActions);
  // Where readers were asked, what they confirmed stands beside what was computed.
  const options = optionsOf({ ...call, dropouts: reviews === null ? DEFAULT_COHORT_OPTIONS.dropouts : 'both' });
  const nameOf = asideOf(given);
  const written = [...['import-report.json', 'rejected-rows.csv', 'parameters.json', RELEASE_LIST_FILE].map(nameOf), ...DEPARTMENT_REPORT_FILE_NAMES];
  const settings: RunSettings = { ...(await readRunSettings(call, productVersion)), relativeTime: false, written, reviews: reviews?.given, cohort: options };
  return await withInputsRead(call, settings, surroundings, async ({ pool, read, size, out, shownSettings, reports }) => {
    const placed = reviews === null ? null : await placeReviews(reviews, pool, read, { size, signal, onCase: (done, total) => display.show('matching reviews', done, total) });
    for (const note of placed?.notes ?? []) display.say(note);
    const { cases, unanalyzed, remarks, readings } = await casesOf(pool, read, { settings, size, placed, show: (done, total) => display.show('analysing', done, total), signal });
    checkColumns(cases, options);
    const unread = unanalyzed.map(({ caseId, message }) => ({ caseKey: caseId, caseId, reason: message }));
    const worked = await pool.cohortExport(cases, unread, options, settings.parameters, { signal, onFigures: (done, total) => display.show('working out', done, total) });
    if (!worked.ok) throw new WrongCall(`${worked.failure.message} ${worked.failure.remedy ?? ''}`.trim());
    // Those that the days leave out take no part in the agreement either.
    const counted = new Set(worked.value.results.burden.cases.map(({ caseKey }) => caseKey));
    const agreement = placed === null ? null : await pool.reviewAgreement(readings.filter(({ caseKey }) => counted.has(caseKey)), { ...DEFAULT_AGREEMENT_OPTIONS, replicates: call.draws, seed: call.seed, conf: call.conf }, { signal });
    const files = await reports(remarks);
    const inputDigests = [...new Set(files.map((file) => (file.container ?? file).sha256))].filter((digest) => digest !== '').sort();
    const made = await pool.departmentReport({ run: worked.value, actions, files, unanalyzed, inputDigests, agreement }, { header: call.header, paper: call.paper, relativeTime: false }, { signal });
    const [htmlName, pdfName] = DEPARTMENT_REPORT_FILE_NAMES;
    const list = await pool.releaseList({ kind: 'report', document: made.document }, given?.answers ?? [], { signal });
    if (given !== null) await refuseOpen(given, list);
    const { html, pdf, notInFont } = given === null ? made : await answeredReport(pool, made.document, given.answers, signal);
    const beside = [...importReportFiles({ settings: shownSettings, files, rejectedRows: rejectedRows(read), unanalyzed }), { name: RELEASE_LIST_FILE, text: [releaseListText(list, DEPARTMENT_REPORT_FILE_NAMES)] }];
    await out.write([{ name: htmlName, text: [html] }, { name: pdfName, bytes: pdf }, ...beside.map((file) => ({ ...file, name: nameOf(file.name) }))], signal);
    if (notInFont !== '') display.say(`${pdfName} shows \u25a1 for characters that its font does not have: ${notInFont} (the HTML has them).`);
    return { ...readSummary({ productVersion, out: call.out, written }, files, unanalyzed, cohortSums(cases)), release: releaseSummary(list, nameOf(RELEASE_LIST_FILE)) };
  });
}
