import { describe, expect, it, vi } from 'vitest';
import { createLibrary } from '../../../../renderer/state/library.ts';
import { createMessages } from '../../../../renderer/state/messages.ts';
import { createStore } from '../../../../renderer/state/store.ts';
import { buildHostConnection } from '../../../builders/host-connection.ts';

describe('createStore', () => {
  it('tells of changes, of nothing else, and to nobody who left', () => {
    const store = createStore(1);
    const listener = vi.fn();
    const stop = store.subscribe(listener);
    store.set(1);
    store.set(2);
    stop();
    store.set(3);
    expect(listener).toHaveBeenCalledOnce();
  });
});

describe('createMessages', () => {
  it('keeps the newest three and forgets what is dismissed', () => {
    const messages = createMessages();
    for (const text of ['a', 'b', 'c', 'd']) messages.add('note', text);
    expect(messages.get().map((message) => message.text)).toEqual(['b', 'c', 'd']);
    messages.dismiss(messages.get()[0]!.messageId);
    expect(messages.get().map((message) => message.text)).toEqual(['c', 'd']);
  });
});

describe('notes', () => {
  it('are not shown twice, are withdrawn when they no longer hold, and stay behind in the place they were about; problems stay', () => {
    const messages = createMessages();
    const texts = (): string[] => messages.get().map(({ text }) => text);
    for (const text of ['last', 'kept', 'last']) messages.add('note', text);
    expect(texts()).toEqual(['kept', 'last']);
    messages.withdraw(['last', 'first']);
    expect(texts()).toEqual(['kept']);
    messages.add('problem', 'full');
    const upTo = messages.get().at(-1)!.messageId;
    messages.add('note', 'newer');
    messages.leaveBehind(upTo);
    expect(texts()).toEqual(['full', 'newer']);
  });
});

describe('createLibrary', () => {
  it('goes from loading to failed to ready', async () => {
    let isBroken = true;
    const library = createLibrary(buildHostConnection({ listCases: () => (isBroken ? Promise.reject(new Error('denied')) : Promise.resolve([])) }));
    expect(library.get().kind).toBe('loading');
    await library.reload();
    expect(library.get()).toEqual({ kind: 'failed', problem: { message: 'denied', remedy: null } });
    isBroken = false;
    await library.reload();
    expect(library.get()).toEqual({ kind: 'ready', cases: [] });
  });
});
