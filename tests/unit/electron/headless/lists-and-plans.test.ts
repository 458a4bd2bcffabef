import { mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { cohortCaseOf } from '../../../../core/cohort/cohort-case-of.ts';
import { DEFAULT_COHORT_OPTIONS } from '../../../../core/model/cohort-options.ts';
import { DEFAULT_PARAMETERS } from '../../../../core/model/parameters.ts';
import { protocolFileText } from '../../../../core/persist/protocol-file.ts';
import { analyzeCase } from '../../../../core/pipeline/analyze-case.ts';
import { caseListText } from '../../../../core/report/case-list-table.ts';
import { listsAndPlans, readListsAndPlans, type ListsAndPlansCall } from '../../../../electron/headless/lists-and-plans.ts';
import { protocolDigest } from '../../../../electron/host/study-protocols.ts';
import { buildProtocolContent } from '../../../builders/protocol-content.ts';
import { buildStandInPool } from '../../../builders/stand-in-pool.ts';
import { buildTwoSensorCase } from '../../../builders/two-sensor-case.ts';

let folder = '';
beforeEach(async () => {
  folder = await mkdtemp(join(tmpdir(), 'lacuna-plans-'));
});
afterEach(async () => {
  await rm(folder, { recursive: true, force: true });
});

async function file(name: string, text: string): Promise<string> {
  await writeFile(join(folder, name), text);
  return join(folder, name);
}
const call = (given: Partial<ListsAndPlansCall>): ListsAndPlansCall => ({ caseList: undefined, caseListColumn: undefined, caseListDate: undefined, nextStudy: undefined, protocol: undefined, ...given });
const CASES = ([['L-1', [60, 72], [200, 206]], ['L-2', [100, 109], [300, 304]], ['L-3', [10, 40], [60, 60]]] as const).map(([caseId, finger, ear]) => {
  const record = buildTwoSensorCase(caseId, finger, ear);
  return cohortCaseOf(caseId, record, analyzeCase(record, DEFAULT_PARAMETERS, '1'), null);
});
const surroundings = { pool: buildStandInPool(), keepIdentifiers: false, pseudonymKey: '00', parameters: { ...DEFAULT_PARAMETERS, minDurationS: 60 }, options: DEFAULT_COHORT_OPTIONS, signal: new AbortController().signal };
const fixed = { ...buildProtocolContent(), protocolId: '0123456789abcdef', version: 1, reason: '', fixedAt: '2031-05-06T07:08:09.000Z', productVersion: '1' };
const protocol = { ...fixed, digest: protocolDigest(fixed) };

describe('lists and plans of a run', () => {
  it('hold a list against the cases of the run, plan from them, and say whether the protocol was kept', async () => {
    const asked = await readListsAndPlans(call({
      caseList: await file('list.csv', 'case\nL-1\nL-7\n'),
      nextStudy: await file('study.json', '{"firstKey":"finger","secondKey":"ear lobe","sizes":[10],"draws":100,"wantedPower":null}'),
      protocol: await file('protocol.json', protocolFileText(protocol)),
    }));
    const { files, list, statement } = await listsAndPlans(asked, CASES, surroundings);
    expect(files.map(({ name }) => name)).toEqual(['next-study.csv', 'next-study.md', 'protocol.md']);
    const textOf = (name: string) => [...(files.find((one) => one.name === name)!.text as Iterable<string>)].join('');
    expect(list!.counts).toMatchObject({ 'matched': 1, 'missing': 1, 'not in the list': 2 });
    expect(caseListText(list!)).toContain('\r\n3,L-7,,missing,no case of the library has this identifier,,,,\r\n');
    expect(textOf('next-study.md')).toContain('- finger: 3 patients, 0 without loss, 3 h monitored; mean 4.72 %');
    expect(statement).toBe('Not computed under the definition of protocol “Finger and ear in long operations”, version 1, fixed 2031-05-06T07:08:09.000Z: parameters.minDurationS is 60, fixed was 30.');
    expect(textOf('protocol.md')).toContain(`## This run\n\n${statement!}`);
    expect(await listsAndPlans(await readListsAndPlans(call({})), CASES, surroundings)).toEqual({ files: [], list: null, statement: null });
  });

  it('are a wrong call where a file is missing, holds something else, or was changed since it was fixed', async () => {
    const refused = async (given: Partial<ListsAndPlansCall>, words: string) => expect(readListsAndPlans(call(given))).rejects.toThrow(words);
    await refused({ caseList: join(folder, 'none.csv') }, 'The case list cannot be read (ENOENT)');
    await refused({ caseListColumn: 'Case' }, 'no --case-list');
    await refused({ nextStudy: await file('study.json', '{"firstKey":"finger"}') }, 'secondKey');
    await refused({ protocol: await file('changed.json', protocolFileText({ ...protocol, n: 41 })) }, 'its digest does not fit');
    await refused({ protocol: await file('other.json', '{}') }, 'lacuna-protocol/1');
    const empty = await readListsAndPlans(call({ caseList: await file('empty.csv', '') }));
    await expect(listsAndPlans(empty, CASES, surroundings)).rejects.toThrow('0 bytes');
  });
});
