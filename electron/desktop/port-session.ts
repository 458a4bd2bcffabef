import { FailureError, toFailure } from '../../core/protocol/failure-error.ts';
import type { Envelope } from '../../core/protocol/host-api-schema.ts';
import { CHUNK_BYTES, pageMessageSchema } from '../../core/protocol/port-message.ts';
import type { HostMessage, PageMessage } from '../../core/protocol/port-message.ts';
import { answerCall } from '../host/call-gate.ts';
import type { BugReporter } from '../host/call-gate.ts';
import type { Host } from '../host/host.ts';

/** The host's end of the channel to a page, reduced to what is used of it. */
export interface HostPort {
  postMessage(message: HostMessage): void;
  onMessage(listener: (data: unknown) => void): void;
  onClose(listener: () => void): void;
}

/** A file on its way in: the next chunk is asked for only when the host has taken the last. */
interface IncomingFile {
  take(next: Uint8Array | 'end' | 'abort'): void;
}

/** Answers one page until its port closes. A message that breaks the schema is dropped: no page of ours sends one. */
export function serveHostPort(host: Host, port: HostPort, reportBug: BugReporter): void {
  const incoming = new Map<number, IncomingFile>();
  const stopEvents = host.onEvent((event) => port.postMessage({ kind: 'event', event }));
  port.onClose(() => {
    stopEvents();
    for (const file of incoming.values()) file.take('abort');
  });
  port.onMessage((data) => {
    const parsed = pageMessageSchema.safeParse(data);
    if (!parsed.success) {
      reportBug(new Error(`a message from the page breaks its schema: ${parsed.error.message}`));
      return;
    }
    answer(parsed.data).catch(reportBug);
  });

  async function answer(message: PageMessage): Promise<void> {
    switch (message.kind) {
      case 'call':
        reply(message.id, await answerCall(host, message.method, message.args, reportBug));
        return;
      case 'open-case':
        try {
          port.postMessage({ kind: 'case-bytes', id: message.id, bytes: await host.openCase(message.caseKey) });
        } catch (error) {
          replyFailure(message.id, error);
        }
        return;
      case 'stage':
        await stage(message.id, message.importId, message.path);
        return;
      case 'stage-chunk':
        incoming.get(message.id)?.take(message.bytes.length <= CHUNK_BYTES ? message.bytes : 'abort');
        return;
      case 'stage-end':
        incoming.get(message.id)?.take('end');
        return;
      case 'stage-abort':
        incoming.get(message.id)?.take('abort');
        return;
    }
  }

  async function stage(id: number, importId: string, path: string): Promise<void> {
    if (incoming.has(id)) return;
    const file = receiveFile(() => port.postMessage({ kind: 'chunk-taken', id }));
    incoming.set(id, file);
    try {
      const value = await host.stageFile(importId, path, file.body);
      reply(id, { ok: true, value });
    } catch (error) {
      replyFailure(id, error);
    } finally {
      incoming.delete(id);
    }
  }

  function reply(id: number, envelope: Envelope): void {
    port.postMessage({ kind: 'reply', id, envelope });
  }

  function replyFailure(id: number, error: unknown): void {
    const failure = toFailure(error);
    if (failure.code === 'internal') reportBug(error);
    reply(id, { ok: false, failure });
  }
}

function receiveFile(askForNext: () => void): IncomingFile & { readonly body: AsyncIterable<Uint8Array> } {
  let deliver: ((next: Uint8Array | 'end' | 'abort') => void) | null = null;
  let aborted = false;
  async function* read(): AsyncGenerator<Uint8Array> {
    for (;;) {
      if (aborted) throw cancelled();
      const arriving = new Promise<Uint8Array | 'end' | 'abort'>((resolve) => {
        deliver = resolve;
      });
      askForNext();
      const next = await arriving;
      deliver = null;
      if (next === 'end') return;
      if (next === 'abort') throw cancelled();
      yield next;
    }
  }
  return {
    body: read(),
    take(next) {
      if (next === 'abort' || deliver === null) aborted = true; // a chunk that nobody asked for would be lost
      deliver?.(aborted ? 'abort' : next);
    },
  };
}

function cancelled(): FailureError {
  return new FailureError({ code: 'cancelled', message: 'Handing over the file was cancelled.', remedy: 'Choose it again.' });
}
