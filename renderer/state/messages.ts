import { createStore, type ReadableStore } from './store.ts';

export interface Message {
  readonly messageId: number;
  readonly tone: 'note' | 'problem';
  readonly text: string;
}

export interface MessageStore extends ReadableStore<readonly Message[]> {
  /** The same text again takes the place of the earlier one. */
  add(tone: Message['tone'], text: string): void;
  dismiss(messageId: number): void;
  /** Takes away the notes with one of these texts: what they say is over. */
  withdraw(texts: readonly string[]): void;
  /** Takes away the notes up to this one: they belong to what was shown before. Problems stay until they are dismissed. */
  leaveBehind(messageId: number): void;
}

const MOST_SHOWN = 3;

/** Returns the short messages shown at the window's edge, newest last; the oldest give way beyond three. */
export function createMessages(): MessageStore {
  const store = createStore<readonly Message[]>([]);
  let nextId = 1;
  const keep = (stays: (message: Message) => boolean): void => {
    const now = store.get();
    if (!now.every(stays)) store.set(now.filter(stays));
  };
  return {
    get: store.get,
    subscribe: store.subscribe,
    add(tone, text) {
      store.set([...store.get().filter((message) => message.text !== text), { messageId: nextId, tone, text }].slice(-MOST_SHOWN));
      nextId += 1;
    },
    dismiss(messageId) {
      store.set(store.get().filter((message) => message.messageId !== messageId));
    },
    withdraw(texts) {
      keep((message) => message.tone === 'problem' || !texts.includes(message.text));
    },
    leaveBehind(messageId) {
      keep((message) => message.tone === 'problem' || message.messageId > messageId);
    },
  };
}
