import type { IpcMain, IpcMainEvent, MessagePortMain } from 'electron';
import { CONNECT_CHANNEL } from '../../core/protocol/port-handshake.ts';
import type { BugReporter } from '../host/call-gate.ts';
import type { Host } from '../host/host.ts';
import { PAGE_URL } from './app-protocol.ts';
import { serveHostPort } from './port-session.ts';

/**
 * Waits for our page to hand over its port. This is the only channel the program listens on;
 * a port from any other frame is closed unread. A page that was loaded anew replaces its earlier port.
 */
export function openIpcGate(ipcMain: Pick<IpcMain, 'on'>, host: Host, reportBug: BugReporter): void {
  const ports = new Map<number, MessagePortMain>();
  ipcMain.on(CONNECT_CHANNEL, (event) => {
    const [port, ...more] = event.ports;
    if (port === undefined || more.length > 0 || !isOwnPage(event)) {
      for (const refused of event.ports) refused.close();
      reportBug(new Error('a frame that is not our page asked for the host'));
      return;
    }
    ports.get(event.sender.id)?.close();
    ports.set(event.sender.id, port);
    serveHostPort(
      host,
      {
        postMessage: (message) => port.postMessage(message),
        onMessage: (listener) => port.on('message', ({ data }: { data: unknown }) => listener(data)),
        onClose: (listener) => port.on('close', listener),
      },
      reportBug,
    );
    port.start();
  });
}

/** Returns whether a message comes from the top frame of our own page. The frame is null once it has navigated away. */
export function isOwnPage(event: Pick<IpcMainEvent, 'senderFrame'>): boolean {
  const frame = event.senderFrame;
  if (frame === null || frame.parent !== null) return false;
  const { protocol, host } = new URL(frame.url);
  const own = new URL(PAGE_URL);
  return protocol === own.protocol && host === own.host;
}
