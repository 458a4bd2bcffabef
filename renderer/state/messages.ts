import { createStore, type ReadableStore } from './store.ts';

export interface Message {
  readonly messageId: number;
  readonly tone: 'note' | 'problem';
  readonly text: string;
}

export interface MessageStore extends ReadableStore<readonly Message[]> {
  add(tone: Message['tone'], text: string): void;
  dismiss(messageId: number): void;
}

const MOST_SHOWN = 3;

/** Returns the short messages shown at the window's edge, newest last; the oldest give way beyond three. */
export function createMessages(): MessageStore {
  const store = createStore<readonly Message[]>([]);
  let nextId = 1;
  return {
    get: store.get,
    subscribe: store.subscribe,
    add(tone, text) {
      store.set([...store.get(), { messageId: nextId, tone, text }].slice(-MOST_SHOWN));
      nextId += 1;
    },
    dismiss(messageId) {
      store.set(store.get().filter((message) => message.messageId !== messageId));
    },
  };
}
