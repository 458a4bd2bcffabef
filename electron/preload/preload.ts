import { contextBridge, ipcRenderer } from 'electron';
import { CONNECT_CHANNEL, PORT_ANSWER, PORT_REQUEST } from '../../core/protocol/port-handshake.ts';

/*
 * All that the page gets: a frozen record that says which door it came through, and, when it asks, one port to the host.
 * ipcRenderer itself never reaches the page.
 */
contextBridge.exposeInMainWorld('lacunaDesktop', Object.freeze({ electron: process.versions['electron'] ?? '', chrome: process.versions['chrome'] ?? '' }));

function handOver(event: MessageEvent): void {
  if (event.source !== window || event.origin !== window.location.origin || event.data !== PORT_REQUEST) return;
  window.removeEventListener('message', handOver);
  const { port1, port2 } = new MessageChannel();
  ipcRenderer.postMessage(CONNECT_CHANNEL, null, [port2]);
  window.postMessage(PORT_ANSWER, window.location.origin, [port1]);
}
window.addEventListener('message', handOver);
