import { stat } from 'node:fs/promises';
import { basename, dirname, resolve } from 'node:path';
import type { CaseListResult } from '../../core/model/case-list.ts';
import type { CohortCase } from '../../core/model/cohort-case.ts';
import type { CohortOptions } from '../../core/model/cohort-options.ts';
import type { NextStudyOptions } from '../../core/model/next-study.ts';
import type { AnalysisParameters } from '../../core/model/parameters.ts';
import { protocolDifferences } from '../../core/model/protocol-differences.ts';
import type { StudyProtocol } from '../../core/model/study-protocol.ts';
import { parseNextStudy } from '../../core/persist/next-study-file.ts';
import { parseProtocol, protocolMarkdown, protocolStatement } from '../../core/persist/protocol-file.ts';
import { listedCohortCase } from '../../core/protocol/listed-case.ts';
import { nextStudyStatement } from '../../core/report/next-study-statement.ts';
import type { ReportFile } from '../../core/report/report-files.ts';
import type { InputFile } from '../../core/worker/analysis-service.ts';
import type { AnalysisPool } from '../host/analysis-pool.ts';
import { protocolDigest } from '../host/study-protocols.ts';
import { WrongCall, codeOf } from './find-inputs.ts';
import { readSettings } from './read-settings.ts';

/** What a call asks for beside the tables of the cohort. */
export interface ListsAndPlansCall {
  readonly caseList: string | undefined;
  readonly caseListColumn: string | undefined;
  readonly caseListDate: string | undefined;
  readonly nextStudy: string | undefined;
  readonly protocol: string | undefined;
}

/** The same, checked before anything is read. */
export interface ListsAndPlans {
  readonly list: { readonly file: InputFile; readonly idColumn: string | null; readonly dateColumn: string | null } | null;
  readonly study: NextStudyOptions | null;
  readonly protocol: StudyProtocol | null;
}

/** Returns what a call asks for. Throws WrongCall for a file that cannot be had, or holds something else. */
export async function readListsAndPlans(call: ListsAndPlansCall): Promise<ListsAndPlans> {
  if (call.caseList === undefined && (call.caseListColumn !== undefined || call.caseListDate !== undefined)) throw new WrongCall('A column of the case list is named, but no --case-list.');
  const protocol = call.protocol === undefined ? null : await readSettings(call.protocol, 'protocol', parseProtocol);
  if (protocol !== null && protocolDigest(protocol) !== protocol.digest) {
    throw new WrongCall(`The protocol file ${call.protocol ?? ''} was changed since it was fixed: its digest does not fit. Export the protocol again.`);
  }
  return {
    list: call.caseList === undefined ? null : { file: await listFile(call.caseList), idColumn: call.caseListColumn ?? null, dateColumn: call.caseListDate ?? null },
    study: call.nextStudy === undefined ? null : await readSettings(call.nextStudy, 'next-study', parseNextStudy),
    protocol,
  };
}

async function listFile(given: string): Promise<InputFile> {
  const path = resolve(given);
  const stats = await stat(path).catch((error: unknown) => {
    throw new WrongCall(`The case list cannot be read (${codeOf(error)}): ${given}`);
  });
  if (!stats.isFile()) throw new WrongCall(`The case list is not a file: ${given}`);
  return { path, relativePath: basename(path), folderName: basename(dirname(path)), byteLength: stats.size };
}

export interface ListsAndPlansSurroundings {
  readonly pool: AnalysisPool;
  readonly keepIdentifiers: boolean;
  readonly pseudonymKey: string;
  readonly parameters: AnalysisParameters;
  /** Of the cohort: which cases a study is planned from, and what a protocol is held against. */
  readonly options: CohortOptions;
  readonly signal: AbortSignal;
  readonly onDrawn?: ((done: number, total: number) => void) | undefined;
}

/** What came of it. */
export interface ListsAndPlansResult {
  /** Of the next study and the protocol. */
  readonly files: readonly ReportFile[];
  readonly list: CaseListResult | null;
  /** Whether the run was computed under the protocol; null where none was given. */
  readonly statement: string | null;
}

/**
 * Returns the case list, the next study and the protocol for the cases of a run.
 * Errors  throws WrongCall where the list cannot be read: nothing is written then.
 */
export async function listsAndPlans({ list, study, protocol }: ListsAndPlans, cases: readonly CohortCase[], surroundings: ListsAndPlansSurroundings): Promise<ListsAndPlansResult> {
  const { pool, keepIdentifiers, pseudonymKey, parameters, options, signal, onDrawn } = surroundings;
  const files: ReportFile[] = [];
  let listed: CaseListResult | null = null;
  if (list !== null) {
    const request = { table: null, idColumn: list.idColumn, dateColumn: list.dateColumn };
    const answer = await pool.reconcileCaseList(list.file, { request, library: cases.map(listedCohortCase).sort((a, b) => (a.caseId < b.caseId ? -1 : 1)), decisions: [] }, { keepIdentifiers, pseudonymKey }, { signal });
    if (!answer.ok) throw new WrongCall(`The case list: ${answer.failure.message}${answer.failure.line === undefined ? '' : ` (line ${answer.failure.line})`} ${answer.failure.remedy ?? ''}`.trim());
    listed = answer.value;
  }
  if (study !== null) {
    if (study.dropouts === 'confirmed' && options.dropouts !== 'confirmed') throw new WrongCall('The next study asks for confirmed dropouts: --dropouts confirmed and --reviews are needed.');
    const { cases: chosen, dropouts } = await pool.studyCases(cases, options, parameters, { signal });
    // Where nothing was reviewed, nothing can be confirmed: the plan is of computed dropouts then, and says so.
    const { dropouts: _asked, ...rest } = study;
    const planned = await pool.planStudy(chosen, dropouts === 'confirmed' ? { ...rest, dropouts } : rest, { signal, onDrawn });
    files.push({ name: 'next-study.csv', text: [await pool.nextStudyText(planned, { signal })] });
    files.push({ name: 'next-study.md', text: [nextStudyStatement({ study: planned, parameters, cases: chosen.length, notReviewed: chosen.reduce((total, one) => total + one.notReviewed, 0), leftOut: [] })] });
  }
  if (protocol === null) return { files, list: listed, statement: null };
  const statement = protocolStatement(protocol, protocolDifferences(protocol, { parameters, conf: options.conf, seed: options.seed }));
  files.push({ name: 'protocol.md', text: [`${protocolMarkdown(protocol)}\n## This run\n\n${statement}\n`] });
  return { files, list: listed, statement };
}
