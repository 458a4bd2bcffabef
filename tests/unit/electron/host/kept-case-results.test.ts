import { describe, expect, test } from 'vitest';
import { fail, ok } from '../../../../core/base/result.ts';
import { DEFAULT_PARAMETERS } from '../../../../core/model/parameters.ts';
import type { AnalysisParameters } from '../../../../core/model/parameters.ts';
import type { SealedEntry } from '../../../../core/model/review.ts';
import { summarizeUnreadable } from '../../../../core/protocol/case-summary.ts';
import { createKeptCaseResults } from '../../../../electron/host/kept-case-results.ts';
import { deferred } from '../../../builders/stand-in-pool.ts';

/** A library of cases a to f that are named A to F; what a case gives is its key, its revision and the bridge of the parameters. */
function start({ casesAtOnce = 2, setsKept = 1, before = () => Promise.resolve(), bad = '' }: { casesAtOnce?: number; setsKept?: number; before?: (caseKey: string) => Promise<unknown>; bad?: string } = {}) {
  const revisions = new Map([...'abcdef'].map((caseKey) => [caseKey, 1]));
  const worked: string[] = [];
  const said = new Map<string, SealedEntry[]>();
  const underWay = { now: 0, most: 0 };
  const kept = createKeptCaseResults({
    store: {
      list: () => [...revisions.keys()].map((caseKey) => ({ ...summarizeUnreadable(caseKey, ''), caseId: caseKey.toUpperCase() })),
      revisionOf: (caseKey) => revisions.get(caseKey) ?? null,
      readBytes: async (caseKey) => (revisions.has(caseKey) ? new TextEncoder().encode(caseKey) : Promise.reject(new Error('not there'))),
    },
    casesAtOnce, setsKept, closing: new AbortController().signal,
    entriesOf: (caseKey) => Promise.resolve(said.get(caseKey) ?? []),
    async workOut(bytes, caseKey, { bridgeS }, entries) {
      worked.push(caseKey);
      underWay.most = Math.max(underWay.most, (underWay.now += 1));
      await before(caseKey);
      underWay.now -= 1;
      if (caseKey === bad) return fail({ code: 'case-damaged', message: 'It is damaged.' });
      return ok(`${new TextDecoder().decode(bytes)}${revisions.get(caseKey)}/${bridgeS}${'!'.repeat(entries?.length ?? 0)}`);
    },
  });
  const told: string[] = [];
  const own = new AbortController();
  const read = (keys: string | null, parameters: AnalysisParameters = DEFAULT_PARAMETERS) =>
    kept.read(keys === null ? null : [...keys], parameters, { signal: own.signal, onProgress: (done, total) => told.push(`${done}/${total}`) });
  return { read, worked, revisions, said, told, underWay, own };
}
const under = (bridgeS: number, name = 'x'): AnalysisParameters => ({ ...DEFAULT_PARAMETERS, bridgeS, name });

describe('what cases give', () => {
  test('is there once a case, in the order of the keys, some at a time, and the end of it is told', async () => {
    const gate = deferred<undefined>();
    const { read, worked, told, underWay } = start({ casesAtOnce: 3, before: (caseKey) => (caseKey === 'c' ? gate.promise : Promise.resolve()) });
    const reading = read('cabca', under(1));
    gate.resolve(undefined);
    expect(await reading).toEqual({ cases: ['c1/1', 'a1/1', 'b1/1'], leftOut: [] });
    expect(told.at(-1)).toBe('3/3');
    expect((await read(null, under(1))).cases).toEqual(['a1/1', 'b1/1', 'c1/1', 'd1/1', 'e1/1', 'f1/1']);
    expect([...worked].sort().join('')).toBe('abcdef');
    expect(underWay.most).toBe(3);
  });

  test('is worked out anew once something more is said of the case', async () => {
    const { read, worked, said } = start();
    await read('ab', under(1));
    said.set('b', [{ entry: { kind: 'revealed', caseKey: 'b', caseId: 'B', place: 1, previous: '', entryId: '1', at: '2031-03-05T09:00:00.000Z', by: 'A', productVersion: '1' }, hash: 'one' }]);
    expect((await read('ab', under(1))).cases).toEqual(['a1/1', 'b1/1!']);
    expect(worked.join('')).toBe('abb');
  });

  test('is kept until the case changes or goes', async () => {
    const { read, worked, revisions } = start();
    await read('ab', under(1));
    revisions.set('b', 2);
    expect((await read('ab', under(1, 'another name'))).cases).toEqual(['a1/1', 'b2/1']);
    expect(worked.join('')).toBe('abb');
    revisions.delete('a');
    await read('b', under(1));
    revisions.set('a', 1); // another case under the same key and number: what the removed one gave is not its own
    expect((await read('a', under(1))).cases).toEqual(['a1/1']);
    expect(worked.join('')).toBe('abba');
  });

  test('is kept for the sets of parameters that were used last', async () => {
    const { read, worked } = start({ setsKept: 2 });
    for (const bridgeS of [1, 2, 1, 3, 1]) expect((await read('a', under(bridgeS))).cases).toEqual([`a1/${bridgeS}`]);
    expect(worked).toHaveLength(3);
    await read('a', under(2)); // went when 3 came
    expect(worked).toHaveLength(4);
  });

  test('is never handed from one set to another that is read at the same time', async () => {
    const gate = deferred<undefined>();
    const { read } = start({ before: () => gate.promise });
    const both = Promise.all([read('a', under(1)), read('a', under(2))]);
    gate.resolve(undefined);
    expect((await both).map(({ cases }) => cases)).toEqual([['a1/1'], ['a1/2']]);
    expect((await read('a', under(2))).cases).toEqual(['a1/2']);
  });

  test('is left out with the reason where a case cannot be read, by key', async () => {
    const { read, told } = start({ bad: 'b' });
    expect(await read('zba')).toEqual({
      cases: [`a1/${DEFAULT_PARAMETERS.bridgeS}`],
      leftOut: [{ caseKey: 'b', caseId: 'B', reason: 'It is damaged.' }, { caseKey: 'z', caseId: '', reason: expect.any(String) }],
    });
    expect(told.at(-1)).toBe('3/3');
  });

  test('stops between two cases when it is cancelled, and what was worked out by then is kept', async () => {
    const gate = deferred<undefined>();
    const { read, worked, own } = start({ casesAtOnce: 1, before: () => gate.promise });
    const told = expect(read('abc')).rejects.toBe('enough');
    own.abort('enough');
    gate.resolve(undefined);
    await told;
    expect(worked).toEqual(['a']);
  });
});
