import { FailureError } from '../../core/protocol/failure-error.ts';
import type { HostEvent } from '../../core/protocol/host-api.ts';
import { CHUNK_BYTES, hostMessageSchema } from '../../core/protocol/port-message.ts';
import type { HostMessage, PageMessage } from '../../core/protocol/port-message.ts';
import { PORT_ANSWER, PORT_REQUEST } from '../../core/protocol/port-handshake.ts';
import type { StageProgress, Transport } from './host-client.ts';

interface Waiting {
  resolve(value: unknown): void;
  reject(reason: unknown): void;
  /** Only for a file on its way: sends the next chunk. */
  next?: (() => void) | undefined;
}

/** Returns the transport over the desktop program's port, or null when this page was not opened by it. */
export function connectDesktop(): Transport | null {
  if (!('lacunaDesktop' in window)) return null;
  return buildPortTransport(requestPort());
}

/** Asks the preload script for the one port to the host. */
function requestPort(): Promise<MessagePort> {
  return new Promise((resolve) => {
    const take = (event: MessageEvent): void => {
      const port = event.ports[0];
      if (event.source !== window || event.data !== PORT_ANSWER || port === undefined) return;
      window.removeEventListener('message', take);
      resolve(port);
    };
    window.addEventListener('message', take);
    window.postMessage(PORT_REQUEST, window.location.origin);
  });
}

/** Returns the transport over `arriving`; calls made before the port is there wait for it. */
export function buildPortTransport(arriving: Promise<MessagePort>): Transport {
  const waiting = new Map<number, Waiting>();
  const listeners = new Set<(event: HostEvent) => void>();
  let nextId = 0;

  const receive = (raw: unknown): void => {
    const parsed = hostMessageSchema.safeParse(raw);
    if (!parsed.success) return; // nothing to answer: a call it belonged to cannot be told
    const message: HostMessage = parsed.data;
    if (message.kind === 'event') {
      for (const listener of listeners) listener(message.event);
      return;
    }
    const entry = waiting.get(message.id);
    if (entry === undefined) return; // given up in the meantime
    if (message.kind === 'chunk-taken') {
      entry.next?.();
      return;
    }
    waiting.delete(message.id);
    entry.resolve(message.kind === 'reply' ? message.envelope : message.bytes);
  };

  const open = arriving.then((port) => {
    port.onmessage = (event: MessageEvent) => receive(event.data);
    port.addEventListener('close', () => {
      const lost = new FailureError({ code: 'host-gone', message: 'The program behind this window has stopped.', remedy: 'Close the window and start the program again.' });
      for (const entry of waiting.values()) entry.reject(lost);
      waiting.clear();
    });
    port.start();
    return port;
  });

  const send = async (message: PageMessage): Promise<void> => {
    (await open).postMessage(message);
  };

  const ask = (build: (id: number) => PageMessage): Promise<unknown> => {
    const id = nextId++;
    return new Promise((resolve, reject) => {
      waiting.set(id, { resolve, reject });
      send(build(id)).catch(reject);
    });
  };

  return {
    call: (method, args) => ask((id) => ({ kind: 'call', id, method, args })),
    async openCase(caseKey) {
      const reply = await ask((id) => ({ kind: 'open-case', id, caseKey }));
      if (reply instanceof Uint8Array) return reply;
      throw new FailureError(failureIn(reply));
    },
    stageFile(importId, relativePath, body, onProgress, signal) {
      return stage({ importId, relativePath, body, onProgress, signal });
    },
    onEvent(listener) {
      listeners.add(listener);
      return () => listeners.delete(listener);
    },
  };

  function stage(file: { importId: string; relativePath: string; body: Blob; onProgress: StageProgress; signal: AbortSignal | null }): Promise<unknown> {
    const id = nextId++;
    const { body, signal } = file;
    return new Promise((resolve, reject) => {
      let offset = 0;
      const abort = (): void => {
        waiting.delete(id);
        void send({ kind: 'stage-abort', id });
        reject(signal?.reason);
      };
      const settle = (then: () => void): void => {
        signal?.removeEventListener('abort', abort);
        then();
      };
      const next = async (): Promise<void> => {
        file.onProgress(offset);
        if (offset >= body.size) {
          await send({ kind: 'stage-end', id });
          return;
        }
        const chunk = new Uint8Array(await body.slice(offset, offset + CHUNK_BYTES).arrayBuffer());
        if (!waiting.has(id)) return; // aborted while the chunk was read
        offset += chunk.length;
        await send({ kind: 'stage-chunk', id, bytes: chunk });
      };
      const sendNext = (): void => {
        next().catch((cause: unknown) => {
          waiting.delete(id);
          void send({ kind: 'stage-abort', id });
          settle(() => reject(unreadable(file.relativePath, cause)));
        });
      };
      if (signal?.aborted === true) {
        reject(signal.reason);
        return;
      }
      signal?.addEventListener('abort', abort, { once: true });
      waiting.set(id, { resolve: (value) => settle(() => resolve(value)), reject: (reason) => settle(() => reject(reason)), next: sendNext });
      send({ kind: 'stage', id, importId: file.importId, path: file.relativePath }).catch(reject);
    });
  }
}

function unreadable(path: string, cause: unknown): FailureError {
  const why = cause instanceof Error ? cause.message : String(cause);
  return new FailureError({ code: 'file-unreadable', message: `${path} could not be read: ${why}`, file: path, remedy: 'Choose the file again; if it was moved or changed, choose it at its new place.' });
}

function failureIn(reply: unknown): { code: string; message: string; remedy?: string } {
  if (typeof reply === 'object' && reply !== null && 'failure' in reply) {
    const { failure } = reply as { failure: { code: string; message: string; remedy?: string } }; // receive() checked it with envelopeSchema
    return failure;
  }
  return { code: 'bad-reply', message: 'The case came in a form this page does not know.', remedy: 'Close the window and start the program again.' };
}
