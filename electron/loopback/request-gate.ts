import type { IncomingHttpHeaders } from 'node:http';
import { isToken } from './access-token.ts';

export interface GateOptions {
  readonly port: number;
  readonly token: string;
  /** Entries that open the page once and are gone then: what stands on a command line may be read by other users. */
  readonly entries: Set<string>;
}

export interface GateRequest {
  readonly method: string;
  /** The request's target as sent: path and query. */
  readonly target: string;
  readonly headers: IncomingHttpHeaders;
}

export type Verdict =
  | { readonly kind: 'admit'; readonly cookie: string }
  | { readonly kind: 'pass'; readonly path: string; readonly query: URLSearchParams }
  | { readonly kind: 'refuse'; readonly status: number; readonly why: string };

/**
 * Returns what is to become of a request, before anything of it is done.
 * Every request must name this server's exact host and port (a name that resolves to 127.0.0.1 is refused: DNS rebinding),
 * must carry no foreign Origin, and must know the token: as the cookie set at the first visit or in the header.
 * What changes something must also say that it comes from our own page.
 */
export function judgeRequest(request: GateRequest, options: GateOptions): Verdict {
  const { headers, method, target } = request;
  const host = `127.0.0.1:${options.port}`;
  const origin = `http://${host}`;
  if (headers.host !== host) return refuse(421, 'wrong host');
  if (headers.origin !== undefined && headers.origin !== origin) return refuse(403, 'foreign origin');
  const fetchSite = headers['sec-fetch-site'];
  if (fetchSite !== undefined && fetchSite !== 'same-origin' && fetchSite !== 'none') return refuse(403, 'foreign page');
  if (!target.startsWith('/') || target.startsWith('//')) return refuse(400, 'bad target');
  const url = new URL(target, origin);
  if (!['GET', 'POST', 'PUT'].includes(method)) return refuse(405, 'method not allowed');

  if (method === 'GET' && url.pathname === '/') {
    const token = url.searchParams.get('token');
    const entry = url.searchParams.get('entry');
    if (token !== null) return isToken(token, options.token) ? admit(options) : refuse(403, 'wrong token');
    if (entry !== null) return options.entries.delete(entry) ? admit(options) : refuse(403, 'this entry has been used');
  }
  if (!knowsToken(headers, options)) return refuse(403, 'use the address that the program printed when it started');
  if (method !== 'GET' && headers.origin !== origin) return refuse(403, 'no origin');
  return { kind: 'pass', path: url.pathname, query: url.searchParams };
}

/** Cookies do not know ports, so the name carries ours: two programs on one machine keep theirs apart. */
export function cookieName(port: number): string {
  return `lacuna-${port}`;
}

function admit(options: GateOptions): Verdict {
  return { kind: 'admit', cookie: `${cookieName(options.port)}=${options.token}; Path=/; HttpOnly; SameSite=Strict` };
}

function knowsToken(headers: IncomingHttpHeaders, options: GateOptions): boolean {
  const header = headers['x-lacuna-token'];
  if (typeof header === 'string') return isToken(header, options.token);
  const wanted = `${cookieName(options.port)}=`;
  const cookie = (headers.cookie ?? '').split(';').map((part) => part.trim()).find((part) => part.startsWith(wanted));
  return cookie !== undefined && isToken(cookie.slice(wanted.length), options.token);
}

function refuse(status: number, why: string): Verdict {
  return { kind: 'refuse', status, why };
}
