/**
 * Saves cases one after the other until it is killed, and says each one that the store acknowledged.
 * Run as a process of its own by store-crash.integration.test.ts: `save-cases LIBRARY ROUND`.
 */
import { openFolderStore } from '../../../electron/host/folder-case-store.ts';
import { buildCaseAnalysis, buildCaseRecord, buildChannel } from '../../builders/stored-case.ts';

const [folder = '', round = ''] = process.argv.slice(2);
const store = await openFolderStore(folder);
const values = Array.from({ length: 20_000 }, (_, i) => 90 + (i % 10));
process.stdout.write('ready\n');
for (let i = 0; ; i += 1) {
  // Every third save replaces the case before it.
  const caseId = `case ${i - (i % 3 === 2 ? 1 : 0)}`;
  const version = `${round}-${i}`;
  await store.save(buildCaseRecord({ caseId, channels: [buildChannel(values)], attributes: { version } }), buildCaseAnalysis());
  process.stdout.write(`${JSON.stringify({ caseId, version })}\n`);
}
