import { readFile } from 'node:fs/promises';
import type { CustomScheme, Session } from 'electron';
import { PAGE_HEADERS } from '../host/page-files.ts';
import type { PageFile } from '../host/page-files.ts';

const SCHEME = 'lacuna';

/** Where the page lives. The only address this program ever shows. */
export const PAGE_URL = `${SCHEME}://page/`;

/** To be registered before Electron is ready: gives the page an origin of its own, without any special power. */
export const PAGE_SCHEME: CustomScheme = { scheme: SCHEME, privileges: { standard: true, secure: true } };

/** Serves the page's files from the fixed list, with its policy; anything else is not there. */
export function servePage(session: Session, files: ReadonlyMap<string, PageFile>): void {
  session.protocol.handle(SCHEME, (request) => answerPageRequest(request, files));
  session.webRequest.onBeforeRequest((details, answer) => answer({ cancel: !mayRequest(details.url) }));
}

/** Returns the page's file for a request, or a refusal. */
export async function answerPageRequest(request: { readonly url: string; readonly method: string }, files: ReadonlyMap<string, PageFile>): Promise<Response> {
  const url = new URL(request.url);
  const file = url.host === 'page' && request.method === 'GET' ? files.get(url.pathname) : undefined;
  if (file === undefined) return new Response('There is nothing here.', { status: 404, headers: { ...PAGE_HEADERS, 'content-type': 'text/plain; charset=utf-8' } });
  return new Response(await readFile(file.path), { status: 200, headers: { ...PAGE_HEADERS, 'content-type': file.type } });
}

/** Returns whether the session may ask for this address: only for our own page and the browser's inspector. */
export function mayRequest(address: string): boolean {
  return address.startsWith(PAGE_URL) || address.startsWith('devtools://');
}
