import { mkdir, mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { z } from 'zod';
import type { BundleManifest, FileDigest, GivenFile } from '../../core/model/bundle-manifest.ts';
import { parseJsonText } from '../../core/persist/json-text.ts';
import { parseParameters } from '../../core/persist/parameters-file.ts';
import { BUNDLE_FILES } from '../../core/report/bundle/bundle-names.ts';
import { digestOfFile, filesIn, readManifest } from './bundle-folder.ts';
import type { BundleCall } from './command-line.ts';
import { bundleOfLibrary } from './library-bundle.ts';
import { findInputs, WrongCall, codeOf } from './find-inputs.ts';
import { firstDifference, type Difference } from './first-difference.ts';
import type { RunSurroundings } from './read-inputs.ts';
import { runBundle } from './run-bundle.ts';

/** A bundle that is to be verified, and what it was made from. */
export interface BundleVerifyCall {
  readonly command: 'bundle verify';
  readonly bundle: string;
  /** Empty where it is made anew from a library. */
  readonly inputs: readonly string[];
  readonly library: string | undefined;
  readonly mapping: string | undefined;
  readonly zone: string | undefined;
  readonly pseudonymKey: string | undefined;
  readonly reviews: readonly string[] | undefined;
  readonly caseList: string | undefined;
  readonly nextStudy: string | undefined;
  readonly protocol: string | undefined;
  readonly json: boolean;
  readonly workers: number | undefined;
}

const statedLastSaidSchema = z.object({ library_reviews: z.object({ last: z.string() }) });

/** Something that is not as the bundle says. */
export interface BundleProblem {
  readonly kind:
    /** A file is not as the manifest says it was written. */
    | 'file changed' | 'file missing' | 'file not of the bundle'
    | 'another version'
    /** What it was made from is not there, is another, or is more. */
    | 'input missing' | 'input changed' | 'input not of the bundle' | 'given file missing' | 'given file changed'
    /** Made anew from the same, a file comes out otherwise. */
    | 'file differs';
  readonly file: string;
  /** Offset of the first byte that differs, from 0; null where none can be named. */
  readonly byte: number | null;
  /** Row of a table, from 1 without the headings, or line of a text, from 1. */
  readonly row: number | null;
  readonly column: string | null;
  readonly message: string;
}

/** What verifying came to, as `--json` writes it. */
export interface BundleVerifySummary {
  readonly product_version: string;
  /** '' where its manifest cannot be read. */
  readonly bundle_version: string;
  readonly files: number;
  readonly inputs: number;
  /** Whether it was made anew: only where files, version and inputs are those of the manifest. */
  readonly made_anew: boolean;
  readonly problems: readonly BundleProblem[];
  readonly exit_code: 0 | 1;
}

type Found = Pick<BundleProblem, 'kind' | 'file' | 'message'> & Partial<Pick<BundleProblem, 'byte' | 'row' | 'column'>>;

/**
 * Returns whether a bundle is what it says: its files are unchanged, and made anew from the inputs they come out byte by byte the same.
 * Shape   it is made anew where version, parameters and inputs are those of the bundle; then the place of each change can be told.
 * Errors  throws WrongCall where it cannot be looked at, or the call is wrong; the signal's reason when interrupted.
 */
export async function runBundleVerify(call: BundleVerifyCall, surroundings: RunSurroundings): Promise<BundleVerifySummary> {
  const { display, productVersion } = surroundings;
  const manifest = await readManifest(call.bundle).catch(async (error: unknown) => {
    // One that cannot be read because somebody changed it is what was looked for, and no wrong call.
    if (!(error instanceof WrongCall) || !(await isManifestChanged(call.bundle))) throw error;
    return null;
  });
  if (manifest === null) {
    const message = `${BUNDLE_FILES.manifest} was changed after the bundle was written, so that it cannot be read any more: its digest is not the one in ${BUNDLE_FILES.sums}.`;
    display.say(`${message} Not verified.`);
    return { product_version: productVersion, bundle_version: '', files: 0, inputs: 0, made_anew: false, problems: [{ kind: 'file changed', file: BUNDLE_FILES.manifest, byte: null, row: null, column: null, message }], exit_code: 1 };
  }
  const isOfLibrary = manifest.source === 'library';
  if (isOfLibrary && call.library === undefined) throw new WrongCall(`The bundle was written from a library: name that with --library. That no file was changed says: sha256sum -c ${BUNDLE_FILES.sums}`);
  if (!isOfLibrary && call.library !== undefined) throw new WrongCall('The bundle was made from inputs: name them with --inputs.');
  const problems: BundleProblem[] = [];
  const note = (found: Found): void => {
    problems.push({ byte: null, row: null, column: null, ...found });
    display.say(found.message);
  };
  const summary = (madeAnew: boolean): BundleVerifySummary => {
    display.say(
      problems.length === 0
        ? `Verified: ${manifest.files.length + 2} files are unchanged, and made anew from ${isOfLibrary ? 'the library' : `${manifest.inputs.length} inputs`} every byte is the same.`
        : `Not verified: ${problems.length === 1 ? '1 problem' : `${problems.length} problems`}.${madeAnew ? '' : ' The bundle was not made anew.'}`,
    );
    return { product_version: productVersion, bundle_version: manifest.product_version, files: manifest.files.length + 2, inputs: manifest.inputs.length, made_anew: madeAnew, problems, exit_code: problems.length === 0 ? 0 : 1 };
  };
  const changed = await changedFiles(call.bundle, manifest);
  await checkExtent(call.bundle, manifest, note);
  if (manifest.product_version !== productVersion) note({ kind: 'another version', file: '', message: `The bundle was made by version ${manifest.product_version}; this is version ${productVersion}. Only the same version makes the same bytes: take that one.` });
  await checkGiven(call, manifest, note);
  if (!isOfLibrary) await checkInputs(call, manifest, note);
  const isSure = problems.every(({ kind }) => kind === 'file changed' || kind === 'file missing' || kind === 'file not of the bundle');
  const missing = new Set(problems.flatMap(({ kind, file }) => (kind === 'file missing' ? [file] : [])));
  // Without the parameters, and from anything but the same inputs, it cannot be made anew: what was changed is all that can be said.
  if (!isSure || changed.has(BUNDLE_FILES.parameters) || missing.has(BUNDLE_FILES.parameters)) {
    for (const [file, message] of changed) note({ kind: 'file changed', file, message: `${message}.` });
    return summary(false);
  }
  // Beside no result and away from the bundle: nothing of it may pass for a part of it.
  const folder = await mkdtemp(join(tmpdir(), 'lacuna-verify-'));
  try {
    const anew = join(folder, 'bundle');
    const parameters = await parametersOf(call.bundle);
    if (call.library === undefined) await runBundle(callOf(call, manifest, anew), surroundings, { parameters });
    else for (const [name, bytes] of await bundleOfLibrary(call.library, manifest, parameters, await lastSaidOf(call.bundle), surroundings)) await put(join(anew, name), bytes);
    for (const file of [...manifest.files.map((one) => one.file), BUNDLE_FILES.manifest]) {
      if (missing.has(file)) continue;
      const found = await firstDifference(join(call.bundle, file), join(anew, file), file);
      const message = changed.get(file);
      if (message !== undefined) note({ ...placeOf(found), kind: 'file changed', file, message: `${message}${found === null ? '' : `: ${found.where}`}.` });
      else if (found !== null) note({ ...placeOf(found), kind: 'file differs', file, message: `${file}: made anew it is another: ${found.where}.` });
    }
    for (const file of await filesIn(anew)) if (![...manifest.files.map((one) => one.file), BUNDLE_FILES.manifest, BUNDLE_FILES.sums].includes(file)) note({ kind: 'file differs', file, message: `${file}: made anew the bundle has this file too, and it is not in the one given.` });
    return summary(true);
  } finally {
    await rm(folder, { recursive: true, force: true });
  }
}

async function put(path: string, bytes: Uint8Array): Promise<void> {
  await mkdir(dirname(path), { recursive: true });
  await writeFile(path, bytes);
}

/** Returns the files that are not as the manifest says they were written, with what is to be said of them. */
async function changedFiles(folder: string, { files }: BundleManifest): Promise<ReadonlyMap<string, string>> {
  const changed = new Map<string, string>();
  for (const { file, sha256, byte_length } of files) {
    const now = await digestOfFile(join(folder, file)).catch((error: unknown) => {
      if (codeOf(error) !== 'ENOENT' && codeOf(error) !== 'ENOTDIR') throw new WrongCall(`${file} of the bundle cannot be read (${codeOf(error)}).`);
      return null;
    });
    if (now !== null && now.sha256 !== sha256) changed.set(file, `${file} was changed after the bundle was written (${now.byte_length === byte_length ? 'as long as it was' : `${now.byte_length} bytes instead of ${byte_length}`})`);
  }
  return changed;
}

/** Notes files that are missing, and such as are no part of it. */
async function checkExtent(folder: string, manifest: BundleManifest, note: (found: Found) => void): Promise<void> {
  const there = await filesIn(folder);
  for (const { file } of manifest.files) if (!there.includes(file)) note({ kind: 'file missing', file, message: `${file} is missing.` });
  const own = new Set<string>([...manifest.files.map(({ file }) => file), BUNDLE_FILES.manifest, BUNDLE_FILES.sums]);
  for (const file of there) if (!own.has(file)) note({ kind: 'file not of the bundle', file, message: `${file} is no file of the bundle.` });
  await checkSums(folder, manifest, note);
}

/** Returns whether SHA256SUMS has another digest for the manifest than it has now. */
async function isManifestChanged(folder: string): Promise<boolean> {
  const sums = await readFile(join(folder, BUNDLE_FILES.sums), 'utf8').catch(() => '');
  const line = sums.split('\n').find((one) => one.endsWith(`  ${BUNDLE_FILES.manifest}`));
  if (line === undefined) return false;
  return !line.startsWith((await digestOfFile(join(folder, BUNDLE_FILES.manifest)).catch(() => ({ sha256: '' }))).sha256 || '-');
}

/** SHA256SUMS follows from the manifest: a change of either that the other does not follow shows. */
async function checkSums(folder: string, { files }: BundleManifest, note: (found: Found) => void): Promise<void> {
  const text = await readFile(join(folder, BUNDLE_FILES.sums), 'utf8').catch(() => null);
  if (text === null) {
    note({ kind: 'file missing', file: BUNDLE_FILES.sums, message: `${BUNDLE_FILES.sums}: the file is missing.` });
    return;
  }
  const manifest = { file: BUNDLE_FILES.manifest, ...(await digestOfFile(join(folder, BUNDLE_FILES.manifest))) };
  const stated = [...files, manifest].sort((a, b) => (a.file < b.file ? -1 : 1)).map(({ file, sha256 }) => `${sha256}  ${file}\n`);
  if (text === stated.join('')) return;
  const lines = text.split(/(?<=\n)/u);
  const at = stated.findIndex((line, i) => line !== lines[i]);
  const row = at < 0 ? stated.length : at;
  note({ kind: 'file changed', file: BUNDLE_FILES.sums, row: row + 1, message: `${BUNDLE_FILES.sums}, line ${row + 1}: it does not agree with ${BUNDLE_FILES.manifest}: one of the two was changed after the bundle was written.` });
}

async function checkGiven(call: BundleVerifyCall, { given, options }: BundleManifest, note: (found: Found) => void): Promise<void> {
  const now: Omit<GivenFile, 'byte_length'>[] = [];
  const named = [['--mapping', call.mapping], ['--case-list', call.caseList], ['--next-study', call.nextStudy], ['--protocol', call.protocol], ...(call.reviews ?? []).map((path) => ['--reviews', path] as const)] as const;
  for (const [option, path] of named) {
    if (path === undefined) continue;
    if (!given.some((one) => one.option === option)) throw new WrongCall(`${option}: the bundle was made without such a file. Leave it out.`);
    now.push({ option, file: path, sha256: (await digestOfFile(path).catch((error: unknown) => Promise.reject(new WrongCall(`${option}: the file cannot be read (${codeOf(error)}): ${path}`)))).sha256 });
  }
  for (const { option, file, sha256 } of given) {
    const own = now.filter((one) => one.option === option);
    if (own.some((one) => one.sha256 === sha256)) continue;
    if (own.length === 0) note({ kind: 'given file missing', file, message: `${file} is missing: the bundle was made with it. Name it with ${option}.` });
    else note({ kind: 'given file changed', file, message: `${option}: ${file} is another file than the one that the bundle was made with.` });
  }
  if (options.pseudonyms === 'key from a file' && call.pseudonymKey === undefined) note({ kind: 'given file missing', file: '', message: 'The key of the codes is missing: the bundle was made with one. Name it with --pseudonym-key.' });
  if (options.isZoneLeftOut && call.zone === undefined) note({ kind: 'given file missing', file: '', message: 'The time zone is missing: one was stated, and the bundle leaves it out. State it with --zone.' });
}

/** Inputs are known by their content: a file that was moved or renamed is the same one, but for a name that the tables show. */
async function checkInputs(call: BundleVerifyCall, { inputs }: BundleManifest, note: (found: Found) => void): Promise<void> {
  const found = await findInputs(call.inputs, join(tmpdir(), 'lacuna-verify-nothing'));
  const now: FileDigest[] = [];
  for (const { path, relativePath } of found.files) {
    const digest = await digestOfFile(path).catch(() => ({ sha256: '', byte_length: 0 }));
    now.push({ file: relativePath, ...digest });
  }
  for (const { relativePath } of found.unreadable) now.push({ file: relativePath, sha256: '', byte_length: 0 });
  const left = [...now];
  let missing: readonly FileDigest[] = inputs;
  // The same name first: of two files with the same content each stands for itself.
  for (const isSame of [(a: FileDigest, b: FileDigest) => a.sha256 === b.sha256 && a.file === b.file, (a: FileDigest, b: FileDigest) => a.sha256 === b.sha256]) {
    missing = missing.filter((input) => {
      const at = left.findIndex((one) => isSame(one, input));
      if (at >= 0) left.splice(at, 1);
      return at < 0;
    });
  }
  for (const { file } of missing) {
    const other = left.findIndex((one) => one.file === file);
    if (other >= 0) {
      left.splice(other, 1);
      note({ kind: 'input changed', file, message: `${file}: the input is another one than the bundle was made from (its SHA-256 differs).` });
    } else note({ kind: 'input missing', file, message: `${file}: this input is missing.` });
  }
  for (const { file } of left) note({ kind: 'input not of the bundle', file, message: `${file}: the bundle was not made from this input. Leave it out.` });
}

async function parametersOf(bundle: string): Promise<ReturnType<typeof accepted>> {
  const json = parseJsonText(await readFile(join(bundle, BUNDLE_FILES.parameters), 'utf8'));
  const stated: unknown = json.ok && typeof json.value === 'object' && json.value !== null && 'parameters' in json.value ? json.value.parameters : null;
  return accepted(parseParameters(stated));
}

/** Returns the hash of the last entry of the trail that a bundle of a library holds; null where it states none. */
async function lastSaidOf(bundle: string): Promise<string | null> {
  const json = parseJsonText(await readFile(join(bundle, BUNDLE_FILES.parameters), 'utf8'));
  const stated = statedLastSaidSchema.safeParse(json.ok ? json.value : null);
  return stated.success ? stated.data.library_reviews.last : null;
}

function accepted(parsed: ReturnType<typeof parseParameters>) {
  if (!parsed.ok) throw new WrongCall(`${BUNDLE_FILES.parameters} of the bundle: ${parsed.failure.message}`);
  return parsed.value;
}

/** Returns the call that makes the bundle anew. */
function callOf(call: BundleVerifyCall, { options, made }: BundleManifest, out: string): BundleCall {
  const { cohort } = options;
  const { choice } = cohort;
  return {
    command: 'bundle', inputs: call.inputs, out, json: false, workers: call.workers, made: made ?? undefined,
    mapping: call.mapping, parameters: undefined, zone: options.isZoneLeftOut ? call.zone : (options.zone ?? undefined), keepIdentifiers: options.keepIdentifiers, pseudonymKey: call.pseudonymKey,
    reviews: call.reviews, relativeTime: options.relativeTime, robustness: options.robustness,
    seed: cohort.seed, draws: cohort.draws, conf: cohort.conf, groupBy: cohort.groupBy ?? undefined, patientColumn: cohort.patientColumn ?? undefined,
    from: choice.from ?? undefined, to: choice.to ?? undefined, leaveOutUndated: !choice.keepUndated, change: cohort.change ?? undefined, dropouts: cohort.dropouts,
    caseList: call.caseList, caseListColumn: options.caseListColumn ?? undefined, caseListDate: options.caseListDate ?? undefined, nextStudy: call.nextStudy, protocol: call.protocol,
  };
}

function placeOf(found: Difference | null): Partial<Pick<BundleProblem, 'byte' | 'row' | 'column'>> {
  return found === null ? {} : { byte: found.byte, row: found.row, column: found.column };
}
