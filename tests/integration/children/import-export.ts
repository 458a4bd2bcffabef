/**
 * Takes one export into a library, or goes on with the import that an earlier run of this program did not bring to its end.
 * Run as a process of its own by import-crash.integration.test.ts: `import-export ROOT LIBRARY FILE`. Says "ready" when it begins.
 */
import { createReadStream } from 'node:fs';
import { pathToFileURL } from 'node:url';
import { startHost } from '../../../electron/host/start-host.ts';

const [root = '', library = '', path = ''] = process.argv.slice(2);
const { host } = await startHost({ libraryFolder: library, door: 'browser', root: pathToFileURL(`${root}/`) }, (error) => process.stderr.write(`${String(error)}\n`));
const [left] = await host.interruptedImports();
if (left === undefined) {
  const { importId } = await host.beginImport();
  await host.stageFile(importId, 'department/export.csv', createReadStream(path));
  process.stdout.write('ready\n');
  await host.runImport({ importId, overrules: [], zone: 'UTC', mapping: null });
  await host.endImport({ importId });
} else {
  process.stdout.write(`ready ${JSON.stringify({ filesRead: left.filesRead, cases: left.cases, casesDone: left.casesDone })}\n`);
  await host.resumeImport({ importId: left.importId });
  await host.endImport({ importId: left.importId });
}
process.stdout.write('done\n');
await host.close();
