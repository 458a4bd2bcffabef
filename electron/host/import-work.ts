import { createHash } from 'node:crypto';
import { mkdir, open, readFile, readdir, rename, rm, stat, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { deserialize, serialize } from 'node:v8';
import { z } from 'zod';
import { mappingSchema, readingRulesSchema } from '../../core/model/mapping-schema.ts';
import { analysisParametersSchema } from '../../core/model/parameters-schema.ts';
import { decodeCase } from '../../core/persist/case-bytes.ts';
import type { CaseRemarks } from '../../core/pipeline/complete-reports.ts';
import { caseSummarySchema } from '../../core/protocol/host-api-schema.ts';
import type { CaseSummary } from '../../core/protocol/host-api.ts';
import type { MadeCase } from '../../core/worker/analysis-service.ts';
import type { FileOutcome, ReadingShelves } from './analysis-pool.ts';
import { writeAtomically } from './atomic-write.ts';
import { makeFolder } from './make-folder.ts';

/*
 * What a run of an import has done so far, in the folder of its staged files:
 *   run.json               what was asked for; there from the beginning of a run to its end
 *   readings/N.shelf       what was read of file N
 *   readings/N.outline     how it went, written when the shelf is complete
 *   plan.json              how many cases the files make
 *   prepared/KEY.case      a case, built and analysed, not yet in the library
 *   prepared/KEY.json      its line and remarks, written when the case is complete
 * A program that is killed leaves whole files or none, since each is renamed into place. After a power cut some may be cut short
 * all the same: outlines carry a digest, cases a checksum, and what does not fit is done again.
 */

const runSchema = z.object({
  schema: z.literal('lacuna-import-run/1'),
  /** Program and engine: what another one has read or made is not gone on with. */
  madeBy: z.string(),
  request: z.object({
    overrules: z.array(z.object({ file: z.string(), rules: readingRulesSchema, mapping: z.string().optional() })),
    zone: z.string().nullable(),
    mapping: mappingSchema.nullable(),
  }),
  parameters: analysisParametersSchema,
  files: z.array(z.object({ name: z.string().regex(/^\d+\.input$/), relativePath: z.string(), byteLength: z.number(), sha256: z.string().default('') })),
  /** Cases that an earlier run of the import has put into the library, and whether each had one of its name put aside for it. */
  stored: z.record(z.string().regex(/^[0-9a-f]{32}$/), z.boolean()).default({}),
});
/** What a run was asked for. */
export type ImportRun = z.infer<typeof runSchema>;

const planSchema = z.object({ cases: z.number().int() });

const partNotes = z.array(z.object({ part: z.number().int(), note: z.string() }));
const preparedSchema = z.object({ summary: caseSummarySchema, digests: z.array(z.string()), remarks: z.object({ notes: partNotes, asTimeOfDay: partNotes, agedBy: z.number().int().nullable() }) });

/** A case that is made and not yet in the library. */
export interface ReadyCase {
  readonly summary: CaseSummary;
  /** Of the files that it was read from. */
  readonly digests: readonly string[];
  readonly remarks: CaseRemarks;
}

/** How far an interrupted run had come. */
export interface WorkDone {
  readonly filesRead: number;
  /** null until all files are read. */
  readonly cases: number | null;
  readonly casesDone: number;
}

/** The work of one run. */
export interface ImportWork {
  readonly shelves: ReadingShelves;
  planned(cases: number): Promise<void>;
  /** Returns the case if it is prepared already, null when it is to be made. */
  prepared(caseKey: string): Promise<ReadyCase | null>;
}

const names = { run: 'run.json', plan: 'plan.json', readings: 'readings', prepared: 'prepared' } as const;

/** Returns where a prepared case lies. */
export function preparedFile(folder: string, caseKey: string): string {
  return join(folder, names.prepared, `${caseKey}.case`);
}

/**
 * Returns the work of a run in the folder of an import. Where the same was asked for before, what was done then is kept.
 * `isResumable`: whether a later start may go on with it.
 */
export async function beginWork(folder: string, run: ImportRun, isResumable: boolean): Promise<ImportWork> {
  const before = await readRun(folder);
  const isSame = (a: unknown, b: unknown): boolean => JSON.stringify(a) === JSON.stringify(b);
  const isSameReading = before !== null && before.madeBy === run.madeBy && isSame(before.request, run.request) && isSame(before.files, run.files);
  if (!isSameReading) await endWork(folder);
  else if (!isSame(before.parameters, run.parameters)) await rm(join(folder, names.prepared), { recursive: true, force: true });
  await mkdir(join(folder, names.readings), { recursive: true, mode: 0o700 });
  await mkdir(join(folder, names.prepared), { recursive: true, mode: 0o700 });
  if (isResumable) await writeAtomically(join(folder, names.run), JSON.stringify(run));
  const outcomes = await readOutlines(folder, run.files.length);
  const ready = new Set(isSameReading ? await preparedKeys(folder) : []);
  return {
    shelves: {
      pathOf: (place) => shelfFile(folder, place),
      known: (place) => outcomes.get(place) ?? null,
      async keep(place, outcome) {
        const shelfBytes = 'readings' in outcome ? (await stat(shelfFile(folder, place))).size : 0;
        const bytes = serialize({ shelfBytes, outcome });
        await writeWhole(outlineFile(folder, place), Buffer.concat([digestOf(bytes), bytes]));
      },
    },
    async planned(cases) {
      await writeWhole(join(folder, names.plan), JSON.stringify({ cases }));
    },
    prepared: (caseKey) => (ready.has(caseKey) ? readPrepared(folder, caseKey) : Promise.resolve(null)),
  };
}

/** Keeps a case that is built and analysed, for it to be published. */
export async function prepareCase(folder: string, { bytes, ...line }: MadeCase): Promise<ReadyCase> {
  await makeFolder(join(folder, names.prepared), 0o700);
  await writeWhole(preparedFile(folder, line.summary.caseKey), bytes);
  await writeWhole(lineFile(folder, line.summary.caseKey), JSON.stringify(line));
  return line;
}

/** Removes everything that a run has done, and that there was one. */
export async function endWork(folder: string): Promise<void> {
  await forgetRun(folder); // first: without it no later start goes on with the rest
  for (const name of [names.plan, names.readings, names.prepared]) await rm(join(folder, name), { recursive: true, force: true });
}

/** Removes the sign that a run is going on. */
export async function forgetRun(folder: string): Promise<void> {
  await rm(join(folder, names.run), { force: true });
}

/** Returns the run that was going on in the folder of an import; null when there was none, or it is not readable. */
export async function readRun(folder: string): Promise<ImportRun | null> {
  return await readJson(join(folder, names.run), runSchema);
}

/** Returns how far the run in the folder had come. */
export async function countWork(folder: string): Promise<WorkDone> {
  const plan = await readJson(join(folder, names.plan), planSchema);
  const outlines = (await namesIn(join(folder, names.readings))).filter((name) => name.endsWith('.outline'));
  return { filesRead: outlines.length, cases: plan?.cases ?? null, casesDone: (await preparedKeys(folder)).length };
}

/** Returns the bytes of a prepared case on the disk, flushed, so that a rename is all that is left to do. */
export async function flushPrepared(folder: string, caseKey: string): Promise<void> {
  const file = await open(preparedFile(folder, caseKey), 'r+');
  try {
    await file.sync();
  } finally {
    await file.close();
  }
}

function shelfFile(folder: string, place: number): string {
  return join(folder, names.readings, `${place}.shelf`);
}

function outlineFile(folder: string, place: number): string {
  return join(folder, names.readings, `${place}.outline`);
}

function lineFile(folder: string, caseKey: string): string {
  return join(folder, names.prepared, `${caseKey}.json`);
}

/** Whole or not at all for whoever looks after the program was killed; not flushed, since a power cut costs only work. */
async function writeWhole(path: string, bytes: Uint8Array | string): Promise<void> {
  await writeFile(`${path}.part`, bytes, { mode: 0o600 });
  await rename(`${path}.part`, path);
}

function digestOf(bytes: Uint8Array): Buffer {
  return createHash('sha256').update(bytes).digest();
}

async function readOutlines(folder: string, count: number): Promise<Map<number, FileOutcome>> {
  const found = new Map<number, FileOutcome>();
  for (let place = 0; place < count; place += 1) {
    const outcome = await readOutline(folder, place);
    if (outcome !== null) found.set(place, outcome);
  }
  return found;
}

async function readOutline(folder: string, place: number): Promise<FileOutcome | null> {
  try {
    const bytes = await readFile(outlineFile(folder, place));
    const body = bytes.subarray(32);
    if (!digestOf(body).equals(bytes.subarray(0, 32))) return null;
    const { shelfBytes, outcome } = deserialize(body) as { shelfBytes: number; outcome: FileOutcome }; // `keep` of the same program wrote it
    if (!('readings' in outcome)) return null; // a file that could not be read may be readable now
    return (await stat(shelfFile(folder, place))).size === shelfBytes ? outcome : null;
  } catch {
    return null; // not there, or not whole: the file is read again
  }
}

async function preparedKeys(folder: string): Promise<string[]> {
  return (await namesIn(join(folder, names.prepared))).flatMap((name) => /^([0-9a-f]{32})\.json$/.exec(name)?.[1] ?? []);
}

async function readPrepared(folder: string, caseKey: string): Promise<ReadyCase | null> {
  const line = await readJson(lineFile(folder, caseKey), preparedSchema);
  if (line === null || line.summary.caseKey !== caseKey) return null;
  try {
    return decodeCase(await readFile(preparedFile(folder, caseKey))).ok ? line : null;
  } catch {
    return null; // not there: the case is made again
  }
}

async function readJson<T>(path: string, schema: z.ZodType<T>): Promise<T | null> {
  try {
    const parsed = schema.safeParse(JSON.parse(await readFile(path, 'utf8')));
    return parsed.success ? parsed.data : null;
  } catch {
    return null; // not there, or cut short
  }
}

async function namesIn(folder: string): Promise<string[]> {
  return await readdir(folder).catch(() => []);
}
