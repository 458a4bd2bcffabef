import { FailureError } from '../../core/protocol/failure-error.ts';
import { envelopeSchema, hostEventSchema } from '../../core/protocol/host-api-schema.ts';
import type { HostEvent } from '../../core/protocol/host-api.ts';
import type { Transport } from './host-client.ts';

const GONE = { code: 'host-gone', message: 'The program behind this window does not answer.', remedy: 'Start the program again and use the window that it opens.' };

/** Returns the transport to the server that this page came from. */
export function connectLoopback(): Transport {
  // One stream for all listeners: a browser opens only six connections to one server.
  const listeners = new Set<(event: HostEvent) => void>();
  let source: EventSource | null = null;
  return {
    async call(method, args) {
      const response = await reach(`/api/${encodeURIComponent(method)}`, { method: 'POST', headers: { 'content-type': 'application/json' }, body: JSON.stringify(args) });
      return await jsonOf(response);
    },
    async openCase(caseKey) {
      const response = await reach(`/bytes/case/${encodeURIComponent(caseKey)}`, {});
      if (response.ok) return new Uint8Array(await response.arrayBuffer());
      const envelope = envelopeSchema.safeParse(await jsonOf(response));
      throw new FailureError(envelope.success && !envelope.data.ok ? envelope.data.failure : GONE);
    },
    stageFile: (importId, relativePath, body, onProgress, signal) =>
      new Promise((resolve, reject) => {
        if (signal?.aborted === true) {
          reject(signal.reason);
          return;
        }
        // fetch tells nothing about how far an upload is; this older way does.
        const request = new XMLHttpRequest();
        const abort = (): void => request.abort();
        const settle = (then: () => void): void => {
          signal?.removeEventListener('abort', abort);
          then();
        };
        request.open('PUT', `/bytes/stage/${encodeURIComponent(importId)}?path=${encodeURIComponent(relativePath)}`);
        request.responseType = 'text';
        request.setRequestHeader('content-type', 'application/octet-stream');
        request.upload.onprogress = (event) => onProgress(event.loaded);
        request.onload = () => settle(() => (request.responseText === '' ? reject(new FailureError(GONE)) : resolve(parsedOrNull(request.responseText))));
        request.onerror = () => settle(() => reject(new FailureError({ code: 'file-unreadable', message: `${relativePath} could not be handed over.`, file: relativePath, remedy: 'Choose the file again; if it is still open in another program, close it there.' })));
        request.onabort = () => settle(() => reject(signal?.reason));
        signal?.addEventListener('abort', abort, { once: true });
        request.send(body);
      }),
    onEvent(listener) {
      listeners.add(listener);
      source ??= openEvents((event) => {
        for (const each of listeners) each(event);
      });
      return () => {
        listeners.delete(listener);
        if (listeners.size > 0) return;
        source?.close();
        source = null;
      };
    },
  };
}

function openEvents(emit: (event: HostEvent) => void): EventSource {
  const source = new EventSource('/events');
  source.onmessage = (message: MessageEvent<string>) => {
    const event = hostEventSchema.safeParse(parsedOrNull(message.data));
    if (event.success) emit(event.data);
  };
  return source;
}

async function reach(path: string, init: RequestInit): Promise<Response> {
  try {
    return await fetch(path, { credentials: 'same-origin', cache: 'no-store', redirect: 'error', ...init });
  } catch {
    throw new FailureError(GONE);
  }
}

async function jsonOf(response: Response): Promise<unknown> {
  const value = parsedOrNull(await response.text());
  if (value === null) throw new FailureError(GONE);
  return value;
}

function parsedOrNull(text: string): unknown {
  try {
    return JSON.parse(text) as unknown; // unknown is what it is until a schema has seen it
  } catch {
    return null;
  }
}
