import { EventEmitter, once } from 'node:events';
import { MessageChannel } from 'node:worker_threads';
import type { IpcMain } from 'electron';
import { afterEach, describe, expect, test } from 'vitest';
import { FailureError } from '../../../../core/protocol/failure-error.ts';
import type { HostEvent } from '../../../../core/protocol/host-api.ts';
import { CONNECT_CHANNEL } from '../../../../core/protocol/port-handshake.ts';
import { CHUNK_BYTES } from '../../../../core/protocol/port-message.ts';
import { isOwnPage, openIpcGate } from '../../../../electron/desktop/ipc-gate.ts';
import { serveHostPort } from '../../../../electron/desktop/port-session.ts';
import type { Host } from '../../../../electron/host/host.ts';
import { buildPortTransport } from '../../../../renderer/host/electron-transport.ts';
import { buildConnection } from '../../../../renderer/host/host-client.ts';
import { deferred } from '../../../builders/stand-in-pool.ts';

const KEY = '0123456789abcdef';
let cleanUp: (() => void)[] = [];
afterEach(() => {
  for (const close of cleanUp) close();
  cleanUp = [];
});

/** Both real ends of the desktop door over a real port, with a stand-in for the host behind it. */
function connect(over: Partial<Host>) {
  const { port1, port2 } = new MessageChannel();
  cleanUp.push(() => port1.close());
  const listeners = new Set<(event: HostEvent) => void>();
  const bugs: unknown[] = [];
  const host = { onEvent: (listener: (event: HostEvent) => void) => (listeners.add(listener), () => listeners.delete(listener)), ...over } as Host;
  serveHostPort(
    host,
    {
      postMessage: (message) => port1.postMessage(message),
      onMessage: (listener) => port1.on('message', listener),
      onClose: (listener) => port1.on('close', listener),
    },
    (error) => bugs.push(error),
  );
  // Node's port has the page's methods, though not its type.
  const page = buildConnection(buildPortTransport(Promise.resolve(port2 as unknown as MessagePort)));
  return { page, pagePort: port2, bugs, emit: (event: HostEvent) => listeners.forEach((listener) => listener(event)), listeners };
}

describe('the desktop door', () => {
  test('carries calls and replies, failures whole', async () => {
    const { page } = connect({
      listCases: async () => [],
      removeCase: async () => {
        throw new FailureError({ code: 'case-missing', message: 'gone', remedy: 'import it', line: 3 });
      },
    });
    expect(await page.listCases()).toEqual([]);
    await expect(page.removeCase({ caseKey: KEY })).rejects.toMatchObject({ name: 'FailureError', code: 'case-missing', message: 'gone', remedy: 'import it', line: 3 });
  });

  test('refuses a reply that breaks the schema, on the host’s side already', async () => {
    const { page, bugs } = connect({ listCases: async () => [{ caseKey: 1 }] as never });
    await expect(page.listCases()).rejects.toMatchObject({ code: 'internal' });
    expect(String(bugs[0])).toContain('reply of listCases breaks its schema');
  });

  test('carries a case as bytes that decodeCase can view, and its absence as a failure', async () => {
    const bytes = new Uint8Array(1024).map((_, i) => i);
    const { page } = connect({
      openCase: async (key) => {
        if (key !== KEY) throw new FailureError({ code: 'case-missing', message: 'gone' });
        return bytes;
      },
    });
    const got = await page.openCase(KEY);
    expect(got).toEqual(bytes);
    expect(got.byteOffset % 8).toBe(0);
    await expect(page.openCase('ff'.repeat(8))).rejects.toMatchObject({ code: 'case-missing' });
  });

  test('hands over a file chunk by chunk and never holds more than one', async () => {
    const size = 2 * CHUNK_BYTES + 17;
    const content = new Uint8Array(size).map((_, i) => i % 251);
    const chunks: number[] = [];
    const { page } = connect({
      stageFile: async (importId, path, body) => {
        expect([importId, path]).toEqual([KEY, 'a/b.csv']);
        let byteLength = 0;
        for await (const chunk of body) {
          expect(Buffer.compare(chunk, content.subarray(byteLength, byteLength + chunk.length))).toBe(0);
          chunks.push(chunk.length);
          byteLength += chunk.length;
        }
        return { byteLength };
      },
    });
    const progress: number[] = [];
    expect(await page.stageFile(KEY, 'a/b.csv', new Blob([content]), (done) => progress.push(done))).toEqual({ byteLength: size });
    expect(chunks).toEqual([CHUNK_BYTES, CHUNK_BYTES, 17]);
    expect(progress).toEqual([0, CHUNK_BYTES, 2 * CHUNK_BYTES, size]);
    expect(await page.stageFile(KEY, 'a/b.csv', new Blob([]))).toEqual({ byteLength: 0 });
  });

  test('gives a file up when the page aborts: the host’s reading ends with a failure', async () => {
    const ended = deferred<unknown>();
    const controller = new AbortController();
    const { page } = connect({
      stageFile: async (_importId, _path, body) => {
        try {
          for await (const _chunk of body) controller.abort(new Error('enough'));
        } catch (error) {
          ended.resolve(error);
          throw error;
        }
        throw new Error('the body ended as if it were whole');
      },
    });
    await expect(page.stageFile(KEY, 'a.csv', new Blob([new Uint8Array(3 * CHUNK_BYTES)]), undefined, controller.signal)).rejects.toThrow('enough');
    expect(await ended.promise).toMatchObject({ code: 'cancelled' });
  });

  test('ends the host’s reading when the page goes away in the middle of a file', async () => {
    const begun = deferred<void>();
    const ended = deferred<unknown>();
    const { pagePort, listeners } = connect({
      stageFile: async (_importId, _path, body) => {
        begun.resolve();
        try {
          for await (const _chunk of body);
        } catch (error) {
          ended.resolve(error);
          throw error;
        }
        return { byteLength: 0 };
      },
    });
    pagePort.postMessage({ kind: 'stage', id: 0, importId: KEY, path: 'a' });
    await begun.promise;
    pagePort.close();
    expect(await ended.promise).toMatchObject({ code: 'cancelled' });
    expect(listeners.size).toBe(0);
  });

  test('passes events on and drops messages of another form', async () => {
    const { page, emit, pagePort, bugs } = connect({ listCases: async () => [] });
    await page.listCases();
    const seen = new Promise<HostEvent>((resolve) => page.onEvent(resolve));
    emit({ kind: 'library-changed' });
    expect(await seen).toEqual({ kind: 'library-changed' });
    for (const message of [null, 'x', { kind: 'eval', id: 1 }, { kind: 'call', id: -1, method: 'describe' }, { kind: 'open-case', id: 1, caseKey: '../x' }, { kind: 'stage-chunk', id: 1, bytes: 'x' }]) pagePort.postMessage(message);
    await page.listCases(); // answered after them, so they have been seen
    expect(bugs).toHaveLength(6);
  });
});

describe('the gate of the main process', () => {
  const frame = (url: string, parent: unknown = null) => ({ url, parent });

  test.each([
    ['our page', frame('lacuna://page/'), true],
    ['our page with a place in it', frame('lacuna://page/index.html#case'), true],
    ['a frame inside our page', frame('lacuna://page/', frame('lacuna://page/')), false],
    ['a page whose name begins like ours', frame('lacuna://page.evil/'), false],
    ['another scheme', frame('https://page/'), false],
    ['a file', frame('file:///page/index.html'), false],
    ['a frame that has navigated away', null, false],
  ])('knows %s', (_name, senderFrame, expected) => {
    expect(isOwnPage({ senderFrame } as never)).toBe(expected);
  });

  test('serves our page’s port, closes any other, and replaces the port of a page that was loaded anew', async () => {
    const ipcMain = new EventEmitter();
    const bugs: unknown[] = [];
    const host = { onEvent: () => () => undefined, describe: async () => ({ productVersion: '1', door: 'desktop', libraryName: 'l', lock: null }) } as unknown as Host;
    openIpcGate(ipcMain as unknown as IpcMain, host, (error) => bugs.push(error));
    expect(ipcMain.eventNames()).toEqual([CONNECT_CHANNEL]);

    const send = (senderFrame: unknown) => {
      const { port1, port2 } = new MessageChannel();
      cleanUp.push(() => port1.close());
      // Electron's port gives its message in an event with `data`; Node's gives it bare.
      const adapted = Object.assign(new EventEmitter(), { postMessage: (m: unknown) => port2.postMessage(m), start: () => undefined, close: () => port2.close() });
      port2.on('message', (data) => adapted.emit('message', { data }));
      port2.on('close', () => adapted.emit('close'));
      ipcMain.emit(CONNECT_CHANNEL, { ports: [adapted], senderFrame, sender: { id: 7 } });
      return port1;
    };
    const foreign = send(frame('https://evil.example/'));
    await once(foreign, 'close');
    expect(bugs).toHaveLength(1);

    const first = send(frame('lacuna://page/'));
    first.postMessage({ kind: 'call', id: 1, method: 'describe', args: null });
    const [reply] = await once(first, 'message');
    expect(reply).toEqual({ kind: 'reply', id: 1, envelope: { ok: true, value: { productVersion: '1', door: 'desktop', libraryName: 'l', lock: null } } });
    const closed = once(first, 'close');
    send(frame('lacuna://page/'));
    await closed;
  });
});
