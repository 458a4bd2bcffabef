// Writes sample-cases/cases and sample-cases/expected.json. `npm run samples`; the same bytes every time.
// Every case is invented: no hospital of this name, no patient, no recording stands behind it.
import { mkdir, rm, writeFile } from 'node:fs/promises';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { CASES } from './scenarios.mjs';

/** Returns every file of the sample cases as [path below the folder, bytes], and what is true of them by construction. */
export function makeSamples() {
  const files = [];
  const cases = {};
  for (const make of CASES) {
    const made = make();
    for (const [name, bytes] of made.files) files.push([`cases/${made.folder}/${name}`, bytes]);
    for (const truth of made.truths) cases[truth.case_id] = truth;
  }
  const note =
    'What is true of the sample cases by construction. Times in seconds from the first trend row; losses are [start, end): no information from start until just before end. ' +
    'leaves_trace: whether any row of the export falls into the loss; without one nobody can see it. ' +
    'kept: whether the rows can show the loss as a dropout with a mid estimate of 30 s or more.';
  files.push(['expected.json', Buffer.from(`${JSON.stringify({ note, cases }, null, 1)}\n`, 'utf8')]);
  return files;
}

const isMain = process.argv[1] !== undefined && fileURLToPath(import.meta.url) === process.argv[1];
if (isMain) {
  const root = dirname(fileURLToPath(import.meta.url));
  await rm(join(root, 'cases'), { recursive: true, force: true });
  let total = 0;
  for (const [path, bytes] of makeSamples()) {
    await mkdir(dirname(join(root, path)), { recursive: true });
    await writeFile(join(root, path), bytes);
    total += bytes.length;
  }
  process.stderr.write(`${CASES.length} folders of sample cases written, ${(total / 1e6).toFixed(1)} MB\n`);
}
