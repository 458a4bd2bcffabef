import { describe, expect, it } from 'vitest';
import { ok } from '../../../../core/base/result.ts';
import { createOtherCase } from '../../../../renderer/state/other-case.ts';
import { buildHostConnection } from '../../../builders/host-connection.ts';
import { parametersWith } from '../../../builders/parameters.ts';
import { buildCaseAnalysis, buildCaseRecord } from '../../../builders/stored-case.ts';

const record = buildCaseRecord();
const analysis = buildCaseAnalysis();

describe('a second case beside the open one', () => {
  it('is analysed with the definition of the open one, and not again where it was', async () => {
    const asked: string[] = [];
    const host = buildHostConnection({ analyze: ({ caseKey, parameters }) => { asked.push(caseKey); return Promise.resolve({ ...analysis, parameters }); } });
    const other = createOtherCase(host, () => ok({ record, analysis }));
    await other.open('a', analysis.parameters);
    expect(other.get()).toMatchObject({ kind: 'open', caseKey: 'a', analysis });
    expect(asked).toEqual([]);
    const stricter = parametersWith({ minDurationS: 77 });
    await other.open('b', stricter);
    expect(other.get()).toMatchObject({ kind: 'open', caseKey: 'b', analysis: { parameters: stricter } });
    expect(asked).toEqual(['b']);
    other.close();
    expect(other.get()).toEqual({ kind: 'none' });
  });
  it('says why it cannot be opened', async () => {
    const other = createOtherCase(buildHostConnection({ openCase: () => Promise.reject(new Error('gone')) }), () => ok({ record, analysis }));
    await other.open('a', analysis.parameters);
    expect(other.get().kind).toBe('failed');
  });
});
