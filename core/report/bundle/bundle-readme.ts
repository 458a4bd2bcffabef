import type { BundleManifest } from '../../model/bundle-manifest.ts';
import type { CohortExport } from '../../model/cohort-export.ts';
import { flowWords } from '../document/flow-figure.ts';

/** What README.md says of a bundle. */
export interface ReadmeGiven extends Pick<BundleManifest, 'source' | 'call' | 'options' | 'given' | 'inputs' | 'product_version'> {
  readonly run: CohortExport;
  /** Every file of the bundle, with what it is. */
  readonly listed: readonly (readonly [file: string, what: string])[];
}

/** Returns README.md: what is in the bundle, how it is verified, and what has to be known before it is used or passed on. */
export function readmeText({ run, source, call, options, given, inputs, listed, product_version }: ReadmeGiven): string {
  const { flow, parameters } = run.results;
  const beside = given.map(({ option, file }) => `${option} ${file}`);
  return [
    '# Research bundle',
    '',
    `Losses of pulse oximetry in exports of anaesthesia records, found afterwards by Lacuna ${product_version} under the definition “${parameters.name}”. For looking back only: it guides no care, and nothing here grades a person.`,
    '',
    '## What is in it',
    '',
    '| file | what it is |',
    '| --- | --- |',
    ...listed.map(([file, what]) => `| \`${file}\` | ${what} |`),
    '',
    'What was done, in words for a methods section, stands in `methods.md`; every column with its type, meaning, unit and missing values in `data-dictionary.md`.',
    '',
    '## Cases',
    '',
    ...flowWords(flow.steps).map((line) => `- ${line}`),
    '',
    '## How to verify it',
    '',
    '1. That no file was changed: `sha256sum -c SHA256SUMS` in this folder, or `lacuna bundle verify` as below, which does the same first. Whoever can change a file can change the list of digests too: keep the digest of `manifest.json` apart from the bundle.',
    ...(source === 'inputs'
      ? [
          `2. That the figures follow from the inputs: ${inputs.length === 1 ? 'the input file' : `the ${inputs.length} input files`}, whose digests stand in \`manifest.json\`${beside.length === 0 ? '' : `, and ${beside.join(', ')}`}, and version ${product_version} of the program:`,
          '',
          '   ```',
          `   ${verifyCall(given, options)}`,
          '   ```',
          '',
          '   reads the inputs, works everything out again and compares every byte. It says which file, byte and row differ, which input is missing or another, or that the version is another one. Exit code 0: the same; 1: not; 2: the call is wrong.',
        ]
      : [
          `2. That the figures follow from the cases: it was written from a library, whose cases may carry clocks that a person set, so it is not made anew from the inputs alone (their digests stand in \`manifest.json\`). Whoever has that library, with these cases and what was said of them unchanged, and version ${product_version} of the program, makes it anew with:`,
          '',
          '   ```',
          '   npm run --silent lacuna -- bundle verify FOLDER --library LIBRARY',
          '   ```',
        ]),
    '',
    'The call that made it:',
    '',
    '```',
    call,
    '```',
    '',
    '## Before you use or pass it on',
    '',
    '- A missing value in an export does not prove that the display was blank; a value does not prove that it was shown, right, or seen.',
    '- Low, mid and high belong together: the recording interval hides the true limits of a loss.',
    '- A link in time is association, not cause. Sites are chosen by people: only sensors worn at the same time, or assigned at random, answer which is better.',
    options.keepIdentifiers
      ? '- **Identifiers of persons were kept**, as stated by whoever made it. Who may have it is for the law and local policy to say.'
      : '- Names, record numbers and the like were left out or replaced by codes where recognised; recognition misses some. **A person has to look every file through before it is passed on**, free text above all.',
    options.relativeTime ? '- Dates and clock times were left out: instants count from the first row of each case. Exact durations and rare procedures may still point to one person for somebody who was there.' : '- Dates and clock times are in it. `--relative-time` leaves them out.',
    '- Confidentiality and release follow local law; the program creates no protection.',
    '',
  ].join('\n');
}

function verifyCall(given: BundleManifest['given'], options: BundleManifest['options']): string {
  const again = [...new Set(given.map(({ option }) => option))].map((option) => ` ${option} ${given.filter((one) => one.option === option).map(({ file }) => file).join(' ')}`);
  return `npm run --silent lacuna -- bundle verify DIR --inputs INPUT...${again.join('')}${options.pseudonyms === 'key from a file' ? ' --pseudonym-key FILE' : ''}${options.isZoneLeftOut ? ' --zone ZONE' : ''}`;
}
