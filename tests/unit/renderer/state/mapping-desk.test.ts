import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import type { FilePreview } from '../../../../core/model/file-preview.ts';
import type { ReadingRules } from '../../../../core/model/mapping.ts';
import { createMappingDesk } from '../../../../renderer/state/mapping-desk.ts';
import { buildFilePreview } from '../../../builders/file-preview.ts';

interface Asked {
  readonly rules: ReadingRules;
  answer(preview: FilePreview): void;
  refuse(error: unknown): void;
}

function setUp() {
  const asked: Asked[] = [];
  const desk = createMappingDesk((_file, rules) => new Promise((resolve, reject) => asked.push({ rules, answer: resolve, refuse: reject })));
  return { desk, asked };
}

beforeEach(() => void vi.useFakeTimers());
afterEach(() => void vi.useRealTimers());
const settle = (ms = 200): Promise<unknown> => vi.advanceTimersByTimeAsync(ms);

describe('the file on the desk', () => {
  it('is previewed when it is opened, and shows nothing before', async () => {
    const { desk, asked } = setUp();
    desk.open('a.csv', { zone: 'UTC' });
    expect(desk.get()?.preview).toEqual({ shown: null, isStale: true, problem: null });
    await settle(1);
    expect(asked.map(({ rules }) => rules)).toEqual([{ zone: 'UTC' }]);
    asked[0]!.answer(buildFilePreview({ file: 'a.csv' }));
    await settle();
    expect(desk.get()?.preview).toMatchObject({ shown: { file: 'a.csv' }, isStale: false });
  });

  it('is asked for once when changes follow one another quickly, and shows the old rows as stale meanwhile', async () => {
    const { desk, asked } = setUp();
    desk.open('a.csv', {});
    await settle();
    asked[0]!.answer(buildFilePreview());
    await settle();
    for (const caseId of ['K', 'Ka', 'Kan']) desk.change({ caseId }, 'caseId');
    expect(desk.get()?.preview).toMatchObject({ isStale: true, shown: { rowsRead: 1 } });
    await settle();
    expect(asked.slice(1).map(({ rules }) => rules)).toEqual([{ caseId: 'Kan' }]);
  });

  it('is asked for at once when something is chosen, since nothing more is to come', async () => {
    const { desk, asked } = setUp();
    desk.open('a.csv', {});
    await settle();
    desk.change({ kind: 'events' });
    await settle(1);
    expect(asked.slice(1).map(({ rules }) => rules)).toEqual([{ kind: 'events' }]);
  });

  it('shows the newest answer, whatever order they come in', async () => {
    const { desk, asked } = setUp();
    desk.open('a.csv', {});
    await settle();
    desk.change({ kind: 'events' });
    await settle();
    asked[1]!.answer(buildFilePreview({ kind: 'events' }));
    asked[0]!.answer(buildFilePreview({ kind: 'trends' }));
    await settle();
    expect(desk.get()?.preview.shown?.kind).toBe('events');
  });

  it('keeps the earlier rows when the newest rules cannot be tried, and says why', async () => {
    const { desk, asked } = setUp();
    desk.open('a.csv', {});
    await settle();
    asked[0]!.answer(buildFilePreview());
    await settle();
    desk.change({ encoding: 'utf-8' });
    await settle();
    asked[1]!.refuse(Object.assign(new Error('The file is no longer there.'), { remedy: 'Put it back.' }));
    await settle();
    expect(desk.get()?.preview).toMatchObject({ shown: { rowsRead: 1 }, isStale: false, problem: { message: 'The file is no longer there.', remedy: 'Put it back.' } });
  });

  it('takes back each change, and does it again', async () => {
    const { desk } = setUp();
    desk.open('a.csv', { zone: 'UTC' });
    desk.change({ zone: 'UTC', dateOrder: 'dmy' });
    desk.change({ zone: 'UTC', dateOrder: 'dmy' }); // the same again is no step
    desk.change({});
    desk.undo();
    expect(desk.get()).toMatchObject({ rules: { zone: 'UTC', dateOrder: 'dmy' }, canUndo: true, canRedo: true });
    desk.undo();
    expect(desk.get()).toMatchObject({ rules: { zone: 'UTC' }, canUndo: false });
    desk.undo();
    desk.redo();
    desk.redo();
    expect(desk.get()?.rules).toEqual({});
    desk.redo();
    desk.undo();
    desk.change({ kind: 'trends' });
    expect(desk.get()?.canRedo).toBe(false);
  });

  it('is asked for once more after it could not be had, and that is no step', async () => {
    const { desk, asked } = setUp();
    desk.open('a.csv', {});
    await settle();
    asked[0]!.refuse(new Error('stopped'));
    await settle();
    expect(desk.get()?.preview.problem?.message).toBe('stopped');
    desk.retry();
    await settle();
    asked[1]!.answer(buildFilePreview());
    await settle();
    expect(desk.get()).toMatchObject({ canUndo: false, preview: { problem: null, isStale: false } });
  });

  it('takes a word that is being typed as one change', () => {
    const { desk } = setUp();
    desk.open('a.csv', {});
    for (const unit of ['k', 'kP', 'kPa']) desk.change({ columns: { A: { unit } } }, 'A unit');
    desk.undo();
    expect(desk.get()).toMatchObject({ rules: {}, canUndo: false });
  });

  it('shows nothing of a file that was closed meanwhile', async () => {
    const { desk, asked } = setUp();
    desk.open('a.csv', {});
    await settle();
    desk.close();
    desk.open('b.csv', {});
    await settle();
    asked[0]!.answer(buildFilePreview({ file: 'a.csv' }));
    await settle();
    expect(desk.get()).toMatchObject({ file: 'b.csv', preview: { shown: null } });
    desk.close();
    expect(desk.get()).toBeNull();
  });
});
