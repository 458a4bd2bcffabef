/**
 * Writes imports into the ledger of a library one after the other until it is killed, and says each reading that was acknowledged.
 * Run as a process of its own by ledger-crash.integration.test.ts: `append-entries LIBRARY ROUND`.
 */
import { openFolderStore } from '../../../electron/host/folder-case-store.ts';

const [folder = '', round = ''] = process.argv.slice(2);
const store = await openFolderStore(folder);
process.stdout.write('ready\n');
for (let i = 0; ; i += 1) {
  const importId = (Number(round) * 1_000_000 + i).toString(16).padStart(32, '0');
  const base = { schema: 'lacuna-ledger/1' as const, importId, at: new Date().toISOString(), productVersion: '0.0.0-test', run: 1 };
  const count = i % 700;
  await store.ledger.append({ ...base, kind: 'begun', files: [{ file: 'a.csv', byteLength: 1 }], corrects: null });
  await store.ledger.append(
    { ...base, kind: 'run', zone: null, mapping: null, overrules: [], overruled: [], files: [], cases: [], looseName: '' },
    Array.from({ length: count }, (_, line) => ({ file: 'a.csv', line, reason: 'no time', row: `row ${line} of ${count}` })),
  );
  process.stdout.write(`${JSON.stringify({ importId, rows: count })}\n`);
}
