import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, it } from 'vitest';
import { DEFAULT_HEADER } from '../../../../core/model/report-document.ts';
import { HOST_METHODS } from '../../../../core/protocol/host-api-schema.ts';
import { openFolderStore } from '../../../../electron/host/folder-case-store.ts';
import { createHost, type Host } from '../../../../electron/host/host.ts';
import { buildStandInPool } from '../../../builders/stand-in-pool.ts';
import { buildTwoSensorCase } from '../../../builders/two-sensor-case.ts';

let folder = '';
let host: Host;

beforeEach(async () => {
  folder = await mkdtemp(join(tmpdir(), 'lacuna-sheet-'));
  const store = await openFolderStore(join(folder, 'library'));
  await store.save(buildTwoSensorCase('L-1', [60, 72], [200, 206]), null);
  host = createHost({ store, productVersion: '1.2.3', door: 'browser', casesAtOnce: 2, samplesFolder: folder, startPool: () => buildStandInPool({}) });
});
afterEach(async () => {
  await host.close();
  await rm(folder, { recursive: true, force: true });
});

it('the sheet of a stored case comes as a document, as HTML and as PDF, and is checked on its way', async () => {
  const [line] = await host.listCases();
  const args = HOST_METHODS.caseSheet.args.parse({ caseKey: line!.caseKey, parameters: await host.getParameters(), wishes: { header: DEFAULT_HEADER, paper: 'A4', relativeTime: true } });
  const made = HOST_METHODS.caseSheet.reply.parse(await host.caseSheet(args));
  expect(made.document.subtitle).toBe('L-1');
  expect(made.html).toContain('<p class="subtitle">L-1</p>');
  expect(Buffer.from(made.pdfBase64, 'base64').subarray(0, 8).toString('latin1')).toBe('%PDF-1.7');
  expect([made.pages, made.notInFont]).toEqual([1, '']);
});

it('a case that is not there is told, and a header that fits on no line is refused', async () => {
  const parameters = await host.getParameters();
  const wishes = { header: '', paper: 'A4', relativeTime: false } as const;
  await expect(host.caseSheet({ caseKey: 'nowhere', parameters, wishes })).rejects.toMatchObject({ code: 'case-missing' });
  expect(HOST_METHODS.caseSheet.args.safeParse({ caseKey: 'x', parameters, wishes: { ...wishes, header: 'x'.repeat(121) } }).success).toBe(false);
});
