import { describe, expect, it, vi } from 'vitest';
import type { ImportResult } from '../../../../core/protocol/host-api.ts';
import type { HostConnection } from '../../../../renderer/host/host-client.ts';
import { createImportSession, type ImportState, type OverrulesOf } from '../../../../renderer/state/import-session.ts';
import { buildHostConnection } from '../../../builders/host-connection.ts';

const file = (relativePath: string, text: string): { relativePath: string; body: Blob } => ({ relativePath, body: new Blob([text]) });
const result = (over: Partial<ImportResult> = {}): ImportResult => ({ importId: 'i1', files: [], rejectedRows: [], rejectedRowsCut: false, cases: [], replaced: [], unchanged: [], changed: [], earlier: [], ...over });
const fileReport = (name: string): ImportResult['files'][number] => ({
  file: name, kind: 'trends', encoding: 'utf-8', delimiter: ',', layout: 'wide', rows_read: 1, rows_accepted: 1, rows_rejected: 0, rejected: [], notes: [], guesses: [], columns: [], cases: ['c'], sha256: '', byte_length: 3, failure: null,
});
const dayFirst = { field: 'dateOrder', label: 'day first', rules: { dateOrder: 'dmy' } } as const;

describe('one import', () => {
  it('hands over every file, reads once, and shows the report', async () => {
    const staged: string[] = [];
    const runImport = vi.fn<HostConnection['runImport']>(() => Promise.resolve(result({ files: [fileReport('f/a.csv')] })));
    const onImported = vi.fn();
    const session = createImportSession(buildHostConnection({
      runImport,
      stageFile: (_id, path, body) => {
        staged.push(path);
        return Promise.resolve({ byteLength: body.size });
      },
    }), onImported);
    await session.start([file('f/a.csv', 'abc'), file('f/b.csv', 'de')]);
    expect(staged).toEqual(['f/a.csv', 'f/b.csv']);
    expect(runImport).toHaveBeenCalledExactlyOnceWith({ importId: 'i1', overrules: [], zone: null, mapping: null });
    expect(session.get().kind).toBe('report');
    expect(onImported).toHaveBeenCalledOnce();
  });

  it('shows the progress of this import and of no other', async () => {
    const seen: ImportState[] = [];
    const host = buildHostConnection({
      runImport: () => {
        host.send({ kind: 'import-progress', importId: 'another', stage: 'reading', file: 'x', bytesDone: 1, bytesTotal: 9 });
        host.send({ kind: 'import-progress', importId: 'i1', stage: 'writing', file: 'a.csv', bytesDone: 3, bytesTotal: 3 });
        return Promise.resolve(result());
      },
    });
    const session = createImportSession(host, () => undefined);
    session.subscribe(() => seen.push(session.get()));
    await session.start([file('a.csv', 'abc')]);
    const stages = seen.flatMap((state) => (state.kind === 'working' ? [`${state.progress.stage} ${state.progress.file}`] : []));
    expect(stages).toContain('writing a.csv');
    expect(stages).not.toContain('reading x');
  });

  it('tells of an import that another window or the first start runs, until the library has changed', () => {
    const host = buildHostConnection();
    const session = createImportSession(host, () => undefined);
    expect(session.elsewhere.get()).toBeNull();
    host.send({ kind: 'import-progress', importId: 'another', stage: 'reading', file: 'x', bytesDone: 1, bytesTotal: 9 });
    expect(session.elsewhere.get()).toEqual({ stage: 'reading', file: 'x', bytesDone: 1, bytesTotal: 9 });
    expect(session.get().kind).toBe('idle');
    host.send({ kind: 'library-changed' });
    expect(session.elsewhere.get()).toBeNull();
  });

  it('does not wait for ever for an import elsewhere that fell silent', () => {
    vi.useFakeTimers();
    const host = buildHostConnection();
    const session = createImportSession(host, () => undefined);
    host.send({ kind: 'import-progress', importId: 'another', stage: 'reading', file: 'x', bytesDone: 1, bytesTotal: 9 });
    vi.advanceTimersByTime(60_000);
    expect(session.elsewhere.get()).toBeNull();
    vi.useRealTimers();
  });

  it('counts bytes over all files while handing over', async () => {
    const seen: number[] = [];
    const session = createImportSession(buildHostConnection({
      stageFile: (_id, _path, body, onProgress) => {
        onProgress?.(body.size);
        return Promise.resolve({ byteLength: body.size });
      },
    }), () => undefined);
    session.subscribe(() => {
      const state = session.get();
      if (state.kind === 'working' && state.progress.stage === 'handing over') seen.push(state.progress.bytesDone);
    });
    await session.start([file('a.csv', 'abc'), file('b.csv', 'de')]);
    expect(seen).toEqual([0, 0, 3, 3, 5]);
  });

  it('stops while handing over: nothing is read, the staged files go', async () => {
    const runImport = vi.fn<HostConnection['runImport']>();
    const endImport = vi.fn<HostConnection['endImport']>(() => Promise.resolve({ ended: true }));
    const session = createImportSession(buildHostConnection({
      runImport, endImport,
      stageFile: (_id, _path, _body, _onProgress, signal) => new Promise((_resolve, reject) => signal?.addEventListener('abort', () => reject(signal.reason as Error))),
    }), () => undefined);
    const started = session.start([file('a.csv', 'abc')]);
    await vi.waitFor(() => expect(session.get().kind).toBe('working'));
    await new Promise((resolve) => setTimeout(resolve));
    await session.cancel();
    await started;
    expect(session.get()).toEqual({ kind: 'cancelled' });
    expect(runImport).not.toHaveBeenCalled();
    expect(endImport).toHaveBeenCalledExactlyOnceWith({ importId: 'i1' });
  });

  it('asks the host to stop once it reads', async () => {
    let stop: (error: Error) => void = () => undefined;
    const cancelImport = vi.fn<HostConnection['cancelImport']>(() => {
      stop(new Error('cancelled'));
      return Promise.resolve({ cancelled: true });
    });
    const session = createImportSession(buildHostConnection({ cancelImport, runImport: () => new Promise((_resolve, reject) => { stop = reject; }) }), () => undefined);
    const started = session.start([file('a.csv', 'abc')]);
    await vi.waitFor(() => expect(session.get()).toMatchObject({ kind: 'working', progress: { stage: 'reading' } }));
    await session.cancel();
    await started;
    expect(cancelImport).toHaveBeenCalledOnce();
    expect(session.get()).toEqual({ kind: 'cancelled' });
  });

  it('says what went wrong in the host’s own words', async () => {
    const session = createImportSession(buildHostConnection({ runImport: () => Promise.reject(Object.assign(new Error('The disk is full.'), { remedy: 'Free some space.' })) }), () => undefined);
    await session.start([file('a.csv', 'abc')]);
    expect(session.get()).toEqual({ kind: 'failed', problem: { message: 'The disk is full.', remedy: 'Free some space.' } });
  });

  it('reads again with what was said, and keeps it for the next reading', async () => {
    const runImport = vi.fn<HostConnection['runImport']>(() => Promise.resolve(result({ files: [fileReport('a.csv')] })));
    const session = createImportSession(buildHostConnection({ runImport }), () => undefined);
    await session.start([file('a.csv', 'abc')]);
    session.say('a.csv', dayFirst);
    session.sayZone('Europe/London');
    await session.readAgain();
    expect(runImport).toHaveBeenLastCalledWith({ importId: 'i1', overrules: [{ file: 'a.csv', rules: { dateOrder: 'dmy' } }], zone: 'Europe/London', mapping: null });
    const state = session.get();
    expect(state.kind === 'report' && state.overrules === state.appliedOverrules && state.zone === state.appliedZone).toBe(true);
    session.unsay('a.csv', 'dateOrder');
    await session.readAgain();
    expect(runImport).toHaveBeenLastCalledWith({ importId: 'i1', overrules: [], zone: 'Europe/London', mapping: null });
  });

  it('keeps the earlier report when reading again fails', async () => {
    let calls = 0;
    const session = createImportSession(buildHostConnection({
      runImport: () => {
        calls += 1;
        return calls === 1 ? Promise.resolve(result({ files: [fileReport('a.csv')] })) : Promise.reject(new Error('gone'));
      },
    }), () => undefined);
    await session.start([file('a.csv', 'abc')]);
    session.say('a.csv', dayFirst);
    await session.readAgain();
    expect(session.get()).toMatchObject({ kind: 'report', problem: { message: 'gone' } });
  });
});

describe('files that were all read before', () => {
  const known: ImportResult['earlier'] = [{ file: 'a.csv', reading: { importId: 'i0', run: 1, at: '2031-04-01T08:00:00.000Z', file: 'a.csv', caseIds: ['c'] } }];
  const large = { relativePath: 'a.csv', body: new Blob([new Uint8Array(21_000_000)]) };

  it('are not read when they are large, before a person wants it', async () => {
    const runImport = vi.fn<HostConnection['runImport']>(() => Promise.resolve(result({ files: [fileReport('a.csv')] })));
    const session = createImportSession(buildHostConnection({ readBefore: () => Promise.resolve(known), runImport }), () => undefined);
    await session.start([large]);
    expect(session.get()).toEqual({ kind: 'known', earlier: known, byteLength: 21_000_000 });
    expect(runImport).not.toHaveBeenCalled();
    await session.readKnown();
    expect(session.get().kind).toBe('report');
    expect(runImport).toHaveBeenCalledOnce();
  });

  it('can be left as they are', async () => {
    const ended: string[] = [];
    const session = createImportSession(buildHostConnection({ readBefore: () => Promise.resolve(known), endImport: ({ importId }) => { ended.push(importId); return Promise.resolve({ ended: true }); } }), () => undefined);
    await session.start([large]);
    await session.finish();
    expect([session.get().kind, ended]).toEqual(['idle', ['i1']]);
  });

  it('are read without a question when they are small, or when one of them is new', async () => {
    const session = createImportSession(buildHostConnection({ readBefore: () => Promise.resolve(known), runImport: () => Promise.resolve(result()) }), () => undefined);
    await session.start([file('a.csv', 'abc')]);
    expect(session.get().kind).toBe('report');
    await session.finish();
    await session.start([large, file('b.csv', 'new')]);
    expect(session.get().kind).toBe('report');
  });
});

describe('an interrupted import', () => {
  const left = { importId: 'i7', files: [{ file: 'a.csv', byteLength: 5 }], filesRead: 0, cases: null, casesDone: 0, casesStored: 0, zone: 'Europe/Oslo', mapping: null, overrules: [{ file: 'a.csv', rules: { dateOrder: 'mdy' as const }, mapping: 'house' }] };
  const inWords: OverrulesOf = (rules, from) => [{ field: 'dateOrder', label: 'month first', rules, from }];

  it('is told of, goes on, and shows its report with everything that was said about it', async () => {
    const runImport = vi.fn<HostConnection['runImport']>(() => Promise.resolve(result({ files: [fileReport('a.csv')] })));
    const onImported = vi.fn();
    const host = buildHostConnection({ interruptedImports: () => Promise.resolve([left]), resumeImport: () => Promise.resolve(result({ importId: 'i7', files: [fileReport('a.csv')] })), runImport });
    const session = createImportSession(host, onImported);
    await vi.waitFor(() => expect(session.interrupted.get()).toEqual([left]));
    await session.resume(left, inWords);
    expect(session.get()).toMatchObject({ kind: 'report', zone: 'Europe/Oslo', appliedZone: 'Europe/Oslo' });
    // Read once more, it is said to the host again.
    await session.readAgain();
    expect(runImport).toHaveBeenCalledWith({ importId: 'i7', overrules: left.overrules, zone: 'Europe/Oslo', mapping: null });
    expect(session.interrupted.get()).toEqual([]);
    expect(onImported).toHaveBeenCalledTimes(2);
  });

  it('that cannot go on says why, and one that is thrown away is gone', async () => {
    const ended: string[] = [];
    let interrupted = [left];
    const host = buildHostConnection({
      interruptedImports: () => Promise.resolve(interrupted),
      resumeImport: () => Promise.reject(Object.assign(new Error('The disk is full.'), { code: 'disk-full', remedy: 'Make room.' })),
      endImport: ({ importId }) => {
        ended.push(importId);
        interrupted = [];
        return Promise.resolve({ ended: true });
      },
    });
    const session = createImportSession(host, () => undefined);
    await vi.waitFor(() => expect(session.interrupted.get()).toEqual([left]));
    expect(await session.discard(left)).toBeNull();
    expect(session.interrupted.get()).toEqual([]);
    await session.resume(left, inWords);
    expect(session.get()).toMatchObject({ kind: 'failed', problem: { message: 'The disk is full.' } });
    expect(ended).toEqual(['i7', 'i7']);
  });
});
