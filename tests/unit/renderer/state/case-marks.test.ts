import { describe, expect, it } from 'vitest';
import type { CaseMark } from '../../../../core/model/case-mark.ts';
import type { CaseOrigin } from '../../../../core/model/case.ts';
import { createCaseMarks } from '../../../../renderer/state/case-marks.ts';
import type { HostConnection } from '../../../../renderer/host/host-client.ts';
import { buildHostConnection } from '../../../builders/host-connection.ts';

const ORIGIN: CaseOrigin = { epochMs: 1_000_000, clock: 'absolute', originOffsetMs: 0, zone: 'UTC', zoneStated: true };

function open(over: Partial<HostConnection> = {}) {
  let kept: readonly CaseMark[] = [{ markId: 'f'.repeat(32), clock: 'elapsed', startMs: 5000, endMs: null, text: 'of another clock' }];
  let count = 0;
  const host = buildHostConnection({
    listMarks: () => Promise.resolve(kept),
    keepMark: ({ mark }) => Promise.resolve((kept = [...kept.filter(({ markId }) => markId !== mark.markId), mark])),
    removeMark: ({ markId }) => Promise.resolve((kept = kept.filter((mark) => mark.markId !== markId))),
    ...over,
  });
  return { marks: createCaseMarks({ host, caseKey: 'k', origin: ORIGIN, newId: () => String(++count).repeat(32) }), kept: () => kept };
}

describe('the marks of an open case', () => {
  it('are read, and say where they cannot be placed', async () => {
    const { marks } = open();
    expect(marks.get().marks).toBeNull();
    await marks.load();
    expect(marks.get().marks).toEqual([{ mark: expect.objectContaining({ text: 'of another clock' }), place: null }]);
  });
  it('are added at times of the record’s clock, chosen, written, moved and removed, each with a way back', async () => {
    const { marks, kept } = open();
    await marks.load();
    await marks.add(60_000, 90_000);
    const id = '1'.repeat(32);
    expect(kept().at(-1)).toEqual({ markId: id, clock: 'absolute', startMs: 1_060_000, endMs: 1_090_000, text: '' });
    expect(marks.get().chosenId).toBe(id);
    await marks.write(id, 'arm moved');
    await marks.move(id, 70_000, null);
    expect(kept().at(-1)).toMatchObject({ startMs: 1_070_000, endMs: null, text: 'arm moved' });
    await marks.undo();
    expect(kept().at(-1)).toMatchObject({ startMs: 1_060_000, endMs: 1_090_000, text: 'arm moved' });
    expect(marks.get().undo).toBeNull();
    await marks.remove(id);
    expect(kept()).toHaveLength(1);
    await marks.undo();
    expect(kept().at(-1)).toMatchObject({ markId: id, text: 'arm moved' });
    await marks.add(0, null);
    await marks.undo();
    expect(kept().map(({ markId }) => markId)).not.toContain('2'.repeat(32));
  });
  it('stay as they are when they cannot be kept, and the reason is told', async () => {
    const { marks } = open({ keepMark: () => Promise.reject(new Error('disk full')) });
    await marks.load();
    await marks.add(0, null);
    expect(marks.get().marks).toHaveLength(1);
    expect(marks.get().problem?.message).toBeDefined();
    expect(marks.get().undo).toBeNull();
  });
});
