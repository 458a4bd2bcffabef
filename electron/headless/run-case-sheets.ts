import type { CaseRemarks } from '../../core/pipeline/complete-reports.ts';
import type { CaseFigures } from '../../core/report/case-report.ts';
import { csvText } from '../../core/report/csv.ts';
import type { ReleaseList } from '../../core/model/release.ts';
import { mergeLists } from '../../core/report/release/merge-lists.ts';
import type { UnanalyzedCase } from '../../core/report/import-report-file.ts';
import type { RunSettings } from '../../core/report/parameters-file.ts';
import { CASE_SHEETS_TABLE, caseSheetNames, importReportFiles } from '../../core/report/report-files.ts';
import { withoutInstants } from '../../core/report/relative-time.ts';
import { inTurns } from '../host/in-turns.ts';
import { WorkerFailure } from '../host/worker-supervisor.ts';
import type { CaseSheetsCall } from './command-line.ts';
import { readSummary, type ReadSummary } from './read-summary.ts';
import { readRunSettings, withInputsRead, type RunSurroundings } from './read-inputs.ts';
import { placeReviews, readReviews } from './read-reviews.ts';
import { answeredReport } from './answered-report.ts';
import { asideOf, givenAnswers, refuseOpen, RELEASE_LIST_FILE, releaseListText, releaseSummary } from './release-answers.ts';
import { rejectedRows } from './reading.ts';

/** A sheet that was written. */
interface Sheet {
  readonly number: number;
  readonly caseId: string;
  readonly pages: number;
  readonly notInFont: string;
}

/**
 * Returns the summary of a finished run; the sheet of every case is written by then, as HTML and as PDF, with a table that says which
 * sheet is whose.
 * Errors  as `run`.
 */
export async function runCaseSheets(call: CaseSheetsCall, surroundings: RunSurroundings): Promise<ReadSummary> {
  const { display, signal, productVersion } = surroundings;
  const given = await givenAnswers(call.releaseAnswers);
  const nameOf = asideOf(given);
  const reviews = await readReviews(call.reviews);
  const settings: RunSettings = { ...(await readRunSettings(call, productVersion)), relativeTime: call.relativeTime, written: [], reviews: reviews?.given };
  return await withInputsRead(call, settings, surroundings, async ({ pool, read, size, out, shownSettings, reports }) => {
    const placed = reviews === null ? null : await placeReviews(reviews, pool, read, { size, signal, onCase: (done, total) => display.show('matching reviews', done, total) });
    for (const note of placed?.notes ?? []) display.say(note);
    // The number of a sheet follows from the names of the cases alone, whichever worker was quicker.
    const ordered = [...read.plan.cases.entries()].sort(([, a], [, b]) => (a.caseId < b.caseId ? -1 : a.caseId > b.caseId ? 1 : 0));
    const remarks: (CaseRemarks | null)[] = read.plan.cases.map(() => null);
    const sheets: Sheet[] = [];
    const figures: CaseFigures[] = [];
    const unanalyzed: UnanalyzedCase[] = [];
    const lists: { readonly name: string; readonly list: ReleaseList }[] = [];
    let done = 0;
    await inTurns([...ordered.entries()], size, async ([i, [place, planned]]) => {
      signal.throwIfAborted();
      try {
        const sheet = await pool.caseSheet(read, planned, settings.parameters, placed === null ? null : placed.entriesOf(place), { header: call.header, paper: call.paper, relativeTime: call.relativeTime }, { signal });
        const [html, pdf] = caseSheetNames(i + 1);
        const list = await pool.releaseList({ kind: 'report', document: sheet.written.document }, given?.answers ?? [], { signal });
        lists.push({ name: html.replace('.html', ''), list });
        // A sheet with something open is not written: the run ends with all that is open, of every sheet.
        const last = given === null ? sheet.written : list.open > 0 ? null : await answeredReport(pool, sheet.written.document, given.answers, signal);
        if (last !== null) {
          await out.put({ name: html, text: [last.html] }, signal);
          await out.put({ name: pdf, bytes: last.pdf }, signal);
        }
        remarks[place] = sheet.remarks;
        figures.push(sheet.figures);
        sheets.push({ number: i + 1, caseId: sheet.caseId, pages: sheet.written.pages, notInFont: sheet.written.notInFont });
      } catch (error) {
        signal.throwIfAborted();
        if (!(error instanceof WorkerFailure)) throw error;
        unanalyzed.push({ caseId: planned.caseId, message: error.message });
      }
      display.show('writing sheets', (done += 1), ordered.length);
    });
    lists.sort((a, b) => (a.name < b.name ? -1 : 1));
    const list = mergeLists(lists);
    if (given !== null) await refuseOpen(given, list);
    sheets.sort((a, b) => a.number - b.number);
    unanalyzed.sort((a, b) => (a.caseId < b.caseId ? -1 : 1));
    const files = await reports(remarks);
    const covered = sheets.flatMap(({ number }) => caseSheetNames(number));
    const written = [...covered, ...[CASE_SHEETS_TABLE, 'import-report.json', 'rejected-rows.csv', 'parameters.json', RELEASE_LIST_FILE].map(nameOf)];
    const beside = [{ name: CASE_SHEETS_TABLE, text: csvText(SHEET_HEADINGS, sheetRows(sheets, call.relativeTime)) }, ...importReportFiles({ settings: { ...shownSettings, written }, files, rejectedRows: rejectedRows(read), unanalyzed }), { name: RELEASE_LIST_FILE, text: [releaseListText(list, covered)] }];
    await out.write(beside.map((file) => ({ ...file, name: nameOf(file.name) })), signal);
    for (const { number, pages, notInFont } of sheets) {
      const [, pdf] = caseSheetNames(number);
      if (pages > 1) display.say(`${pdf} has ${pages} pages: what has to stand on it, every sensor among it, does not fit one, even with the fewest losses and the lowest lanes.`);
      if (notInFont !== '') display.say(`${pdf} shows \u25a1 for characters that its font does not have: ${notInFont} (the HTML has them).`);
    }
    const over = (figure: keyof CaseFigures): number => figures.reduce((total, own) => total + own[figure], 0);
    return { ...readSummary({ productVersion, out: call.out, written }, files, unanalyzed, { cases: sheets.length, dropouts: over('dropouts'), lostMidMs: over('lostMidMs'), blindIntervals: over('blindIntervals'), blindMidMs: over('blindMidMs') }), release: releaseSummary(list, nameOf(RELEASE_LIST_FILE)) };
  });
}

const SHEET_HEADINGS = ['sheet', 'case_id', 'html', 'pdf', 'pages'];

function sheetRows(sheets: readonly Sheet[], relativeTime: boolean): (string | number)[][] {
  return sheets.map(({ number, caseId, pages }) => [number, relativeTime ? withoutInstants(caseId) : caseId, ...caseSheetNames(number), pages]);
}
