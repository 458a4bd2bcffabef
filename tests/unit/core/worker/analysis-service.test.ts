import { createHash } from 'node:crypto';
import { mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { DEFAULT_PARAMETERS } from '../../../../core/model/parameters.ts';
import { decodeCase } from '../../../../core/persist/case-bytes.ts';
import { summarizeCase } from '../../../../core/protocol/case-summary.ts';
import type { InputFile, WorkerMessage } from '../../../../core/worker/analysis-service.ts';
import { createAnalysisService } from '../../../../core/worker/analysis-service.ts';
import { caseOf } from '../../../builders/case-record.ts';
import { regularChannel, repeat } from '../../../builders/channel.ts';

const OPTIONS = { zone: 'UTC', mapping: null, keepIdentifiers: false, pseudonymKey: '00112233445566778899aabbccddeeff' };
const TEXT = 'time,SpO2 finger (%)\n2031-04-03T08:00:00Z,97\n2031-04-03T08:00:10Z,96\n2031-04-03T08:00:20Z,97\n';

let folder: string;
beforeEach(async () => {
  folder = await mkdtemp(join(tmpdir(), 'lacuna-service-'));
});
afterEach(async () => {
  await rm(folder, { recursive: true, force: true });
});

const fileAt = (name: string): InputFile => ({ path: join(folder, name), relativePath: `Case 1/${name}`, folderName: 'Case 1', byteLength: TEXT.length });

describe('the service behind the wire', () => {
  it('reads a file, hashes it, shows life, and puts a case together', async () => {
    await writeFile(join(folder, 'a.csv'), TEXT);
    const messages: WorkerMessage[] = [];
    const service = createAnalysisService('1', (message) => messages.push(message));
    const shelf = { path: join(folder, '0.shelf'), heldBytes: 1 << 20 };
    const reading = await service.readFile(fileAt('a.csv'), OPTIONS, shelf);
    if (!reading.ok) throw new Error(reading.failure.message);
    expect(messages.at(-1)).toEqual({ kind: 'bytes-read', relativePath: 'Case 1/a.csv', bytesDone: TEXT.length });
    const readings = structuredClone(reading.value);
    const plan = await service.planCases(readings);
    const [file] = readings;
    const task = { caseId: 'Case 1', attributes: {}, parts: file!.cases.map((own) => ({ shelfPath: shelf.path, file: file!, reading: own })) };
    const made = await service.makeCase(task, '0'.repeat(32), DEFAULT_PARAMETERS);
    expect(await service.completeReports(readings, plan, [made.remarks])).toMatchObject([{ file: 'Case 1/a.csv', rows_read: 3, rows_accepted: 3, rows_rejected: 0, sha256: createHash('sha256').update(TEXT).digest('hex'), failure: null }]);
    const decoded = decodeCase(made.bytes);
    if (!decoded.ok) throw new Error(decoded.failure.message);
    expect(plan.cases.map(({ caseId }) => caseId)).toEqual(['Case 1']);
    expect([...decoded.value.record.channels[0]!.value]).toEqual([97, 96, 97]);
    expect(made.summary).toEqual(summarizeCase('0'.repeat(32), decoded.value.record, decoded.value.analysis));
  });

  it.each([
    ['is gone', 'gone.csv', 'The file is no longer there.'],
    ['is a folder', '.', 'This is a folder, not a file.'],
  ])('gives a failure, not an exception, when the file %s', async (_, name, message) => {
    const result = await createAnalysisService('1', () => undefined).readFile(fileAt(name), OPTIONS, { path: join(folder, '0.shelf'), heldBytes: 1 << 20 });
    expect(result).toMatchObject({ ok: false, failure: { code: 'file-unreadable', message, file: `Case 1/${name}` } });
  });

  it('analyses a record under the product version it was made with', async () => {
    const record = caseOf({ channels: [regularChannel({ quantity: 'spo2', site: 'finger' }, [...repeat(97, 30), ...repeat(null, 40), ...repeat(96, 30)])] });
    const analysis = await createAnalysisService('9.8.7', () => undefined).analyze(record, DEFAULT_PARAMETERS);
    expect(analysis.productVersion).toBe('9.8.7');
    expect(analysis.sites[0]?.dropouts.map((dropout) => dropout.lostMs)).toEqual([{ low: 39_000, mid: 40_000, high: 41_000 }]);
  });
});
