/**
 * Writes into an encrypted library until it is killed, and says each thing that the library acknowledged: saved cases, entries of the
 * ledger with their rows, documents, and publications of two cases with an entry, which come in together or not at all.
 * Run as a process of its own by library-file-crash.integration.test.ts: `write-library FILE ROUND`.
 */
import { sourceDigests } from '../../../core/model/source-digests.ts';
import { encodeCase } from '../../../core/persist/case-bytes.ts';
import { summarizeCase } from '../../../core/protocol/case-summary.ts';
import { LIBRARY_KINDS } from '../../builders/library-kinds.ts';
import { parametersWith } from '../../builders/parameters.ts';
import { buildCaseAnalysis, buildCaseRecord, buildChannel } from '../../builders/stored-case.ts';

const [file = '', round = ''] = process.argv.slice(2);
const store = await LIBRARY_KINDS[1]!.open(file);
const values = Array.from({ length: 20_000 }, (_, i) => 90 + (i % 10));
const recordOf = (caseId: string, version: string) => buildCaseRecord({ caseId, channels: [buildChannel(values)], attributes: { version } });
const acknowledged = (what: Readonly<Record<string, string | number>>): void => void process.stdout.write(`${JSON.stringify(what)}\n`);
process.stdout.write('ready\n');
for (let i = 0; ; i += 1) {
  const version = `${round}-${i}`;
  const caseId = `case ${i % 5}`;
  await store.save(recordOf(caseId, version), buildCaseAnalysis());
  acknowledged({ kind: 'case', caseId, version });
  const importId = (Number(round) * 1_000_000 + i).toString(16).padStart(32, '0');
  const base = { schema: 'lacuna-ledger/1' as const, importId, at: new Date().toISOString(), productVersion: '0.0.0-test', run: 1 };
  await store.ledger.append({ ...base, kind: 'run', zone: null, mapping: null, overrules: [], overruled: [], files: [], cases: [], looseName: '' }, Array.from({ length: i % 1500 }, (_, line) => ({ file: 'a.csv', line, reason: 'no time', row: `row ${line}` })));
  acknowledged({ kind: 'entry', importId, rows: i % 1500 });
  await store.parameterSets.save(parametersWith({ name: version, minDurationS: 10 + (i % 50) }));
  acknowledged({ kind: 'set', name: version });
  const staging = await store.openStaging({ isResumable: false });
  const put = [];
  for (const name of ['left', 'right']) {
    const record = recordOf(name, version);
    const analysis = buildCaseAnalysis();
    put.push(await staging.prepare({ bytes: encodeCase(record, analysis), summary: summarizeCase(store.keyOf(name), record, analysis), digests: sourceDigests(record), remarks: { notes: [], asTimeOfDay: [], agedBy: null } }));
  }
  const entry = await store.ledger.prepare({ ...base, importId: staging.importId, kind: 'begun', files: [{ file: version, byteLength: 1 }], corrects: null });
  await store.publish(staging, { put, takeBack: [], entry }, {});
  acknowledged({ kind: 'pair', version, importId: staging.importId });
  await store.endStaging(staging.importId);
}
