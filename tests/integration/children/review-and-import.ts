/**
 * Runs the real host over a library until it is killed: gives verdicts on the dropouts of one case, takes some back, changes flags,
 * while imports of other cases run beside it and their cases are removed again. Says each thing that the host acknowledged.
 * Run as a process of its own by review-crash.integration.test.ts: `review-and-import PLACE_OF_KIND PATH ROUND ROOT`.
 */
import { writeSync } from 'node:fs';
import { pathToFileURL } from 'node:url';
import { decodeCase } from '../../../core/persist/case-bytes.ts';
import { startHost } from '../../../electron/host/start-host.ts';
import { LIBRARY_KINDS } from '../../builders/library-kinds.ts';

const [kind = '', path = '', round = '', root = ''] = process.argv.slice(2);
const say = (what: Readonly<Record<string, string | number>>): void => void writeSync(1, `${JSON.stringify(what)}\n`);

const store = await LIBRARY_KINDS[Number(kind)]!.open(path);
const { host, settled } = await startHost({ libraryFolder: path, openLibrary: store, door: 'browser', root: pathToFileURL(`${root}/`) }, () => undefined);
await settled;

/** A record of an hour with a loss of a minute and a half in every five. */
function exportOf(startHour: number): string {
  const rows = Array.from({ length: 3600 }, (_, i) => `2031-03-04 ${String(startHour).padStart(2, '0')}:${String(Math.floor(i / 60)).padStart(2, '0')}:${String(i % 60).padStart(2, '0')},${i % 300 >= 100 && i % 300 < 190 ? '' : 97},70`);
  return ['time,SpO2 finger (%),HR', ...rows].join('\n');
}

async function importCase(name: string, startHour: number): Promise<string> {
  const { importId } = await host.beginImport();
  await host.stageFile(importId, `${name}/trends.csv`, (async function* () {
    yield Buffer.from(exportOf(startHour));
  })());
  const { cases } = await host.runImport({ importId, overrules: [], zone: null, mapping: null });
  await host.endImport({ importId });
  return cases[0]!.caseKey;
}

const caseKey = (await host.listCases()).find(({ caseId }) => caseId === 'reviewed')?.caseKey ?? (await importCase('reviewed', 8));
const opened = decodeCase(await host.openCase(caseKey));
if (!opened.ok || opened.value.analysis === null) throw new Error('the case cannot be opened');
const dropouts = opened.value.analysis.sites.flatMap((site) => site.dropouts.map(({ dropoutId }) => dropoutId));
writeSync(1, 'ready\n');

async function review(): Promise<never> {
  const by = 'R. Eader';
  for (let i = 0; ; i += 1) {
    const dropoutId = dropouts[i % dropouts.length]!;
    const note = `${round}-${i}`;
    await host.giveVerdict({ caseKey, dropoutId, by, blinded: true, judgement: { verdict: 'motion', certainty: 'probable', note, correctedBounds: null } });
    say({ kind: 'verdict', dropoutId, note });
    if (i % 7 === 3) {
      await host.takeVerdictBack({ caseKey, dropoutId, by, blinded: true });
      say({ kind: 'taken back', dropoutId, note });
    }
    if (i % 5 === 2) {
      await host.flagCase({ caseKey, by, flags: ['worth discussing'], note, blinded: true });
      say({ kind: 'flags', dropoutId: '', note });
    }
  }
}

async function takeIn(): Promise<never> {
  for (let i = 0; ; i += 1) {
    const name = `other ${round}-${i}`;
    const key = await importCase(name, 12);
    say({ kind: 'case', dropoutId: key, note: name });
    if (i % 2 === 0) {
      await host.removeCase({ caseKey: key });
      say({ kind: 'removed', dropoutId: key, note: name });
    }
  }
}

await Promise.all([review(), takeIn()]);
